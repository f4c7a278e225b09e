"""Fields that are remembered: the same request is laid once, any other anew."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest
from shapely.geometry import LineString, box

from ufh_core.circuits import field_layer
from ufh_core.circuits.field_layer import FieldLayer, Fields
from ufh_core.fields.types import Approach, FieldFailure, FieldRequest, Pattern

FLOOR = box(0, 0, 3, 4)
REQUEST = FieldRequest(
    floor=FLOOR,
    axis_area=FLOOR.buffer(-0.1, join_style="mitre"),
    lane_area=FLOOR,
    approaches=(Approach(at=(1.5, 0.2), heading=(0, 1)),),
    pitch_m=0.2,
    stud_pitch_m=0.05,
    least_radius_m=0.075,
    tail_spacing_m=0.05,
    thorough=False,
)
OTHERS = {
    "floor": box(0, 0, 3, 3.9),
    "axis_area": box(0.2, 0.2, 2.8, 3.8),
    "lane_area": box(0, 0, 2.9, 4),
    "approaches": (Approach(at=(1.0, 0.2), heading=(0, 1)),),
    "pitch_m": 0.15,
    "stud_pitch_m": 0.075,
    "least_radius_m": 0.08,
    "tail_spacing_m": 0.1,
    "pattern": Pattern.MEANDER,
    "cold_walls": (LineString([(0, 0), (0, 4)]),),
    "edge_floor": box(0, 0, 1, 4),
    "edge_depth_m": 0.5,
    "edge_pitch_m": 0.1,
}


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[FieldRequest]:
    """The requests that were laid."""
    found: list[FieldRequest] = []

    def laid(request: FieldRequest) -> FieldFailure:
        found.append(request)
        return FieldFailure(reason="told")

    monkeypatch.setattr(field_layer, "lay_field", laid)
    return found


def test_a_field_is_laid_once_over_several_layouts(asked: list[FieldRequest]) -> None:
    fields_laid: Fields = {}
    first, second = FieldLayer(fields_laid), FieldLayer(fields_laid)
    assert first(REQUEST) is second(replace(REQUEST, floor=box(0, 0, 3, 4)))
    assert len(asked) == 1
    FieldLayer()(REQUEST)
    assert len(asked) == 2


@pytest.mark.parametrize("name", [one.name for one in fields(FieldRequest) if one.name != "thorough"])
def test_a_request_that_differs_in_anything_is_laid_anew(name: str, asked: list[FieldRequest]) -> None:
    value = OTHERS.get(name)
    other = replace(REQUEST, **{name: not getattr(REQUEST, name) if value is None else value})
    layer = FieldLayer()
    layer(REQUEST)
    layer(other)
    assert len(asked) == 2
