"""What a change touches of a design, and that a new design keeps all else: one design of a made-up dwelling."""

from __future__ import annotations

import json
import tomllib
import zipfile
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import ifcopenshell
import numpy as np
import pytest
import shapely
import shapely.ops
from revision_models import Changes, doors_of, dwelling, rooms_of, walls_of

from tests.cli.command_line import warmloom
from ufh_core.basis.errors import UfhError
from ufh_core.building.read import read_building
from ufh_core.building.types import Building
from ufh_core.design import design_building
from ufh_core.exchange.design_json import write_json
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.revision import Effect, Revision, compare_models, read_earlier_design
from ufh_core.revision.carrying import carried_circuits, carried_settings
from ufh_core.revision.words import revision_lines
from ufh_core.settings import RoomOverride, Settings
from ufh_core.settings.steering import ManifoldPlace
from ufh_core.settings.types import ManifoldSettings, RoomSettings

CLEARANCE_M = 0.05  # of an axis from walls, the settings' default
MOVED = Changes(wall_x=3.3)
AWAY = Changes(wall_x=3.3, turn=0.3, place=(400.0, -80.0, 12.0))
ELSEWHERE = Changes(wall_x=3.3, new_ids=True, turn=0.3, place=(400.0, -80.0, 12.0))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with old.ifc and its design in `out`."""
    folder = tmp_path_factory.mktemp("revised")
    model = dwelling(folder, "old")
    design = design_building(read_building(model, Settings()), Settings())
    (folder / "out").mkdir()
    write_json(design, folder / "out" / "design.json")
    write_heating_model(design, model, folder / "out" / "heating.ifc")
    return folder


@cache
def first(folder: Path) -> Building:
    return read_building(folder / "old.ifc", Settings())


def put_to_design(folder: Path, changes: Changes, name: str = "new") -> Revision:
    new = read_building(dwelling(folder, name, changes), Settings())
    return compare_models(first(folder), new, read_earlier_design(folder / "out", first(folder)))


def results(folder: Path) -> dict[str, Any]:
    return dict(json.loads((folder / "design.json").read_text(encoding="utf-8"))["storeys"][0])


def circuits_in(folder: Path, *names: str) -> set[str]:
    """Numbers of the circuits that warm rooms, by the beginnings of their names."""
    storey = results(folder)
    guids = {r["ifc_guid"] for r in storey["rooms"] if r["name"].startswith(names)}
    return {c["number"] for c in storey["circuits"] if guids & set(c["rooms"])}


def in_rooms(found: Revision, guids: tuple[str, ...]) -> set[str]:
    return {found.new.room(guid).label for guid in guids}


def test_a_wall_that_moved_touches_the_circuits_of_its_two_rooms_alone(folder: Path) -> None:
    found = put_to_design(folder, MOVED)
    mine = circuits_in(folder / "out", "2 ", "3 ")
    assert found.laid_anew == mine and len(mine) < len(found.circuits) and found.manifolds == ()
    (change,) = found.changes
    assert set(change.circuits) == mine
    lengths = {c["number"]: c["length_m"] for c in results(folder / "out")["circuits"]}
    assert change.pipe_m == pytest.approx(sum(lengths[n] for n in mine), abs=0.01)
    assert in_rooms(found, found.panels) == {"2 Living room", "3 Bedroom"}
    assert f"{len(mine)} of {len(lengths)} circuits are laid anew" in revision_lines(found)[-2]


@pytest.mark.parametrize(
    ("changes", "rooms"),
    [
        (Changes(unit=(0.0, 4.35, 1.2, 4.95)), ("2 ",)),
        (Changes(column=(1.0, 3.0, 1.3, 3.3)), ("2 ",)),
        (Changes(without=("5",)), ("5 ",)),
        (Changes(split=True), ("4 ",)),
        (Changes(long_names={"3": "Kitchen"}), ("3 ",)),
        (Changes(floors={"3": 0.02}), ("3 ",)),
    ],
    ids=["unit", "column", "removed", "split", "use", "step"],
)
def test_what_changed_in_one_room_touches_its_circuits_alone(
    folder: Path, changes: Changes, rooms: tuple[str, ...]
) -> None:
    found = put_to_design(folder, changes)
    assert found.laid_anew and found.laid_anew <= circuits_in(folder / "out", *rooms)
    assert {n for c in found.changes for n in c.circuits} == found.laid_anew and found.anything_touched


@pytest.mark.parametrize("changes", [MOVED, Changes(door_x=6.0), Changes(split=True)], ids=["wall", "door", "split"])
def test_what_stays_keeps_clear_of_the_new_walls_and_what_does_not_is_touched(folder: Path, changes: Changes) -> None:
    """Walls as they are drawn, not as they are read; near its ports a pipe may come closer to its own wall."""
    found = put_to_design(folder, changes)
    doors = shapely.union_all([shapely.box(*box).buffer(0.2) for _, box in doors_of(changes).values()])
    walls = shapely.union_all([shapely.box(*box) for box in walls_of(changes).values()]).difference(doors)
    for circuit in found.circuits:
        length = circuit.line.length
        core = shapely.ops.substring(circuit.line, 0.4, length - 0.4)
        if circuit.number not in found.laid_anew:
            assert core.distance(walls) > CLEARANCE_M - 0.005, circuit.number
        elif changes is not MOVED:  # there the rooms ask for it too
            assert core.distance(walls) < CLEARANCE_M, circuit.number


def test_a_storey_that_was_raised_lays_nothing_anew(folder: Path) -> None:
    found = put_to_design(folder, Changes(up=0.05))
    assert {t.effect for t in found.touched} == {Effect.FIGURES} and not found.laid_anew
    assert len(found.touched) == len(found.circuits) and found.anything_touched


def test_a_new_name_touches_nothing(folder: Path) -> None:
    found = put_to_design(folder, Changes(long_names={"3": "Bedroom of the guests"}))
    assert found.touched == () and not found.anything_touched


def test_a_manifold_whose_place_is_taken_has_to_move_with_all_its_circuits(folder: Path) -> None:
    (manifold,) = results(folder / "out")["manifolds"]
    x, y = (p + 0.3 * n for p, n in zip(manifold["position"], manifold["normal"], strict=True))
    found = put_to_design(folder, Changes(column=(x - 0.15, y - 0.15, x + 0.15, y + 0.15)))
    assert found.manifolds == (manifold["name"],) and found.changes[0].manifolds == (manifold["name"],)
    assert found.laid_anew == {c.number for c in found.circuits}
    assert f"manifold {manifold['name']} has to move" in revision_lines(found)[0]
    (cabinet,) = found.cabinets
    there = shapely.Point(x, y)
    assert cabinet.outline.distance(there) < 0.31 and cabinet.outline.area == pytest.approx(
        manifold["width_m"] * manifold["depth_m"], rel=1e-3
    )


def test_without_the_rule_nothing_would_be_touched(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The check bites: with no fault found on the new plan, a post in a room touches no circuit."""
    monkeypatch.setattr("ufh_core.revision.touched.standing_faults", lambda pipes, brief: {p.label: "" for p in pipes})
    assert not put_to_design(folder, Changes(column=(1.0, 3.0, 1.3, 3.3))).laid_anew


