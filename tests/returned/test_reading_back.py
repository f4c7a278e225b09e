"""What was edited elsewhere is found, judged by the rules, and gone on from. Regressions of an invented dwelling.

Edits are made with ifcopenshell in the file, as another program would; what must come of them is reckoned here.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import edits
import ifcopenshell
import ifcpatch
import numpy as np
import pytest
import shapely
from revision_models import dwelling

from tests.cli.command_line import warmloom
from tests.designed_models import designed_job
from ufh_core.basis.errors import ModelReadError
from ufh_core.building.read import read_building
from ufh_core.building.types import Building
from ufh_core.design import design_building
from ufh_core.exchange.coordinated_model import write_coordinated_model
from ufh_core.exchange.design_json import write_json
from ufh_core.exchange.edited_heating import read_edited
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.returned import Returned, State, read_back
from ufh_core.returned.carrying_on import circuits_now, settings_now
from ufh_core.returned.words import returned_lines
from ufh_core.revision import read_earlier_design
from ufh_core.revision.earlier_design import EarlierDesign
from ufh_core.settings import Settings


@dataclass(frozen=True)
class Job:
    """A design in a folder, and what it was made of."""

    folder: Path
    building: Building
    earlier: EarlierDesign

    def back(self, *changes: edits.Edit, name: str = "edited", source: str = "out/heating.ifc") -> Returned:
        """What comes back of a file of the design with some edits."""
        file = edits.edited(self.folder / source, self.folder / f"{name}.ifc", *changes)
        return read_back(self.building, self.earlier, read_edited(file, self.building))


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    folder = tmp_path_factory.mktemp("returned")
    model = dwelling(folder, "house")
    building = read_building(model, Settings())
    design = design_building(building, Settings())
    (folder / "out").mkdir()
    write_json(design, folder / "out" / "design.json")
    write_heating_model(design, model, folder / "out" / "heating.ifc")
    write_coordinated_model(design, model, folder / "out" / "coordinated.ifc")
    return Job(folder, building, read_earlier_design(folder / "out", building))


def results(folder: Path) -> dict[str, Any]:
    return dict(json.loads((folder / "design.json").read_text(encoding="utf-8"))["storeys"][0])


def states(found: Returned) -> dict[str, State]:
    return {c.number: c.state for c in found.circuits}


def codes(found: Returned) -> list[str]:
    return [f.code.removeprefix("returned.") for f in found.findings]


def world_of(job: Job, direction: tuple[float, float]) -> tuple[float, float]:
    """A direction of the storey's frame in the world."""
    turn = np.array(job.building.storeys[0].placement)[:2, :2]
    x, y = turn @ np.array(direction)
    return float(x), float(y)


# --- runs that can be shifted -------------------------------------------------------------------


def pieces_of(job: Job, number: str) -> list[Any]:
    return next(c["path"] for c in results(job.folder / "out")["circuits"] if c["number"] == number)


def runs_between_bends(path: list[Any]) -> list[tuple[np.ndarray, np.ndarray]]:
    """(both bends' points (6, 2), direction) of every straight from one bend to another."""
    found = []
    for before, piece, after in zip(path, path[1:], path[2:], strict=False):
        if isinstance(before, dict) and isinstance(piece, list) and isinstance(after, dict):
            way = np.subtract(piece, before["arc"][2])
            found.append((np.array(before["arc"] + after["arc"]), way / np.linalg.norm(way)))
    return found


def longest_run(job: Job, number: str) -> tuple[np.ndarray, np.ndarray]:
    return max(runs_between_bends(pieces_of(job, number)), key=lambda r: float((r[0][3] - r[0][2]) @ r[1]))


def shift(points: np.ndarray, way: np.ndarray) -> Callable[[np.ndarray], np.ndarray]:
    """The given points (n, 2) of a curve moved by a way."""

    def change(curve: np.ndarray) -> np.ndarray:
        after = curve.copy()
        for k, point in enumerate(curve):
            if np.hypot(*(points - point[:2]).T).min() < 1e-3:
                after[k, :2] += way
        return after

    return change


def shifted(job: Job, number: str, way_m: float) -> edits.Edit:
    """The longest run of a circuit moved sideways with its two bends."""
    points, along = longest_run(job, number)
    return edits.points_changed(number, shift(points, way_m * np.array([-along[1], along[0]])))


