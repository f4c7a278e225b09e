"""`design --merge --bcf`: one file for all trades, topics for findings, and a second run on its own result."""

import zipfile
from pathlib import Path

import ifcopenshell
import pytest
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


def test_other_versions_of_issues_are_refused_in_one_line(tmp_path: Path) -> None:
    run = warmloom("design", SAMPLES / "bungalow.ifc", "--out", tmp_path / "out", "--bcf", "1.0")
    assert run.returncode == 2 and run.stderr.count("\n") == 1 and "2.1" in run.stderr
    assert not (tmp_path / "out").exists()
