"""Schedules: read back by openpyxl, their formulas worked out by code of this file, and held to design.json."""

from __future__ import annotations

import csv
import io
import math
import re
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.designed_models import Job, designed_job
from ufh_core.building.types import Building
from ufh_core.design_result import Design
from ufh_core.documents.schedule_cells import Table, csv_text
from ufh_core.documents.schedule_tables import tables
from ufh_core.documents.schedules import workbook, write_schedules

HOSTILE = '=HYPERLINK("http://x.invalid","a")', "+1", "-1", "@SUM(A1)", "\t=1+1", "a\r\n=2", "{=1}", "https://x.invalid"


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    return designed_job("bungalow", tmp_path_factory)


@pytest.fixture(scope="module")
def book(job: Job) -> dict[str, Any]:
    """The sheets by name; formulas as text."""
    return {sheet.title: sheet for sheet in openpyxl.load_workbook(job.out / "schedules.xlsx")}


def worked_out(book: dict[str, Any], sheet: str, at: str) -> float:
    """The value of a cell, by Python's arithmetic on its formula and on those that it refers to."""
    value = book[sheet][at].value
    if not (isinstance(value, str) and value.startswith("=")):
        return 0.0 if value is None else float(value)

    def cells(found: re.Match[str]) -> str:
        other, first, last = found.group(1) or sheet, found.group(2), found.group(3)
        block = book[other][f"{first}:{last or first}"]
        rows = block if isinstance(block, tuple) else ((block,),)
        return ",".join(repr(worked_out(book, other, cell.coordinate)) for row in rows for cell in row)

    text = re.sub(r"(?:(\w+)!)?\b([A-Z]\d+)(?::([A-Z]\d+))?", cells, value[1:])
    tools: dict[str, Callable[..., float]] = {
        "SUM": lambda *v: math.fsum(v),
        "MAX": lambda *v: max(v),
        "ROUNDUP": lambda v, _: float(math.ceil(v)),
    }
    return float(eval(text, {"__builtins__": {}}, tools))  # text of this project's own formulas


def column(book: dict[str, Any], sheet: str, head: str) -> tuple[str, dict[str, float]]:
    """(letter, worked-out value by the name in the first column)."""
    heads = [cell.value for cell in book[sheet][1]]
    letter = openpyxl.utils.get_column_letter(heads.index(head) + 1)
    names = [cell.value for cell in book[sheet]["A"][1:]]
    return letter, {n: worked_out(book, sheet, f"{letter}{row}") for row, n in enumerate(names, 2)}


def test_cached_values_are_what_the_formulas_give(job: Job, book: dict[str, Any]) -> None:
    cached = openpyxl.load_workbook(job.out / "schedules.xlsx", data_only=True)
    live = 0
    for name, sheet in book.items():
        for row in sheet.iter_rows(min_row=2):
            for cell in row:
                if cell.data_type == "f":
                    live += 1
                    shown = cached[name][cell.coordinate].value
                    assert worked_out(book, name, cell.coordinate) == pytest.approx(shown, rel=1e-9), cell.coordinate
    assert live > 20


@pytest.mark.parametrize(
    ("head", "key", "factor"),
    [
        ("length with tails [m]", "length_m", 1),
        ("tails [m]", "tail_length_m", 1),
        ("heated area [m²]", "heated_area_m2", 1),
        ("pitch [mm]", "pitch_m", 1000),
        ("heat up [W]", "heat_output_w", 1),
        ("mass flow [kg/h]", "mass_flow_kg_s", 3600),
        ("flow [l/min]", "volume_flow_m3_s", 60_000),
        ("pressure drop [kPa]", "pressure_drop_pa", 1e-3),
    ],
)
def test_circuits_are_those_of_the_design(job: Job, book: dict[str, Any], head: str, key: str, factor: float) -> None:
    """design.json rounds to 1e-6 of its unit, so a volume flow has about two digits there."""
    _, found = column(book, "Circuits", head)
    wanted = {c["number"]: c[key] * factor for c in job.each("circuits")}
    assert wanted
    assert found == pytest.approx(wanted, rel=1e-4, abs=0.6e-6 * factor)


@pytest.mark.parametrize(
    ("head", "key", "factor"),
    [("mass flow [kg/h]", "mass_flow_kg_s", 3600), ("pump pressure [kPa]", "pump_pressure_pa", 1e-3)],
)
def test_manifolds_add_up_to_the_design(job: Job, book: dict[str, Any], head: str, key: str, factor: float) -> None:
    _, found = column(book, "Manifolds", head)
    wanted = {m["name"]: m[key] * factor for m in job.each("manifolds")}
    assert wanted
    assert found == pytest.approx(wanted, rel=1e-4)


