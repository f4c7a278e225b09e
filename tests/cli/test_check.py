"""`warmloom check` on made-up models: what is said, exit status, and what is refused in one line."""

from __future__ import annotations

import json
import signal
import sys
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from building_sketch import Sketch, two_rooms

sys.path.append(str(Path(__file__).resolve().parents[1] / "exchange"))

import made_up_house as house
import made_up_pair as pair

from ufh_core.cli import main
from ufh_core.exchange.design_json import write_json
from ufh_core.exchange.heating_model import write_heating_model


@dataclass(frozen=True)
class Run:
    """What a command said."""

    returncode: int
    stdout: str
    stderr: str


@pytest.fixture
def warmloom(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Run]:
    """The command, in this process: starting a new one each time takes longer than the check."""
    before = signal.getsignal(signal.SIGTERM)

    def run(*arguments: object) -> Run:
        monkeypatch.setattr(sys, "argv", ["warmloom", *map(str, arguments)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main()
        signal.signal(signal.SIGTERM, before)
        said = capsys.readouterr()
        return Run(int(ended.value.code or 0), said.out, said.err)

    return run


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A design's folder in `out` beside the architect's model and a riser of another trade on a pipe."""
    folder = tmp_path_factory.mktemp("pair")
    architect, design = pair.make_pair(house.PLACES["IFC4-mm"], folder)
    (folder / "out").mkdir()
    write_heating_model(design, architect, folder / "out" / "heating.ifc")
    write_json(design, folder / "out" / "design.json")
    x, y = design.building.frame.to_world(design.storeys[0].circuits[0].laid.axis.points())[40]
    other = Sketch(unit="ft")
    other.box("IfcDuctSegment", x - 0.1, y - 0.1, x + 0.1, y + 0.1, -0.5, 3.0, other.storey(), name="Riser")
    other.save(folder, "ventilation.ifc")
    return folder


def test_each_finding_is_a_line_and_the_status_tells(warmloom: Callable[..., Run], folder: Path) -> None:
    run = warmloom("check", folder / "architect.ifc", "--design", folder / "out", "--with", folder / "ventilation.ifc")
    assert run.returncode == 1, run.stderr
    lines = run.stdout.splitlines()
    riser = [line for line in lines if "coordination.pipe-on-duct" in line]
    assert len(riser) == 1 and riser[0].startswith("error: ")
    assert "M1.01" in riser[0] and '"Riser"' in riser[0] and "ventilation.ifc" in riser[0]
    assert "local codes" in lines[-1] and "error" in lines[-1]


def test_the_heating_may_be_named_in_three_ways(warmloom: Callable[..., Run], folder: Path) -> None:
    ways = (["--design", folder / "out"], [folder / "out"], [folder / "out" / "heating.ifc"])
    said = [warmloom("check", folder / "architect.ifc", *way, "--json", "--quiet") for way in ways]
    assert len({run.stdout for run in said}) == 1
    findings = json.loads(said[0].stdout)["findings"]
    assert "coordination.pipe-on-duct" not in {f["code"] for f in findings}
    assert said[0].returncode == int(any(f["severity"] != "note" for f in findings))
    assert said[0].stderr == ""


def test_elements_are_named_by_globalid(warmloom: Callable[..., Run], folder: Path) -> None:
    run = warmloom("check", folder / "architect.ifc", folder / "out", "--with", folder / "ventilation.ifc", "--json")
    found = next(f for f in json.loads(run.stdout)["findings"] if f["code"] == "coordination.pipe-on-duct")
    texts = [(folder / name).read_text(encoding="utf-8") for name in ("ventilation.ifc", "out/heating.ifc")]
    assert [g for g in found["ifc_guids"] if not any(g in text for text in texts)] == []
    assert len(found["ifc_guids"]) >= 2 and len(found["at_world"]) == 2


def test_topics_of_a_check_keep_their_ids_and_close(warmloom: Callable[..., Run], folder: Path, tmp_path: Path) -> None:
    """With the duct and without: its topic closes, and keeps its id."""
    model, own = folder / "architect.ifc", ["--design", folder / "out", "--bcf", "3.0", "--out", tmp_path, "--quiet"]
    warmloom("check", model, *own, "--with", folder / "ventilation.ifc")
    before = topics(tmp_path / "clashes.bcf")
    assert [p.name for p in tmp_path.iterdir()] == ["clashes.bcf"]
    warmloom("check", model, *own)
    after = topics(tmp_path / "clashes.bcf")
    assert before.keys() == after.keys() and set(before.values()) == {"Open"}
    assert {g for g in after if after[g] == "Closed"} == {g for g in before if "ventilation.ifc" in g[1]}
    assert any("pipe-on-duct" in text for _, text in before)


def topics(archive: Path) -> dict[tuple[str, str], str]:
    """Status of each topic by its id and what it is about."""
    with zipfile.ZipFile(archive) as read:
        markups = [ET.fromstring(read.read(n)) for n in read.namelist() if n.endswith("markup.bcf")]
    found = [t for m in markups for t in m.iter("Topic")]
    return {(t.attrib["Guid"], t.findtext("Description") or ""): t.attrib["TopicStatus"] for t in found}


@pytest.mark.parametrize(
    "given",
    [
        ["--design", "out", "--bcf=2.1"],
        ["--design", "out", "--out", "topics"],
        ["--design", "missing"],
        ["--design", "out", "out"],
        ["--design", "out", "--with", "missing.ifc"],
        ["--design", "out", "--with", "out/heating.ifc"],
        ["--design", "architect.ifc"],
    ],
)
def test_what_cannot_be_checked_is_one_line(warmloom: Callable[..., Run], folder: Path, given: list[str]) -> None:
    paths = [str(folder / g) if not g.startswith("--") else g for g in given]
    run = warmloom("check", folder / "architect.ifc", "--quiet", *paths)
    assert run.returncode == 2 and run.stdout == ""
    assert run.stderr.count("\n") == 1 and "Traceback" not in run.stderr


def test_settings_are_those_of_the_design(warmloom: Callable[..., Run], folder: Path) -> None:
    """A design that asks for more screed than it has is found by its own settings, not by the defaults."""
    results = folder / "out" / "design.json"
    before = results.read_text(encoding="utf-8")
    table = json.loads(before)
    table["settings"]["floor"]["screed_cover_m"] = 0.09
    results.write_text(json.dumps(table), encoding="utf-8")
    run = warmloom("check", folder / "architect.ifc", folder / "out", "--quiet")
    results.write_text(before, encoding="utf-8")
    assert "coordination.cover-too-thin" in run.stdout
    assert "coordination.cover-too-thin" not in warmloom("check", folder / "architect.ifc", folder / "out").stdout


def test_without_a_design_one_is_made_and_nothing_written(warmloom: Callable[..., Run], tmp_path: Path) -> None:
    model = two_rooms()[0].save(tmp_path)
    run = warmloom("check", model, "--quiet")
    assert run.returncode in (0, 1) and "coordination.drilling" in run.stdout
    assert [p.name for p in tmp_path.iterdir()] == [model.name]