def test_a_design_of_another_model_is_refused(folder: Path, tmp_path: Path) -> None:
    other = read_building(dwelling(tmp_path, "other", MOVED), Settings())
    with pytest.raises(UfhError, match="design of another model, or state of it"):
        read_earlier_design(folder / "out", other)


# --- what is carried over -----------------------------------------------------------------------


def test_settings_follow_ids_and_coordinates_of_a_model_that_was_moved(folder: Path) -> None:
    found = put_to_design(folder, ELSEWHERE, "elsewhere")
    guids = {r.label: r.ifc_guid for s in first(folder).storeys for r in s.rooms}
    override = RoomOverride(match=guids["3 Bedroom"], leave_out=(((5.0, 3.0), (6.0, 3.0), (6.0, 4.0)),))
    place = ManifoldPlace(name="hall", at=(2.0, 1.5))
    settings = Settings(rooms=RoomSettings(overrides=(override,)), manifold=ManifoldSettings(places=(place,)))
    carried = carried_settings(settings, found)
    assert found.new.room(carried.rooms.overrides[0].match).label == "3 Bedroom"
    moved = found.new.frame.to_local(shapely.get_coordinates(shapely.Polygon(carried.rooms.overrides[0].leave_out[0])))
    room = found.new.room(carried.rooms.overrides[0].match).outline
    assert room.buffer(1e-4).covers(shapely.Polygon(moved)) and shapely.Polygon(moved).area == pytest.approx(
        0.5, abs=1e-5
    )
    assert carried.manifold.places[0].at == pytest.approx((400 + 1.46743, -80 + 2.02404), abs=1e-4)  # by hand: 0.3 rad


def test_circuits_follow_new_ids(folder: Path) -> None:
    """In a model that was moved with its storey, nothing moves in the storey's frame."""
    found = put_to_design(folder, ELSEWHERE, "elsewhere")
    carried = json.loads(carried_circuits(found, read_earlier_design(folder / "out", first(folder))))["storeys"][0]
    before = results(folder / "out")
    labels = {r["ifc_guid"]: r["name"] for r in before["rooms"]}
    assert carried["ifc_guid"] == found.new.storeys[0].ifc_guid != before["ifc_guid"]
    for was, now in zip(before["circuits"], carried["circuits"], strict=True):
        assert [found.new.room(guid).label for guid in now["rooms"]] == [labels[guid] for guid in was["rooms"]]
        ends = [(p if isinstance(p, list) else p["arc"][2]) for row in (was, now) for p in row["path"]]
        half = len(ends) // 2
        assert np.abs(np.subtract(ends[:half], ends[half:])).max() < 1e-5