# --- nothing changed, whatever the file went through --------------------------------------------


@pytest.mark.parametrize("name", ["heating", "coordinated"])
def test_a_file_that_nobody_edited_changes_nothing(job: Job, name: str) -> None:
    found = job.back(source=f"out/{name}.ifc")
    assert returned_lines(found) == ["nothing was changed"] and set(states(found).values()) == {State.AS_IT_WAS}
    assert json.loads(circuits_now(found))["storeys"][0]["circuits"][0]["path"] == pieces_of(job, "M1.01")


@pytest.mark.parametrize(
    ("recipe", "arguments"),
    [
        ("ConvertLengthUnit", ["MILLIMETRE"]),
        ("ConvertLengthUnit", ["FOOT"]),
        ("Migrate", ["IFC4X3"]),
        ("OffsetObjectPlacements", [1234.5, -77.0, 3.25, False, 30.0]),
    ],
    ids=["mm", "feet", "IFC4X3", "moved"],
)
def test_other_units_schemas_and_places_read_back(job: Job, recipe: str, arguments: list[object]) -> None:
    """Converted by a general tool; the one edit that is made is found in it, and nothing else."""
    file = edits.edited(job.folder / "out/heating.ifc", job.folder / "one.ifc", shifted(job, "M1.02", 0.01))
    patched = ifcpatch.execute(
        {"input": str(file), "file": ifcopenshell.open(str(file)), "recipe": recipe, "arguments": arguments}
    )
    ifcpatch.write(patched, str(job.folder / f"{recipe}.ifc"))
    found = read_back(job.building, job.earlier, read_edited(job.folder / f"{recipe}.ifc", job.building))
    assert {n for n, s in states(found).items() if s is not State.AS_IT_WAS} == {"M1.02"}
    plain = job.back(shifted(job, "M1.02", 0.01))
    mine, theirs = (next(c for c in one.circuits if c.number == "M1.02") for one in (found, plain))
    assert mine.state is theirs.state is State.CHANGED and mine.axis is not None and theirs.axis is not None
    assert mine.axis.length_m == pytest.approx(theirs.axis.length_m, abs=1e-5)
    assert ("file-moved" in codes(found)) == (recipe == "OffsetObjectPlacements")


# --- manifolds ----------------------------------------------------------------------------------


def test_a_moved_manifold_is_a_given_place_and_its_circuits_are_led_anew(job: Job) -> None:
    (manifold,) = results(job.folder / "out")["manifolds"]
    nx, ny = manifold["normal"]
    way = world_of(job, (0.6 * ny, -0.6 * nx))
    found = job.back(edits.moved("IfcElementAssembly", "M1", way))
    assert set(states(found).values()) == {State.LED_ANEW} and codes(found) == ["manifold-moved"]
    assert "moved by 0.60 m along its wall" in found.findings[0].message and found.all_taken
    (place,) = settings_now(found).manifold.places
    storey = np.array(job.building.storeys[0].placement)
    before = storey @ np.array([*manifold["position"], 0.0, 1.0])
    assert place.at == pytest.approx((before[0] + way[0], before[1] + way[1]), abs=1e-4)


def test_a_manifold_that_was_turned_to_another_wall_says_where_its_back_is(job: Job) -> None:
    found = job.back(edits.moved("IfcElementAssembly", "M1", (0.0, 0.0), turn=np.pi / 2))
    (moved,) = found.moved
    was = np.array(next(iter(job.earlier.circuits)).manifold.normal)
    turn = np.array(job.building.storeys[0].placement)[:2, :2]
    now = job.building.frame.to_world(np.array([moved.normal, (0.0, 0.0)]))
    assert now[0] - now[1] == pytest.approx(np.array([[0, -1], [1, 0]]) @ turn @ was, abs=1e-5)


def test_circuits_that_came_with_their_manifold_stay(job: Job) -> None:
    """20 mm along the wall: those for which clearances leave so much stay, the others say their rule."""
    (manifold,) = results(job.folder / "out")["manifolds"]
    nx, ny = manifold["normal"]
    numbers = [c.number for c in job.earlier.circuits]
    way = world_of(job, (0.02 * ny, -0.02 * nx))
    pipes = [edits.moved("IfcPipeSegment", f"Pipe {n}", way) for n in numbers]
    found = job.back(edits.moved("IfcElementAssembly", "M1", way), *pipes)
    came = {n for n, s in states(found).items() if s is State.CHANGED}
    assert came and {s for n, s in states(found).items() if n not in came} <= {State.REFUSED}
    assert "came with it" in found.findings[0].message and settings_now(found).manifold.places == ()
    row = json.loads(circuits_now(found))["storeys"][0]["manifolds"][0]
    assert np.subtract(row["position"], manifold["position"]) == pytest.approx((0.02 * ny, -0.02 * nx), abs=1e-5)


