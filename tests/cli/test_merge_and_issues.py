"""`design --merge --bcf --with`: one file for all trades, topics for findings, a second run on its own result."""

import json
import math
import zipfile
from pathlib import Path
from typing import Any

import ifcopenshell
import pytest
from building_sketch import Sketch
from command_line import SAMPLES, warmloom
from designed_models import EVERYTHING, designed_job


def test_second_run_on_the_coordinated_model_writes_the_same_files(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    job, again = designed_job("bungalow", tmp_path_factory), tmp_path / "again"
    first = job.out
    repeat = warmloom("design", first / "coordinated.ifc", "--out", again, *EVERYTHING, "--quiet")
    assert repeat.returncode == job.status, repeat.stderr
    for name in ("coordinated.ifc", "heating.ifc", "design.json", "coordination.bcf"):
        assert (first / name).read_bytes() == (again / name).read_bytes(), name
    theirs = {e.id(): str(e) for e in ifcopenshell.open(str(SAMPLES / "bungalow.ifc"))}
    after = {e.id(): str(e) for e in ifcopenshell.open(str(first / "coordinated.ifc"))}
    assert [number for number, text in theirs.items() if after.get(number) != text] == []
    with zipfile.ZipFile(first / "coordination.bcf") as archive:
        assert any(name.endswith("/snapshot.png") for name in archive.namelist())


def test_a_clash_with_another_trade_is_told_in_results_and_issues_by_the_ids_of_the_heating(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    job, out = designed_job("bungalow", tmp_path_factory), tmp_path / "out"
    wanted = ("--out", out, "--bcf", "3.0", "--quiet", "--with", _duct_riser(tmp_path))
    run = warmloom("design", SAMPLES / "bungalow.ifc", *wanted, before=job.answers())
    assert run.returncode == 1, run.stderr
    with zipfile.ZipFile(out / "coordination.bcf") as archive:
        views = [archive.read(n).decode() for n in archive.namelist() if n.endswith(".bcfv")]
    clash = _clash(out)
    assert clash["severity"] == "error" and len(clash["ifc_guids"]) > 1
    assert any(all(guid in view for guid in clash["ifc_guids"]) for view in views)
    written = {e.GlobalId for e in ifcopenshell.open(str(out / "heating.ifc")).by_type("IfcPipeSegment")}
    assert set(clash["ifc_guids"][1:]) <= written


def _duct_riser(folder: Path) -> Path:
    """Another trade's duct up through the living room, in the sample's place."""
    sketch = Sketch(unit="mm", turn=math.radians(23.0), place=(48.25, 112.6, 1.35))
    storey = sketch.storey()
    sketch.box("IfcDuctSegment", 1.8, 1.3, 2.3, 1.8, -0.5, 3.0, storey, name="Riser")
    return sketch.save(folder, "ventilation.ifc")


def _clash(folder: Path) -> dict[str, Any]:
    """The finding of a design that tells of the duct."""
    findings = json.loads((folder / "design.json").read_text(encoding="utf-8"))["findings"]
    return next(f for f in findings if f["code"] == "coordination.pipe-on-duct")


def test_other_versions_of_issues_are_refused_in_one_line(tmp_path: Path) -> None:
    run = warmloom("design", SAMPLES / "bungalow.ifc", "--out", tmp_path / "out", "--bcf", "1.0")
    assert run.returncode == 2 and run.stderr.count("\n") == 1 and "2.1" in run.stderr
    assert not (tmp_path / "out").exists()