def test_order_is_that_of_the_design_and_follows_its_spare(job: Job, book: dict[str, Any]) -> None:
    lines = job.results["take_off"]["lines"]
    _, found = column(book, "Order", "to order")
    assert found == pytest.approx({line["item"]: line["quantity"] for line in lines})
    row = next(k for k, line in enumerate(lines, 2) if line["spare"] > 0 and line["pack"])
    before, cell = worked_out(book, "Order", f"G{row}"), book["Order"][f"D{row}"]
    kept, cell.value = cell.value, 1000
    try:
        assert worked_out(book, "Order", f"G{row}") > 5 * before
    finally:
        cell.value = kept


def test_circuits_say_which_coil_they_are_cut_from(job: Job, book: dict[str, Any]) -> None:
    cuts = {c["number"]: c["cut_m"] for coil in job.results["take_off"]["coils"] for c in coil["circuits"]}
    assert cuts and column(book, "Circuits", "cut [m]")[1] == pytest.approx(cuts)


def test_head_stays_in_view_and_says_units(book: dict[str, Any]) -> None:
    assert set(book) == {"Circuits", "Manifolds", "Order"}
    for sheet in book.values():
        assert sheet.freeze_panes == "B2"
        assert all(isinstance(cell.value, str) for cell in sheet[1])


def hostile(design: Design) -> Design:
    """The design with every room named to run as a formula."""

    def named(building: Building) -> Building:
        count = iter(range(10_000))
        storeys = [
            replace(s, name="=1+1", rooms=tuple(replace(r, name=HOSTILE[next(count) % len(HOSTILE)]) for r in s.rooms))
            for s in building.storeys
        ]
        return replace(building, storeys=tuple(storeys))

    return replace(design, building=named(design.building))


def test_names_of_the_model_are_text(job: Job, tmp_path: Path) -> None:
    write_schedules(hostile(job.design()), tmp_path)
    sheets = {sheet.title: sheet for sheet in openpyxl.load_workbook(tmp_path / "schedules.xlsx")}
    places = [cell for head in "BC" for cell in sheets["Manifolds"][head][1:]] + list(sheets["Circuits"]["D"][1:])
    texts = zipfile.ZipFile(tmp_path / "schedules.xlsx").read("xl/sharedStrings.xml").decode("utf-8")
    assert len([c for c in sheets["Manifolds"]["B"][1:] if c.value == "=1+1"]) == sheets["Manifolds"].max_row - 1
    assert "HYPERLINK" in texts or "@SUM" in texts
    for name in zipfile.ZipFile(tmp_path / "schedules.xlsx").namelist():
        body = zipfile.ZipFile(tmp_path / "schedules.xlsx").read(name).decode("utf-8")
        for formula in re.findall(r"<f>(.*?)</f>", body):
            assert "HYPERLINK" not in formula and "@" not in formula and formula != "1+1"
        assert "<hyperlink" not in body
    assert places
    for file in ("circuits.csv", "manifolds.csv"):
        for row in list(csv.reader(io.StringIO((tmp_path / file).read_text(encoding="utf-8-sig"))))[1:]:
            for cell in row:
                assert not cell.startswith(("=", "+", "@", "\t", "\r")) and "\n" not in cell
                assert not cell.startswith("-") or float(cell) < 0


@pytest.mark.parametrize("name", HOSTILE)
def test_text_cells_keep_their_words(name: str) -> None:
    table = Table("T", ("name", "length [m]"), ((name, -1.5),))
    sheet = openpyxl.load_workbook(io.BytesIO(workbook((table,))))["T"]
    types = zipfile.ZipFile(io.BytesIO(workbook((table,)))).read("xl/worksheets/sheet1.xml").decode("utf-8")
    assert re.search(r'<c r="A2"[^>]* t="s"', types) and "<f>" not in types
    assert sheet["A2"].value == " ".join(name.split()) and sheet["B2"].value == -1.5
    row = list(csv.reader(io.StringIO(csv_text(table))))[1]
    assert row[0].lstrip("'") == " ".join(name.split()) and float(row[1]) == -1.5
    assert row[0][0] not in "=+-@"


def test_second_run_writes_the_same_bytes(job: Job, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    once, again = workbook(tables(job.design())), workbook(tables(job.design()))
    assert once == again
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1800000000")
    assert workbook(tables(job.design())) != once