def test_a_circuit_on_which_another_manifold_stands_now_is_led_anew(tmp_path_factory: pytest.TempPathFactory) -> None:
    """The bungalow's first manifold put on a run of the second one's."""
    sample = designed_job("bungalow", tmp_path_factory)
    building = read_building(sample.model, Settings())
    earlier = read_earlier_design(sample.out, building)
    run = next(c for c in sample.each("circuits") if c["number"] == "M2.01")["path"]
    storey = np.array(building.storeys[0].placement)
    spot = storey @ np.array([*next(p for p in run[9:] if isinstance(p, list)), 0.0, 1.0])
    (was,) = [m["position"] for m in sample.each("manifolds") if m["name"] == "M1"]
    way = spot[:2] - (storey @ np.array([*was, 0.0, 1.0]))[:2]
    file = tmp_path_factory.mktemp("on") / "edited.ifc"
    edits.edited(sample.out / "heating.ifc", file, edits.moved("IfcElementAssembly", "M1", (way[0], way[1])))
    found = read_back(building, earlier, read_edited(file, building))
    led = {c.number: c.reason for c in found.circuits if c.state is State.LED_ANEW and c.manifold == "M2"}
    assert led["M2.01"] == "manifold M1 stands on it now" and codes(found).count("led-anew") == len(led)


def test_a_manifold_that_is_gone_is_told(job: Job) -> None:
    def without(model: Any) -> None:
        model.remove(edits.named(model, "IfcElementAssembly", "M1"))

    found = job.back(without)
    assert codes(found) == ["manifold-missing"] and not found.all_taken and found.staying == ()


# --- circuits -----------------------------------------------------------------------------------


def test_a_run_that_was_shifted_a_little_stays_as_it_was_drawn(job: Job) -> None:
    found = job.back(shifted(job, "M1.02", 0.02))
    assert states(found) == {
        c.number: State.CHANGED if c.number == "M1.02" else State.AS_IT_WAS for c in job.earlier.circuits
    }
    assert codes(found) == ["way-changed"] and "up to 0.02 m" in found.findings[0].message
    after = next(c for c in json.loads(circuits_now(found))["storeys"][0]["circuits"] if c["number"] == "M1.02")
    points, along = longest_run(job, "M1.02")
    drawn = points + 0.02 * np.array([-along[1], along[0]])
    ends = np.array([p if isinstance(p, list) else p["arc"][2] for p in after["path"]])
    assert np.hypot(*(ends - drawn[2]).T).min() < 1e-4
    before = next(c for c in results(job.folder / "out")["circuits"] if c["number"] == "M1.02")
    assert area(after) == pytest.approx(area(before), rel=0.02)


def area(circuit: dict[str, Any]) -> float:
    return sum(shapely.Polygon(f["outline"], f["holes"]).area for f in circuit["fields"])


@pytest.mark.parametrize(
    ("way_m", "reason"),
    [
        (0.08, "apart, at a pitch of"),
        (-0.08, "apart, at a pitch of"),
        (9.0, "too near to a wall|turns back|meets itself"),
    ],
)
def test_a_run_that_breaks_a_rule_is_refused_with_the_rule(job: Job, way_m: float, reason: str) -> None:
    found = job.back(shifted(job, "M1.02", way_m))
    assert states(found)["M1.02"] is State.REFUSED and codes(found) == ["way-refused"] and not found.all_taken
    assert any(words in found.findings[0].message for words in reason.split("|")), found.findings[0].message
    assert all(s is State.AS_IT_WAS for n, s in states(found).items() if n != "M1.02")


