"""Edge zones: their own pitch counts for the output, and their own limit for the surface (EN 1264-2)."""

from dataclasses import replace

import pytest

from ufh_core.building.types import RoomKind
from ufh_core.settings.types import Settings
from ufh_core.thermal_output import laid_outputs
from ufh_core.thermal_output.types import LaidField, LaidOutput, RoomRequest

K_150, K_300 = 3.3682, 2.4842
"""K_H [W/(m² K)] of 16 x 2 mm pipe under 45 mm of screed, finish 0.10 m² K/W, by EN 1264-2 tables as transcribed in a
public building-simulation library and in ISO 11855-2:2021 tables A.2 to A.6."""

ROOM = RoomRequest(
    room="A",
    kind=RoomKind.LIVING,
    indoor_c=20.0,
    demand_w=900.0,
    heatable_area_m2=20.0,
    finish_r=0.10,
    r_below=1.42,
    below_c=10.0,
)


def laid(request: RoomRequest, flow_c: float, *, edge: bool, circuits: tuple[str, str] = ("1", "1")) -> LaidOutput:
    """15 m² at 300 mm and 5 m² at 150 mm along the wall, told as an edge zone or not."""
    inner = LaidField(circuit=circuits[0], room="A", area_m2=15.0, pitch_m=0.30)
    outer = LaidField(circuit=circuits[1], room="A", area_m2=5.0, pitch_m=0.15, edge=edge)
    return laid_outputs([request], [inner, outer], flow_c, Settings())


def test_output_by_hand() -> None:
    """K_H of the room is the mean over the area: (15 x 2.4842 + 5 x 3.3682) / 20 = 2.7052."""
    output = laid(ROOM, 40.0, edge=True).rooms["A"]
    assert output.characteristic == pytest.approx((15 * K_300 + 5 * K_150) / 20, abs=2e-4)
    assert output.output_w == pytest.approx(900)
    assert output.overtemperature_k == pytest.approx(900 / 20 / 2.7052, rel=1e-4)


def test_the_surface_in_the_zone_is_told_apart() -> None:
    """By hand from q = 8.92 dθ^1.1 (EN 1264-2): 16.635 K x K_H is 41.3 W/m² inside, 56.0 W/m² in the zone."""
    output = laid(ROOM, 40.0, edge=True).rooms["A"]
    assert output.mean_surface_c == pytest.approx(20 + (16.635 * K_300 / 8.92) ** (1 / 1.1), abs=0.01)
    assert output.edge_surface_c == pytest.approx(20 + (16.635 * K_150 / 8.92) ** (1 / 1.1), abs=0.01)
    assert output.pitch_m == 0.30
    assert laid(ROOM, 40.0, edge=False).rooms["A"].edge_surface_c is None


def test_the_zone_may_be_15_k_over_the_room_and_the_rest_9_k() -> None:
    """By hand, EN 1264-2 limit curves at s_u/λ_E = 0.0375, R = 0.10.

    T 150: B_G 76.3, n_G 0.076, so 9 K are met at (76.3 / 3.3682)^(1 / 0.924) = 29.3 K. T 300: B_G 36.4, n_G 0.245, at
    (36.4 / 2.4842)^(1 / 0.755) = 35.0 K. In an edge zone 150 mm may have (15/9)^1.1 times 29.3 K, so the rest binds.
    """
    cold = replace(ROOM, demand_w=5000.0)
    occupied, zone = (laid(cold, 58.0, edge=edge).rooms["A"] for edge in (False, True))
    assert occupied.limited_by == zone.limited_by == "surface"
    assert occupied.overtemperature_k == pytest.approx(29.3, abs=0.1)
    assert zone.overtemperature_k == pytest.approx(35.0, abs=0.1)
    assert zone.edge_surface_c is not None
    assert 20 + 9 < zone.edge_surface_c < 20 + 15


def test_a_bathrooms_limit_holds_beside_its_outer_wall_too() -> None:
    bath = replace(ROOM, kind=RoomKind.BATH, demand_w=5000.0)
    assert laid(bath, 58.0, edge=True).rooms["A"].overtemperature_k == pytest.approx(29.3, abs=0.1)


def test_a_circuit_for_the_edge_alone_has_its_own_heat_and_water() -> None:
    result = laid(ROOM, 40.0, edge=True, circuits=("1", "2"))
    inner, outer = result.circuits["1"], result.circuits["2"]
    assert inner.output_w + outer.output_w == pytest.approx(900)
    assert outer.output_w / 5 / (inner.output_w / 15) == pytest.approx(K_150 / K_300, rel=1e-3)
