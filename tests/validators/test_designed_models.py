"""What is written for every sample and shared model before the checkers of others; the architect's own faults aside."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import ifcopenshell
import pytest
from designed_models import NAMES, Job, designed_job
from ifcopenshell import simple_spf
from ifctester import ids
from test_heating_file import ROOT, complaints

OWED = ROOT / "ufh_core" / "exchange" / "heating.ids"
WRITTEN = ("heating.ifc", "coordinated.ifc")


@pytest.fixture(scope="module", params=NAMES)
def job(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Job:
    return designed_job(request.param, tmp_path_factory)


def heard(path: Path) -> Counter[str]:
    """Complaints by schema and EXPRESS rules, without the numbers of lines in the file and of places in memory."""
    return Counter(re.sub(r"#\d+|0x[0-9a-f]+", "#", line) for line in complaints(path, rules=True))


def added(result: Path, model: Path) -> list[str]:
    """What is said of a result and not of the architect's model that it was made from."""
    said = heard(result)
    return sorted((said - heard(model)).elements()) if said else []


def test_syntax(job: Job) -> None:
    for name in WRITTEN:
        simple_spf.parse(filename=str(job.out / name), with_tree=False)


def test_schema_and_rules(job: Job) -> None:
    assert heard(job.out / "heating.ifc") == Counter()
    assert added(job.out / "coordinated.ifc", job.model) == []


def test_what_is_owed_to_those_who_receive_it(job: Job) -> None:
    owed = ids.open(str(OWED), validate=True)
    owed.validate(job.read())
    assert len(owed.specifications) >= 5
    assert [part.name for part in owed.specifications if part.is_ifc_version and not part.status] == []
    assert any(part.is_ifc_version and part.applicable_entities for part in owed.specifications)


# --- these checks bite ------------------------------------------------------------------------------


@pytest.mark.parametrize("job", ["bungalow"], indirect=True)
def test_a_file_cut_short_is_found(job: Job, tmp_path: Path) -> None:
    whole = (job.out / "coordinated.ifc").read_text(encoding="utf-8")
    (tmp_path / "cut.ifc").write_text(whole[: len(whole) // 2], encoding="utf-8")
    with pytest.raises(simple_spf.CollectedValidationErrors):
        simple_spf.parse(filename=str(tmp_path / "cut.ifc"), with_tree=False)


@pytest.mark.parametrize("job", ["bungalow"], indirect=True)
def test_an_addition_that_breaks_a_rule_is_found(job: Job, tmp_path: Path) -> None:
    model = ifcopenshell.open(str(job.out / "coordinated.ifc"))
    joint = model.by_type("IfcRelConnectsPorts")[0]
    joint.RelatedPort = joint.RelatingPort
    model.write(str(tmp_path / "spoilt.ifc"))
    assert any("NoSelfReference" in line for line in added(tmp_path / "spoilt.ifc", job.model))