def through(job: Job, number: str, spots: list[tuple[float, float]], rise: float = 0.0) -> edits.Edit:
    """A circuit drawn anew as a polyline: down from its ports, out, through spots of the storey's frame, and back."""
    path = pieces_of(job, number)
    first, last = path[0], path[-1]
    heights = next(iter(results(job.folder / "out")["build_up"].values()))
    low = heights["pipe_axis_m"] - job.building.storeys[0].placement[2][3]
    points = [(*first, low + 0.4), (*first, low), *((*s, low + rise) for s in spots), (*last, low), (*last, low + 0.4)]
    return edits.curve_replaced(number, [(float(x), float(y), float(z)) for x, y, z in points])


def loop_spots(job: Job, number: str, out_m: float, side_m: float, near_m: float = 0.3) -> list[tuple[float, float]]:
    """A loop out of the wall before a circuit's ports, so far out and so much wider than they are on both sides."""
    (manifold,) = results(job.folder / "out")["manifolds"]
    path, normal = pieces_of(job, number), np.array(manifold["normal"])
    first, last = np.array(path[0]), np.array(path[-1])
    side = (last - first) / np.linalg.norm(last - first)
    near, far = first + near_m * normal, first + out_m * normal
    back, there = last + near_m * normal, last + out_m * normal
    corners = (near, near - side_m * side, far - side_m * side, there + side_m * side, back + side_m * side, back)
    return [(float(x), float(y)) for x, y in corners]


def test_a_pipe_through_a_wall_is_refused(job: Job) -> None:
    found = job.back(through(job, "M1.02", loop_spots(job, "M1.02", 6.0, 0.2)))
    assert states(found)["M1.02"] is State.REFUSED and "too near to a wall" in found.findings[0].message


def test_corners_without_room_for_a_bend_are_refused_where_they_are(job: Job) -> None:
    spots = loop_spots(job, "M1.02", 0.9, 0.04)
    found = job.back(through(job, "M1.02", spots))
    (finding,) = [f for f in found.findings if f.code == "returned.way-refused"]
    assert "a sharp corner of 90° takes no bend at [" in finding.message and finding.at is not None
    storey = np.array(job.building.storeys[0].placement)
    world = [(storey @ np.array([*s, 0.0, 1.0]))[:2] for s in spots]
    assert min(np.hypot(*(job.building.frame.to_world(np.array([finding.at]))[0] - w)) for w in world) < 1e-3


def test_a_bend_that_is_too_tight_is_refused(job: Job) -> None:
    """All points drawn together about the middle of the first bend behind the long run: a radius of 60 mm for 75."""
    points, _ = longest_run(job, "M1.02")
    bend = points[:3]
    centre = _centre(bend)
    legs = shift_to(bend, centre + (bend - centre) * 0.8)
    found = job.back(edits.points_changed("M1.02", legs))
    assert states(found)["M1.02"] is State.REFUSED
    assert "mm radius, at least 75 mm" in found.findings[0].message or "takes no bend" in found.findings[0].message


def _centre(arc: np.ndarray) -> np.ndarray:
    (a, b, c), squares = arc, (arc**2).sum(axis=1)
    matrix = 2 * np.array([b - a, c - a])
    return np.linalg.solve(matrix, np.array([squares[1] - squares[0], squares[2] - squares[0]]))


def shift_to(points: np.ndarray, there: np.ndarray) -> Callable[[np.ndarray], np.ndarray]:
    """Each of some points of a curve put somewhere else."""

    def change(curve: np.ndarray) -> np.ndarray:
        after = curve.copy()
        for k, point in enumerate(curve):
            off = np.hypot(*(points - point[:2]).T)
            if off.min() < 1e-3:
                after[k, :2] = there[off.argmin()]
        return after

    return change


def test_a_pipe_that_was_raised_in_part_is_told(job: Job) -> None:
    points, _ = longest_run(job, "M1.02")

    def lifted(curve: np.ndarray) -> np.ndarray:
        after = curve.copy()
        near = np.array([np.hypot(*(points[2:4] - p[:2]).T).min() < 1e-3 for p in curve])
        after[near, 2] += 0.03
        return after

    found = job.back(edits.points_changed("M1.02", lifted))
    assert "30 mm off its height in the floor at [" in found.findings[0].message and not found.all_taken
    assert codes(found) == ["not-taken"] and states(found)["M1.02"] is State.AS_IT_WAS
    both = job.back(edits.points_changed("M1.02", lifted), shifted(job, "M1.02", 0.02))
    assert codes(both) == ["way-refused"] and "off its height" in both.findings[0].message


