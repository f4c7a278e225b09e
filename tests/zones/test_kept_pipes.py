"""Pipes of an earlier run, or drawn, come into the plan of a model that is turned and moved."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import plan_sketch as sketch
import pytest
from shapely.geometry import box

from ufh_core.basis.errors import SettingsError
from ufh_core.basis.frame import LocalFrame
from ufh_core.basis.pipe_axis import Arc, rounded
from ufh_core.building.storey_frame import plan_to_storey
from ufh_core.building.types import Building
from ufh_core.settings import Settings
from ufh_core.settings.steering import KeptCircuits
from ufh_core.settings.types import CircuitSettings
from ufh_core.zones.kept_pipes import KeptPipe, kept_pipes

FRAME = LocalFrame(origin=(100.0, 50.0, 0.0), rotation=0.3)
MOVED = tuple(tuple(row) for row in np.array([[0.0, -1, 0, 90], [1, 0, 0, 40], [0, 0, 1, 0], [0, 0, 0, 1]]).tolist())
ROOM = sketch.room("A", box(0, 0, 5, 4))
GROUND = replace(sketch.storey([ROOM]), placement=MOVED)
UPPER = replace(sketch.storey([sketch.room("B", box(0, 0, 5, 4), floor_m=3.0)]), ifc_guid="S2", name="Upper")
AXIS = rounded([(1.0, 0.06), (1.0, 2.0), (3.0, 2.0), (3.0, 1.0), (1.05, 1.0), (1.05, 0.06)], 0.075)


def building(*storeys: sketch.Storey) -> Building:
    names = {"project_name": "", "building_name": "", "schema": "IFC4"}
    return Building(**names, length_unit_m=1.0, frame=FRAME, north_rad=None, storeys=storeys)


def kept(*storeys: sketch.Storey, **keep: object) -> dict[str, tuple[KeptPipe, ...]]:
    settings = Settings(circuits=CircuitSettings(keep=(KeptCircuits(**keep),)))
    return kept_pipes(building(*storeys), settings)


def in_storey(x: float, y: float) -> list[float]:
    turned = plan_to_storey(building(GROUND), GROUND) @ np.array([x, y, 1.0])
    return [round(float(turned[0]), 6), round(float(turned[1]), 6)]


def written(folder: Path, storey: str = "S") -> str:
    path: list[object] = [in_storey(*AXIS.start)]
    for piece in AXIS.pieces:
        points = (piece.start, piece.middle, piece.end) if isinstance(piece, Arc) else ()
        path.append({"arc": [in_storey(*p) for p in points]} if points else in_storey(*piece.end))
    ahead, here = in_storey(0.0, 1.0), in_storey(0.0, 0.0)
    normal = [ahead[0] - here[0], ahead[1] - here[1]]
    manifold = {"name": "M1", "room": "A", "normal": normal, "width_m": 0.5, "station_side": "left"}
    manifold |= {"position": in_storey(1.0, 0.0)}
    circuit = {"number": "M1.01", "manifold": "M1", "rooms": ["A"], "pitch_m": 0.2, "path": path}
    circuit |= {"fields": [{"room": "A", "outline": [in_storey(*p) for p in ((0, 0), (5, 0), (5, 4))], "holes": []}]}
    file = folder / "design.json"
    storeys = [{"ifc_guid": storey, "manifolds": [manifold], "circuits": [circuit]}]
    file.write_text(json.dumps({"storeys": storeys}), encoding="utf-8")
    return str(file)


def test_a_written_pipe_comes_back_as_it_lay(tmp_path: Path) -> None:
    (pipe,) = kept(GROUND, file=written(tmp_path))["S"]
    assert len(pipe.axis.pieces) == len(AXIS.pieces)
    for piece, was in zip(pipe.axis.pieces, AXIS.pieces, strict=True):
        assert np.allclose([piece.start, piece.end], [was.start, was.end], atol=2e-6)
        if isinstance(was, Arc):
            assert isinstance(piece, Arc)
            assert piece.radius_m == pytest.approx(0.075, abs=5e-5) and piece.sweep == pytest.approx(
                was.sweep, abs=1e-3
            )
    assert pipe.manifold is not None and pipe.manifold.normal == (0, 1)
    assert pipe.manifold.position == pytest.approx((1.0, 0.0), abs=1e-5)
    assert pipe.fields[0][1].area == pytest.approx(10.0, abs=1e-4)


def test_circuits_are_chosen_by_the_name_of_their_room(tmp_path: Path) -> None:
    run = written(tmp_path)
    assert len(kept(GROUND, file=run, room="A")["S"]) == 1
    with pytest.raises(SettingsError, match='no circuit in a room "B"'):
        kept(GROUND, file=run, room="B")


def test_a_run_of_another_model_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match="is of another model"):
        kept(GROUND, file=written(tmp_path, "elsewhere"))


def points(*local: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in FRAME.to_world(np.array(local)))


LOOP = points((1.0, 0.06), (1.0, 2.0), (3.0, 2.0), (3.0, 1.0), (1.05, 1.0), (1.05, 0.06))


def test_a_drawn_pipe_lies_in_the_room_and_is_rounded() -> None:
    (pipe,) = kept(GROUND, points=LOOP)["S"]
    assert pipe.room == "A" and pipe.in_room == 0 and pipe.manifold is None
    assert pipe.axis.length_m == pytest.approx(AXIS.length_m)


def test_a_drawn_pipe_outside_or_on_no_certain_storey_is_refused() -> None:
    with pytest.raises(SettingsError, match=r"circuits\.keep 1: points lie in no room"):
        kept(GROUND, points=((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)))
    with pytest.raises(SettingsError, match="say which with storey"):
        kept(GROUND, UPPER, points=LOOP)
    assert len(kept(GROUND, UPPER, points=LOOP, storey="Upper")["S2"]) == 1
