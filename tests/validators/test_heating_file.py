"""A written heating model before checkers that nobody here wrote; nothing of the library is imported."""

from __future__ import annotations

import importlib.util
import json
import logging
import os
import subprocess
import sys
from pathlib import Path

import ifcopenshell
import ifcopenshell.validate
import pytest

ROOT = Path(__file__).resolve().parents[2]
JUDGE = Path(os.environ.get("WARMLOOM_JUDGE", ROOT.parent / "shared" / "judge" / "judge.py")).parent
WRITER = ROOT / "tests" / "exchange" / "write_made_up_pair.py"
PLACES = ("IFC2X3-feet", "IFC4-mm", "IFC4X3-m-far")
needs_judge = pytest.mark.skipif(not JUDGE.is_dir(), reason="the independent judge is not beside the project")


def write_pair(name: str, folder: Path, *doors: str) -> Path:
    subprocess.run([sys.executable, str(WRITER), name, str(folder), *doors], check=True)
    return folder


@pytest.fixture(scope="module", params=PLACES)
def folder(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_pair(request.param, tmp_path_factory.mktemp("pair"))


def judged(folder: Path) -> tuple[int, dict[str, str]]:
    """(exit status, verdict by check) of the judge."""
    out = folder / "verdict.json"
    files = [str(folder / "architect.ifc"), str(folder / "heating.ifc")]
    run = subprocess.run(
        [sys.executable, str(JUDGE / "judge.py"), *files, "--json", str(out)],
        capture_output=True,
        text=True,
        check=False,
    )
    lines = [line.split() for line in run.stdout.splitlines() if line.startswith(("PASS  H", "FAIL  H"))]
    assert json.loads(out.read_text())
    return run.returncode, {code: word for word, code, *_ in lines}


class Complaints(logging.Handler):
    """Collects what a logger is told."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())


def complaints(path: Path, *, rules: bool) -> list[str]:
    """Errors of the schema check (with the EXPRESS rules, if they can be run here)."""
    logger, heard = logging.getLogger(f"validate {path}"), Complaints()
    logger.addHandler(heard)
    logger.setLevel(logging.ERROR)
    ifcopenshell.validate.validate(str(path), logger, express_rules=rules)
    return heard.lines


def test_schema_and_rules(folder: Path) -> None:
    assert importlib.util.find_spec("_pytest")
    assert complaints(folder / "heating.ifc", rules=True) == []


def test_schema_check_bites(folder: Path, tmp_path: Path) -> None:
    model = ifcopenshell.open(str(folder / "heating.ifc"))
    joints = model.by_type("IfcRelConnectsPorts")
    joints[0].RelatedPort = joints[0].RelatingPort
    model.by_type("IfcPipeSegment")[0].GlobalId = model.by_type("IfcPipeSegment")[1].GlobalId
    model.write(str(tmp_path / "broken.ifc"))
    assert len(complaints(tmp_path / "broken.ifc", rules=True)) >= 2


@needs_judge
def test_judge_passes_all_hard_checks(folder: Path) -> None:
    status, verdicts = judged(folder)
    assert verdicts == {f"H{k}": "PASS" for k in range(1, 10)}
    assert status == 0


@needs_judge
@pytest.mark.parametrize("name", PLACES)
def test_judge_accepts_sleeves_where_there_is_no_door(name: str, tmp_path: Path) -> None:
    status, verdicts = judged(write_pair(name, tmp_path, "A"))
    assert verdicts["H3"] == "PASS" and status == 0


@needs_judge
def test_judge_bites_on_a_false_length_and_an_open_joint(folder: Path, tmp_path: Path) -> None:
    model = ifcopenshell.open(str(folder / "heating.ifc"))
    for value in model.by_type("IfcPropertySingleValue"):
        if value.Name == "PipeLength":
            value.NominalValue.wrappedValue *= 1.01
    pipe_port = next(p for r in model.by_type("IfcPipeSegment")[0].IsNestedBy for p in r.RelatedObjects)
    model.remove((*pipe_port.ConnectedTo, *pipe_port.ConnectedFrom)[0])
    model.write(str(tmp_path / "heating.ifc"))
    (tmp_path / "architect.ifc").write_bytes((folder / "architect.ifc").read_bytes())
    status, verdicts = judged(tmp_path)
    assert status == 1 and verdicts["H6"] == verdicts["H7"] == "FAIL"


@needs_judge
def test_port_walk_is_closed_with_two_open_connections(folder: Path) -> None:
    walk = [sys.executable, str(JUDGE / "port_walk.py"), str(folder / "heating.ifc")]
    run = subprocess.run(walk, capture_output=True, text=True, check=False)
    assert run.stdout.strip() == "2 pipes, 2 open ports, 0 faults"
    assert run.returncode == 0


def test_every_flow_element_is_reached_from_the_primary_flow(folder: Path) -> None:
    """A walk of our own: from the open inlet with the water to the open outlet, over all elements with ports."""
    model = ifcopenshell.open(str(folder / "heating.ifc"))
    owner = {p: r.RelatingObject for r in model.by_type("IfcRelNests") for p in r.RelatedObjects}
    ports: dict[object, list[object]] = {}
    for port, element in owner.items():
        ports.setdefault(element, []).append(port)
    after = {r.RelatingPort: r.RelatedPort for r in model.by_type("IfcRelConnectsPorts")}
    opened = [p for p in owner if p not in after and p not in set(after.values())]
    assert sorted(p.FlowDirection for p in opened) == ["SINK", "SOURCE"]
    start = next(p for p in opened if p.FlowDirection == "SINK")
    seen, waiting = set(), [owner[start]]
    while waiting:
        element = waiting.pop()
        if element not in seen:
            seen.add(element)
            waiting += [owner[after[p]] for p in ports[element] if p in after]
    assert seen == set(ports)
    assert owner[next(p for p in opened if p.FlowDirection == "SOURCE")] in seen