def test_a_pipe_at_another_height_altogether_is_told(job: Job) -> None:
    found = job.back(edits.points_changed("M1.02", lambda points: points + np.array([0.0, 0.0, 0.05])))
    assert codes(found) == ["height"] and "M1.02 at another height" in found.findings[0].message


def test_ends_that_left_their_ports_are_refused(job: Job) -> None:
    found = job.back(edits.moved("IfcPipeSegment", "Pipe M1.02", (0.05, 0.0)))
    assert "ends lie 50 mm off the ports of M1" in found.findings[0].message
    assert states(found)["M1.02"] is State.REFUSED


def test_a_changed_way_that_comes_near_another_circuit_gives_way_to_it(job: Job) -> None:
    """A legal loop in the hall, but for the tails of others, on which it lies."""
    found = job.back(through(job, "M1.02", loop_spots(job, "M1.02", 0.95, 0.3, 0.5)))
    assert {n: s for n, s in states(found).items() if s is not State.AS_IT_WAS} == {"M1.02": State.REFUSED}
    assert "of another circuit" in found.findings[0].message


def test_a_deleted_circuit_and_a_strange_pipe_are_told(job: Job) -> None:
    def strange(model: Any) -> None:
        pipe = edits.named(model, "IfcPipeSegment", "Pipe M1.01")
        copy = ifcopenshell.api.run("root.copy_class", model, product=pipe)
        copy.Name, copy.Tag = "Pipe of mine", None

    found = job.back(edits.removed("M1.02"), strange)
    assert codes(found) == ["circuit-missing", "pipe-unknown"] and states(found)["M1.02"] is State.MISSING
    assert len(found.staying) == len(found.circuits) - 1


def test_a_pipe_whose_curve_is_gone_is_told(job: Job) -> None:
    def bare(model: Any) -> None:
        edits.named(model, "IfcPipeSegment", "Pipe M1.02").Representation = None

    found = job.back(bare)
    assert codes(found) == ["unread"] and states(found)["M1.02"] is State.AS_IT_WAS and not found.all_taken


def test_a_way_drawn_from_the_other_end_is_the_same_way(job: Job) -> None:
    found = job.back(edits.points_changed("M1.02", lambda points: points[::-1]))
    assert states(found)["M1.02"] is State.AS_IT_WAS


def test_a_file_of_something_else_is_refused_in_one_line(job: Job) -> None:
    with pytest.raises(ModelReadError, match="holds no heating pipe and no manifold"):
        read_edited(job.folder / "house.ifc", job.building)


# --- the design goes on -------------------------------------------------------------------------


def test_one_command_goes_on_from_what_was_drawn(job: Job) -> None:
    """The shifted run lies in the new design as it was drawn; all else, and every GlobalId, is as it was."""
    file = edits.edited(job.folder / "out/heating.ifc", job.folder / "go.ifc", shifted(job, "M1.02", 0.02))
    out = job.folder / "next"
    run = warmloom(
        "resume", job.folder / "house.ifc", file, "--design", job.folder / "out", "--out", out, "--redesign", "--quiet"
    )
    assert run.returncode in (0, 1), run.stderr
    before, after = ({c["number"]: c for c in results(f)["circuits"]} for f in (job.folder / "out", out))
    assert before.keys() == after.keys() and all(c["kept"] for c in after.values())
    assert {n for n in before if before[n]["path"] != after[n]["path"]} == {"M1.02"}
    drawn = {
        c["number"]: c["path"]
        for c in json.loads((out / "earlier-circuits.json").read_text())["storeys"][0]["circuits"]
    }
    assert after["M1.02"]["path"] == drawn["M1.02"]
    told = json.loads((out / "design.json").read_text(encoding="utf-8"))["findings"]
    assert [f["code"] for f in told if f["code"].startswith("returned.")] == ["returned.way-changed"]
    ids = [
        {e.GlobalId for kind in ("IfcPipeSegment", "IfcDistributionCircuit", "IfcElementAssembly", "IfcSpatialZone")
         for e in ifcopenshell.open(str(f / "heating.ifc")).by_type(kind)}
        for f in (job.folder / "out", out)
    ]  # fmt: skip
    assert ids[0] == ids[1]


