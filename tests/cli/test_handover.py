"""Handing over: the file and the model, complete or clearly not; records that come from the page as a file."""

from __future__ import annotations

import json
import shutil
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.util.element
import ifcopenshell.util.unit
import ifcopenshell.validate
import pypdf
import pytest
from command_line import warmloom
from designed_models import designed_job

from ufh_core.records.hold_points import SIGNERS, site_state
from ufh_core.records.kinds import KINDS
from ufh_core.records.ledger import NewLine, add, read_ledger
from ufh_core.records.readings import checked
from ufh_core.records.screed_rules import allowed_c, days_of
from ufh_core.records.site_design import SiteDesign, read_site_design
from ufh_core.site_pack.depth_map import depth_map
from ufh_core.site_pack.drilling import depths, most_depth_mm

POURED = date(2025, 5, 6)
THINNER_MM = 4.0


@pytest.fixture(scope="module")
def designed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return designed_job("bungalow", tmp_path_factory).out


@pytest.fixture
def folder(designed: Path, tmp_path: Path) -> Path:
    for path in (
        *designed.glob("*.svg"),
        designed / "design.json",
        designed / "heating.ifc",
        designed / "site-pack.pdf",
    ):
        shutil.copy(path, tmp_path / path.name)
    return tmp_path


def put(folder: Path, site: SiteDesign, kind: str, role: str, **values: Any) -> None:
    record = checked(KINDS[kind], values)
    at = datetime(2025, 9, 1, 8, 0, tzinfo=UTC)
    name = getattr(record, "name", "")
    add(folder, NewLine(at=at, role=role, person=name, kind=kind, design=site.fingerprint, values=record.values()))


def rows(site: SiteDesign) -> Iterator[tuple[str, dict[str, Any]]]:
    """All records of a job without a fault."""
    day = POURED.isoformat()
    assert site.programme is not None
    begun = POURED + timedelta(days=int(site.programme.earliest_days))
    end = begun + timedelta(days=days_of(site.programme))
    for c in site.circuits:
        yield "as-laid", {"circuit": c.number, "first_mark_m": 10, "last_mark_m": 10 + c.length_m * 1.01, "on": day}
    for m in site.manifolds:
        yield "leak-test", {"manifold": m.name, "medium": "water", "start_bar": 6, "end_bar": 5.95, "hours": 2,
                            "ambient_c": 14, "station_isolated": True, "joints_dry": True,
                            "on": "2025-05-05"}  # fmt: skip
        yield "pressure-kept", {"manifold": m.name, "before_bar": 3, "after_bar": 3, "on": day}
    for f in site.fields:
        thick = 1000 * f.thickness_m - THINNER_MM
        yield "screed", {"field": f.name, "screed": "cement", "thickness_mm": thick, "ambient_c": 12, "on": day}
        yield "moisture", {"field": f.name, "method": "carbide", "percent": 1.6, "on": end.isoformat()}
    for m in site.manifolds:
        for n in range(1, days_of(site.programme) + 1):
            flow, on = allowed_c(site.programme, n)[1], (begun + timedelta(days=n - 1)).isoformat()
            yield "heating-day", {"manifold": m.name, "day": n, "flow_c": flow, "on": on}
    for c in site.circuits:
        yield "flow", {"circuit": c.number, "measured_l_min": c.flow_l_min, "turns": 1.5, "on": end.isoformat()}
        yield "temperatures", {"circuit": c.number, "flow_c": 38, "return_c": 32, "on": end.isoformat()}


def whole(folder: Path) -> SiteDesign:
    """Every record and every signature."""
    site = read_site_design(folder)
    for kind, values in rows(site):
        put(folder, site, kind, "fitter", **values)
    for point, roles in SIGNERS.items():
        for role in roles:
            put(folder, site, "signature", role, point=point, name=f"A. {role.title()}", on="2025-08-01")
    return site


def first_page(folder: Path) -> str:
    return pypdf.PdfReader(folder / "handover.pdf").pages[0].extract_text()