# --- the command --------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def redesigned(folder: Path) -> tuple[Path, str]:
    """The folder that one command writes where a wall was moved, and the whole model in the world; what it said."""
    new = dwelling(folder, "moved", AWAY)
    out = folder / "next"
    run = warmloom(
        "compare", folder / "old.ifc", new, "--design", folder / "out", "--out", out, "--redesign", "--bcf", "2.1",
        "--quiet",
    )  # fmt: skip
    assert run.returncode in (0, 1), run.stderr
    return out, run.stdout


def guids(folder: Path, ifc_class: str) -> dict[str, str]:
    return {e.Name: e.GlobalId for e in ifcopenshell.open(folder / "heating.ifc").by_type(ifc_class)}


def test_one_command_designs_anew_and_ids_elsewhere_are_equal(folder: Path, redesigned: tuple[Path, str]) -> None:
    out, said = redesigned
    before, after = results(folder / "out"), results(out)
    touched = circuits_in(folder / "out", "2 ", "3 ")
    old = {c["number"]: c["path"] for c in before["circuits"] if c["number"] not in touched}
    new = {c["number"]: c["path"] for c in after["circuits"] if c["kept"]}
    assert new == old and len(old) >= 3
    assert all(circuits_in(out, "2 ", "3 ") >= {c["number"]} for c in after["circuits"] if not c["kept"])
    for ifc_class in ("IfcDistributionCircuit", "IfcPipeSegment", "IfcSpatialZone", "IfcElementAssembly"):
        was, now = guids(folder / "out", ifc_class), guids(out, ifc_class)
        same = {name: guid for name, guid in was.items() if not any(n in name for n in touched)}
        assert same and same.items() <= now.items()
    assert said.splitlines()[0].startswith('Wall "Partition" between 2 Living room and 3 Bedroom moved by 0.30 m')


def test_its_folder_has_plan_topics_and_settings(redesigned: tuple[Path, str]) -> None:
    out, _ = redesigned
    there = {path.name for path in out.iterdir()}
    assert {"revision-Ground-floor.svg", "revision.bcf", "keep.toml", "earlier-circuits.json", "heating.ifc"} <= there
    kept = tomllib.loads((out / "keep.toml").read_text(encoding="utf-8"))["circuits"]["keep"]
    assert {row["file"] for row in kept} == {str(out / "earlier-circuits.json")}
    texts = "".join(ET.parse(out / "revision-Ground-floor.svg").getroot().itertext())
    assert "Revision plan: Ground floor" in texts and "1: Wall" in texts
    with zipfile.ZipFile(out / "revision.bcf") as archive:
        markups = [ET.fromstring(archive.read(n)) for n in archive.namelist() if n.endswith("markup.bcf")]
    told = {
        (t.get("TopicType"), (t.findtext("Description") or "").split("[")[-1]) for m in markups for t in m.iter("Topic")
    }
    assert told == {("Warning", "revision.wall-moved]"), ("Note", "revision.model-moved]")}


def test_statuses_and_json(folder: Path) -> None:
    old, design = folder / "old.ifc", ("--design", folder / "out")
    same = warmloom("compare", old, old, *design, "--quiet")
    assert (same.returncode, same.stdout) == (0, "nothing changed\n")
    named = warmloom(
        "compare", old, dwelling(folder, "named", Changes(long_names={"3": "Bedroom 3"})), *design, "--quiet"
    )
    assert named.returncode == 0 and "is called 3 Bedroom 3 now" in named.stdout
    moved = warmloom("compare", old, dwelling(folder, "moved", MOVED), *design, "--json", "--quiet")
    told = json.loads(moved.stdout)
    assert moved.returncode == 1 and {c["number"] for c in told["circuits"]} == circuits_in(folder / "out", "2 ", "3 ")
    assert [c["code"] for c in told["changes"]] == ["revision.wall-moved"]
    assert set(told["stay"]).isdisjoint(c["number"] for c in told["circuits"])


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--redesign",), "--redesign needs --design"),
        (("--bcf", "2.1"), "--bcf needs --out"),
        (("--design", "nowhere"), "there is no design.json"),
    ],
)
def test_what_cannot_be_compared_ends_in_one_line(folder: Path, more: tuple[str, ...], words: str) -> None:
    run = warmloom("compare", folder / "old.ifc", folder / "old.ifc", *more, "--quiet")
    assert run.returncode == 2 and run.stderr.count("\n") == 1 and words in run.stderr


def test_what_is_drawn_is_what_was_meant() -> None:
    """The rooms of the made-up dwelling fill the floor between its walls."""
    walls = shapely.union_all([shapely.box(*box) for box in walls_of(Changes()).values()])
    rooms = [shapely.box(*box) for _, box in rooms_of(Changes()).values()]
    assert shapely.union_all([walls, *rooms]).area == pytest.approx(7.8 * 8.5, abs=1e-6)
    assert all(room.intersection(walls).area == pytest.approx(0.0, abs=1e-9) for room in rooms)
