"""Tails that lie so close together that their floor becomes too warm are named, with their length."""

from __future__ import annotations

import pytest
from shapely.geometry import box

from ufh_core.basis.pipe_axis import rounded
from ufh_core.building.types import RoomKind
from ufh_core.circuits.types import HeatedField, LaidCircuit
from ufh_core.settings.types import Settings
from ufh_core.storeys.tail_remarks import bunched_length, tail_findings
from ufh_core.thermal_output.types import RoomRequest

HALL = box(0, 0, 6, 2)


def circuit(number: str, y: float) -> LaidCircuit:
    """Out along `y`, a loop in a room beyond the hall, and back 50 mm beside it."""
    axis = rounded([(0, y), (8, y), (8, y + 0.05), (0, y + 0.05)], 0.02)
    field = HeatedField(room="R", circuit=number, outline=box(6, 0, 9, 2))
    more = {"rooms": ("R",), "pitch_m": 0.2, "tail_length_m": 12.0, "riser_length_m": 1.0, "manifold": "M1"}
    return LaidCircuit(number=number, port=1, axis=axis, fields=(field,), **more)  # type: ignore[arg-type]


def asked() -> RoomRequest:
    return RoomRequest(
        room="H",
        kind=RoomKind.HALL,
        indoor_c=20.0,
        demand_w=300.0,
        heatable_area_m2=8.0,
        finish_r=0.02,
        r_below=1.0,
        below_c=10.0,
        label="Hall",
    )


def test_only_pipes_beside_those_of_another_circuit_count() -> None:
    near, far = [circuit("M1.01", 0.5), circuit("M1.02", 0.6)], [circuit("M1.01", 0.5), circuit("M1.02", 1.5)]
    assert bunched_length(HALL, near, 0.06) == pytest.approx(12.0, abs=0.1)  # the two inner pipes, 6 m each
    assert bunched_length(HALL, near, 0.11) == pytest.approx(24.0, abs=0.1)
    assert bunched_length(HALL, far, 0.06) == 0.0
    assert bunched_length(HALL, near[:1], 0.06) == 0.0


def test_a_hot_bundle_is_to_be_insulated_and_a_mild_one_is_not() -> None:
    pipes = [circuit("M1.01", 0.5), circuit("M1.02", 0.6)]
    (found,) = tail_findings([asked()], {"H": HALL}, pipes, 50.0, Settings())
    assert found.code == "layout.tails-bunched" and found.ifc_guids == ("H",)
    assert found.message.startswith("Hall: 12.0 m of tails")
    assert tail_findings([asked()], {"H": HALL}, pipes, 30.0, Settings()) == []
    assert tail_findings([asked()], {"H": HALL}, pipes[:1], 50.0, Settings()) == []