def test_without_records_it_is_written_and_says_that_it_is_not_complete(folder: Path) -> None:
    before = (folder / "heating.ifc").read_bytes()
    run = warmloom("handover", folder)
    assert (run.returncode, "Traceback" in run.stderr) == (1, False)
    assert "NOT COMPLETE" in run.stdout and "Leak test: not complete (M1, M2)" in run.stdout
    assert "NOT COMPLETE" in first_page(folder)
    assert (folder / "heating.ifc").read_bytes() == before
    model = ifcopenshell.open(str(folder / "handover.ifc"))
    sets = ifcopenshell.util.element.get_psets(model.by_type("IfcProject")[0])
    assert sets["UFH_Handover"]["Complete"] is False
    assert sets["UFH_Handover"]["HoldPointLeakTest"] == "missing"
    text = "".join(page.extract_text() for page in pypdf.PdfReader(folder / "handover.pdf").pages)
    assert text.count("no drilling") >= 2 * 9  # in the table and on the map


def test_with_every_record_it_is_complete_and_the_model_tells_it(folder: Path) -> None:
    site = whole(folder)
    assert site_state(site, read_ledger(folder)).complete
    run = warmloom("handover", folder, "--quiet")
    assert (run.returncode, run.stderr) == (0, ""), run.stdout
    assert "NOT COMPLETE" not in first_page(folder)
    model = ifcopenshell.open(str(folder / "handover.ifc"))
    scale = ifcopenshell.util.unit.calculate_unit_scale(model)
    for circuit in model.by_type("IfcDistributionCircuit"):
        own = ifcopenshell.util.element.get_psets(circuit)["UFH_AsLaid"]
        assert own["LaidLength"] * scale == pytest.approx(1.01 * own["DesignedLength"] * scale)
        assert own["DesignedLength"] * scale == pytest.approx(site.circuit(circuit.Name).length_m, abs=1e-6)
        assert (own["VerdictLaid"], own["VerdictFlows"], own["ValveTurns"]) == ("pass", "pass", 1.5)
    told = ifcopenshell.util.element.get_psets(model.by_type("IfcProject")[0])["UFH_Handover"]
    assert (
        told["Complete"] is True
        and told["HoldPointLeakTestSignedBy"] == "fitter: A. Fitter, site manager: A. Site Manager"
    )
    assert told["LastRecordSHA256"] == read_ledger(folder).last_digest
    files = {reference.Location for reference in model.by_type("IfcDocumentReference")}
    assert files == {"handover.pdf", "records.jsonl", "site-pack.pdf"}
    assert all((folder / file).is_file() for file in files)
    assert {r.RelatingDocument.Location for r in model.by_type("IfcRelAssociatesDocument")} == files


def test_the_model_is_valid_and_keeps_every_globalid(folder: Path) -> None:
    whole(folder)
    warmloom("handover", folder)
    before, after = (ifcopenshell.open(str(folder / name)) for name in ("heating.ifc", "handover.ifc"))
    ids = [{root.GlobalId for root in model.by_type("IfcRoot")} for model in (before, after)]
    assert ids[0] < ids[1] and len(ids[1]) == len(after.by_type("IfcRoot"))
    log = ifcopenshell.validate.json_logger()
    ifcopenshell.validate.validate(after, log)
    assert log.statements == []
    once = (folder / "handover.ifc").read_bytes()
    warmloom("handover", folder)
    assert (folder / "handover.ifc").read_bytes() == once


def test_one_failed_record_is_named(folder: Path) -> None:
    site = whole(folder)
    bad = dict(next(values for kind, values in rows(site) if kind == "leak-test")) | {"end_bar": 4.0}
    put(folder, site, "leak-test", "fitter", **bad)
    run = warmloom("handover", folder, "--language", "de")
    assert run.returncode == 1
    assert "Dichtheitsprüfung: nicht bestanden (M1)" in run.stdout
    assert "NICHT VOLLSTÄNDIG" in first_page(folder)


def test_a_changed_record_is_told(folder: Path) -> None:
    whole(folder)
    path = folder / "records.jsonl"
    path.write_bytes(
        path.read_bytes().replace(b'"hours": 2.0', b'"hours": 3.0', 1).replace(b'"hours":2.0', b'"hours":3.0', 1)
    )
    run = warmloom("handover", folder)
    assert run.returncode == 1 and "was changed or is not whole" in run.stdout


# --- how deep one may drill -------------------------------------------------------------------------


