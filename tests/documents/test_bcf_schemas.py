"""Every file in our archives of topics against the standard's own XML schemas, where they are on the machine.

Source: buildingSMART, BCF-XML 2.1 and 3.0. Their licence (CC BY-ND 4.0) is not this project's, so they are not part of
it: they are taken from the folder that WARMLOOM_BCF_SCHEMAS names (`2.1` and `3.0` in it), those of 2.1 else from the
library bcf-api-xml where it is installed.
"""

from __future__ import annotations

import importlib.util
import os
import sys
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
import xmlschema

from tests.designed_models import designed_job
from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.read import read_building
from ufh_core.clash_check import Checked, checked_heating
from ufh_core.documents.check_issues import write_check_issues
from ufh_core.documents.coordination_bcf import write_coordination

sys.path.append(str(Path(__file__).resolve().parents[1] / "coordination"))

from planted_cases import CASES
from planted_house import House, Models, build_house

VERSIONS = ("2.1", "3.0")
SCHEMA_OF = {"bcf.version": "version", "extensions.xml": "extensions", "markup.bcf": "markup", ".bcfv": "visinfo"}


def schema_folder(version: str) -> Path | None:
    """Where the schemas of a version are; None where they are not on this machine."""
    given = os.environ.get("WARMLOOM_BCF_SCHEMAS")
    folders = [Path(given) / version] if given else []
    library = importlib.util.find_spec("bcf_api_xml")
    if version == "2.1" and library is not None and library.origin:
        folders.append(Path(library.origin).parent / "Schemas")
    return next((f for f in folders if (f / "markup.xsd").is_file()), None)


def faults(archive: Path, version: str) -> list[str]:
    """What the schemas say against each file of an archive; files without a schema are pictures."""
    folder = schema_folder(version)
    if folder is None:
        pytest.skip(f"no schemas of BCF {version} on this machine: name their folder with WARMLOOM_BCF_SCHEMAS")
    schemas = {name: xmlschema.XMLSchema(str(folder / f"{name}.xsd")) for name in set(SCHEMA_OF.values())
               if (folder / f"{name}.xsd").is_file()}  # fmt: skip
    found, met = [], set()
    with zipfile.ZipFile(archive) as read:
        for name in read.namelist():
            kind = next((s for end, s in SCHEMA_OF.items() if name.endswith(end)), None)
            if kind in schemas:
                met.add(kind)
                found += [f"{name}: {e.reason}" for e in schemas[kind].iter_errors(read.read(name).decode("utf-8"))]
    assert {"version", "markup", "visinfo"} <= met
    return found


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> House:
    return build_house(tmp_path_factory.mktemp("planted"))


def checked_conflicts(house: House) -> Checked:
    """The planted house with a drain on a pipe and a column in the cabinet."""
    models = Models.of(house)
    for name in ("drain on a pipe", "column in the cabinet"):
        CASES[name].plant(models)
    paths = models.written()
    building = read_building(paths["architect"], house.settings)
    return checked_heating(building, paths["architect"], paths["heating"], house.settings, [paths["other"]])


@pytest.mark.parametrize("version", VERSIONS)
def test_every_topic_of_a_sample_is_valid(
    version: str, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    write_coordination(designed_job("bungalow", tmp_path_factory).design(), tmp_path / "c.bcf", version)
    assert faults(tmp_path / "c.bcf", version) == []


@pytest.mark.parametrize("version", VERSIONS)
def test_topics_of_planted_conflicts_are_valid_and_so_are_those_that_close(
    version: str, house: House, tmp_path: Path
) -> None:
    checked = checked_conflicts(house)
    codes = {f.code for f in checked.findings}
    assert {"coordination.pipe-on-drain", "coordination.cabinet-in-column"} <= codes
    write_check_issues(checked, tmp_path / "1.bcf", version)
    assert faults(tmp_path / "1.bcf", version) == []
    less = replace(checked, findings=checked.findings[:1])
    write_check_issues(less, tmp_path / "2.bcf", version, tmp_path / "1.bcf")
    assert faults(tmp_path / "2.bcf", version) == []
    with zipfile.ZipFile(tmp_path / "2.bcf") as read:
        assert any(b'TopicStatus="Closed"' in read.read(n) for n in read.namelist() if n.endswith("markup.bcf"))


@pytest.mark.parametrize("version", VERSIONS)
def test_the_schemas_bite(version: str, house: House, tmp_path: Path) -> None:
    """A GlobalId of 21 letters, and a status that is left out: each is told."""
    bad = Finding(code="a.one", severity=Severity.WARNING, message="one line", ifc_guids=("0" * 21,), at=(1.0, 1.0))
    checked = checked_conflicts(house)
    write_check_issues(replace(checked, findings=(bad,)), tmp_path / "bad.bcf", version)
    assert len(faults(tmp_path / "bad.bcf", version)) >= 1
    write_check_issues(replace(checked, findings=(replace(bad, ifc_guids=()),)), tmp_path / "ok.bcf", version)
    with zipfile.ZipFile(tmp_path / "ok.bcf") as old, zipfile.ZipFile(tmp_path / "odd.bcf", "w") as odd:
        for name in old.namelist():
            odd.writestr(name, old.read(name).replace(b"<CreationAuthor>Warmloom</CreationAuthor>", b""))
    assert faults(tmp_path / "ok.bcf", version) == [] and len(faults(tmp_path / "odd.bcf", version)) == 1