def test_one_command_lays_anew_what_broke_a_rule(job: Job) -> None:
    file = edits.edited(job.folder / "out/heating.ifc", job.folder / "no.ifc", shifted(job, "M1.02", 0.08))
    out = job.folder / "anew"
    run = warmloom(
        "resume", job.folder / "house.ifc", file, "--design", job.folder / "out", "--out", out, "--redesign", "--quiet"
    )
    assert run.returncode in (0, 1) and run.stdout.startswith("warning: circuit M1.02: its changed way cannot stay")
    after = {c["number"]: c for c in results(out)["circuits"]}
    assert {n for n, c in after.items() if not c["kept"]} == {"M1.02"}
    told = json.loads((out / "design.json").read_text(encoding="utf-8"))["findings"]
    assert "returned.way-refused" in {f["code"] for f in told}


def test_one_command_moves_the_manifold(job: Job) -> None:
    (manifold,) = results(job.folder / "out")["manifolds"]
    nx, ny = manifold["normal"]
    sign = -1.0
    way = world_of(job, (sign * 0.6 * ny, -sign * 0.6 * nx))
    file = edits.edited(
        job.folder / "out/heating.ifc", job.folder / "mo.ifc", edits.moved("IfcElementAssembly", "M1", way)
    )
    out = job.folder / "moved"
    run = warmloom(
        "resume", job.folder / "house.ifc", file, "--design", job.folder / "out", "--out", out, "--redesign", "--quiet"
    )
    assert run.returncode in (0, 1), run.stderr
    (after,) = results(out)["manifolds"]
    wanted = np.add(manifold["position"], (sign * 0.6 * ny, -sign * 0.6 * nx))
    assert after["name"] == "M1" and np.hypot(*np.subtract(after["position"], wanted)) < 0.11
    keep = tomllib.loads((out / "keep.toml").read_text(encoding="utf-8"))
    assert keep["manifold"]["places"][0]["name"] == "M1 as moved" and "circuits" not in keep


def test_one_command_moves_two_manifolds_at_once(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Both of the bungalow's manifolds 0.3 m along their walls, one way or the other: each serves its rooms there."""
    sample, folder = designed_job("bungalow", tmp_path_factory), tmp_path_factory.mktemp("both")
    building = read_building(sample.model, Settings())
    placement = np.array(building.storeys[0].placement)[:2, :2]
    along = {m["name"]: 0.3 * np.array([m["normal"][1], -m["normal"][0]]) for m in sample.each("manifolds")}
    ways = {name: placement @ way for name, way in along.items()}
    changes = [edits.moved("IfcElementAssembly", name, (way[0], way[1])) for name, way in ways.items()]
    file = edits.edited(sample.out / "heating.ifc", folder / "both.ifc", *changes)
    design = ("--design", sample.out, "--out", folder / "out", "--redesign", "--quiet")
    run = warmloom("resume", sample.model, file, *design)
    assert run.returncode in (0, 1), run.stderr
    after = {m["name"]: m for m in results(folder / "out")["manifolds"]}
    assert len(after) == len(along) == 2
    for manifold in sample.each("manifolds"):
        wanted = np.add(manifold["position"], along[manifold["name"]])
        assert np.hypot(*np.subtract(after[manifold["name"]]["position"], wanted)) < 0.11, manifold["name"]
    served = [{room: c["manifold"] for c in of for room in c["rooms"]} for of in (
        list(sample.each("circuits")), results(folder / "out")["circuits"]
    )]  # fmt: skip
    assert served[0].keys() == served[1].keys()
    assert sum(served[0][room] == served[1][room] for room in served[0]) >= len(served[0]) - 1


def test_statuses_and_what_needs_what(job: Job) -> None:
    model, design = job.folder / "house.ifc", ("--design", job.folder / "out", "--quiet")
    same = warmloom("resume", model, job.folder / "out/heating.ifc", *design)
    assert (same.returncode, same.stdout) == (0, "nothing was changed\n")
    gone = edits.edited(job.folder / "out/heating.ifc", job.folder / "gone.ifc", edits.removed("M1.02"))
    told = warmloom("resume", model, gone, *design, "--json")
    assert told.returncode == 1 and json.loads(told.stdout)["findings"][0]["code"] == "returned.circuit-missing"
    for more, words in ((("--redesign",), "--redesign needs --out"), (("--merge",), "need --redesign")):
        run = warmloom("resume", model, gone, *design, *more)
        assert run.returncode == 2 and run.stderr.count("\n") == 1 and words in run.stderr