def test_depths_follow_the_screed_as_laid_and_need_its_record(folder: Path) -> None:
    """By hand: 15 mm finish and 45 mm over the pipe, 4 mm laid thinner, less 5 and 10 mm: 41, so 40 mm."""
    site = read_site_design(folder)
    table = json.loads((folder / "design.json").read_text(encoding="utf-8"))
    bare = depths(table, site, site_state(site, read_ledger(folder)))
    assert len(bare) == 9 and {d.most_mm for d in bare} == {None}
    whole(folder)
    full = depths(table, site, site_state(site, read_ledger(folder)))
    assert {(round(d.finish_mm), round(d.cover_mm), d.most_mm) for d in full} == {(15, 45, 40.0)}


@pytest.mark.parametrize(("finish", "cover", "most"), [(15, 45, 45), (0, 30, 15), (8, 30.9, 20), (0, 10, 0)])
def test_a_drill_never_comes_nearer_than_the_margin(finish: float, cover: float, most: float) -> None:
    assert most_depth_mm(finish, cover) == most
    assert most == 0 or finish + cover - most >= 15


def test_hostile_names_are_text_on_the_map(folder: Path) -> None:
    table = json.loads((folder / "design.json").read_text(encoding="utf-8"))
    storey = table["storeys"][0] | {"name": '<script>"&'}
    names = {room["ifc_guid"]: "</svg><script>x</script>" for room in storey["rooms"]}
    drawing = depth_map(storey, names, ())
    assert drawing is not None
    root = ET.fromstring(drawing)
    assert {element.tag.rpartition("}")[2] for element in root.iter()} == {"svg", "rect", "path", "text"}
    assert any("<script>" in (element.text or "") for element in root.iter())


# --- records from the page --------------------------------------------------------------------------


def saved(folder: Path, records: list[dict[str, Any]], **changes: Any) -> Path:
    path = folder / "site-records.json"
    content = {"warmloom_records": 1, "design": read_site_design(folder).fingerprint, "records": records} | changes
    path.write_text(json.dumps(content), encoding="utf-8")
    return path


LEAK = {"kind": "leak-test", "role": "fitter", "person": "A. Fitter",
        "values": {"manifold": "M1", "medium": "water", "start_bar": 6, "end_bar": 5.95, "hours": 2, "ambient_c": 14,
                   "station_isolated": "yes", "joints_dry": "yes", "on": "2025-05-05"}}  # fmt: skip


def test_a_file_from_the_page_is_taken_once(folder: Path) -> None:
    file = saved(folder, [LEAK, LEAK | {"values": LEAK["values"] | {"manifold": "M2", "end_bar": 4.0}}])
    run = warmloom("record", "file", folder, file)
    assert run.returncode == 1 and "2 taken, 0 were on file" in run.stdout and "look for the leak" in run.stdout
    lines = read_ledger(folder).lines
    assert [(line.kind, line.role, line.person, line.values["manifold"]) for line in lines] == [
        ("leak-test", "fitter", "A. Fitter", "M1"),
        ("leak-test", "fitter", "A. Fitter", "M2"),
    ]
    again = warmloom("record", "file", folder, file)
    assert again.returncode == 0 and "0 taken, 2 were on file" in again.stdout
    assert len(read_ledger(folder).lines) == 2


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"kind": "no-such"}, "no kind"),
        ({"kind": "photo"}, "no kind"),
        ({"role": "boss"}, "must be one of"),
        ({"person": "a\nb"}, "must be one of"),
        ({"values": LEAK["values"] | {"manifold": "M9"}}, "no such manifold"),
        ({"values": LEAK["values"] | {"hours": "many"}}, "not a number"),
        ({"values": LEAK["values"] | {"on": "2999-01-01"}}, "still to come"),
        ({"values": []}, "not a record"),
    ],
)
def test_one_bad_record_keeps_all_out(folder: Path, changes: dict[str, Any], said: str) -> None:
    run = warmloom("record", "file", folder, saved(folder, [LEAK, LEAK | changes]))
    assert run.returncode == 2 and said in run.stderr and "record 2" in run.stderr
    assert len(run.stderr.strip().splitlines()) == 1 and not (folder / "records.jsonl").exists()


@pytest.mark.parametrize(
    "content", ["", "[]", "{}", '{"warmloom_records": 2, "design": "a", "records": []}', "[" * 9000]
)
def test_what_is_no_file_of_records_is_told_in_one_line(folder: Path, content: str) -> None:
    path = folder / "other.json"
    path.write_text(content, encoding="utf-8")
    run = warmloom("record", "file", folder, path)
    assert run.returncode == 2 and "no file of records from the page" in run.stderr
    assert len(run.stderr.strip().splitlines()) == 1
