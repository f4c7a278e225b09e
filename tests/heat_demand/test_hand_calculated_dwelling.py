"""An invented dwelling calculated by hand, term by term, against the tool.

Plan (m, clear dimensions), height 2.50, θ_e = -10 °C:

    (0,4)------(5,4)|(5.2,4)----(8,4)      living: (0,0) (5,0) (5,4) (2,4) (0,2): its north-west corner is cut off
      /             |               |              by an outer wall at 45° from (0,2) to (2,4)
    (0,2)  living   |    bath       |      bath:   2.8 x 4.0 m beside it, 24 °C, over the same ground
      |     20 °C   |    24 °C      |      store:  5.0 x 3.0 m south of the living room, not heated
    (0,0)------(5,0)|(5.2,0)----(8,0)      study:  2.8 x 3.0 m south of the bath, 18 °C, 2.5 m high too
      |    store    |    study      |
    (0,-3.2)--------|---------------(8,-3.2)

Formulas: EN 12831-1 (simplified method): Φ_T = Σ A (U + ΔU_TB) f (θ_int − θ_e), Φ_V = 0.34 n V (θ_int − θ_e),
f = (θ_int − θ_there)/(θ_int − θ_e) to a heated room, 0.5 to an unheated one, 0.3 to the ground
(DIN/TS 12831-1 simple factors). EN ISO 6946: U = 1/(R_si + Σ d/λ + R_se), R_si 0.13 level, 0.10 up,
0.17 down, R_se 0.04 (from memory). Clause numbers are not given: they could not be checked here.
"""

import math
from dataclasses import replace

import pytest
from made_up import building, room, storey, wall, window
from shapely.geometry import Polygon, box

from ufh_core.building.types import Building, Construction, MaterialLayer, RoomKind, Slab, Wall
from ufh_core.heat_demand import RoomCondition, RoomDemand, heat_demand
from ufh_core.settings import Settings

OUTDOOR = -10.0
BRICK = MaterialLayer(name="brick", thickness_m=0.30, conductivity=0.60)
WOOL = MaterialLayer(name="wool", thickness_m=0.14, conductivity=0.035)
PLASTER = MaterialLayer(name="plaster", thickness_m=0.02, conductivity=0.40)
CONCRETE = MaterialLayer(name="concrete", thickness_m=0.20, conductivity=2.0)
FOAM = MaterialLayer(name="foam", thickness_m=0.10, conductivity=0.04)
ROOF_WOOL = MaterialLayer(name="wool", thickness_m=0.24, conductivity=0.04)
SETTINGS = replace(Settings(), heat_demand=replace(Settings().heat_demand, outdoor_c=OUTDOOR, reheat_w_m2=5.0))

# EN ISO 6946, by hand
U_WALL = 1 / (0.13 + 0.30 / 0.60 + 0.14 / 0.035 + 0.02 / 0.40 + 0.04)  # = 1/4.72 = 0.2119
U_INNER = 1 / (0.13 + 0.30 / 0.60 + 0.13)  # brick alone, the room's film on both faces = 1/0.76 = 1.3158
U_ROOF = 1 / (0.10 + 0.20 / 2.0 + 0.24 / 0.04 + 0.04)  # = 1/6.24 = 0.1603
U_FLOOR = 1 / (0.17 + 0.20 / 2.0 + 0.10 / 0.04)  # on the ground: no outer film = 1/2.77 = 0.3610


def test_the_transmittances_in_figures() -> None:
    found = (U_WALL, U_INNER, U_ROOF, U_FLOOR)
    assert found == pytest.approx((0.2119, 1.3158, 0.1603, 0.3610), abs=1e-4)


def outer(guid: str, corners: list[tuple[float, float]]) -> Wall:
    made = wall(guid, (0, 0, 1, 1), layers=(BRICK, WOOL, PLASTER))
    return replace(made, outline=Polygon(corners))


def level(guid: str, kind: str, bottom: float, top: float, layers: tuple[MaterialLayer, ...]) -> Slab:
    return Slab(
        ifc_guid=guid,
        name=guid,
        kind=kind,
        outline=box(-0.5, -3.7, 8.5, 4.5),
        bottom_m=bottom,
        top_m=top,
        construction=Construction(layers=layers),
    )


def dwelling() -> Building:
    t = 0.46
    s = t * math.sqrt(0.5)  # the wall at 45° is as thick
    walls = [
        outer("south", [(-t, -3.2 - t), (8 + t, -3.2 - t), (8 + t, -3.2), (-t, -3.2)]),
        outer("east", [(8, -3.2), (8 + t, -3.2), (8 + t, 4), (8, 4)]),
        outer("north", [(2, 4), (8 + t, 4), (8 + t, 4 + t), (2 - t * math.tan(math.pi / 8), 4 + t)]),
        outer("angled", [(0, 2), (2, 4), (2 - s, 4 + s), (-s, 2 + s)]),
        outer("west", [(-t, -3.2), (0, -3.2), (0, 2), (-t, 2 + t * math.tan(math.pi / 8))]),
        wall("between", (5, -3.2, 5.2, 4), layers=(BRICK,)),
        wall("middle-west", (0, -0.2, 5, 0), layers=(BRICK,)),
        wall("middle-east", (5.2, -0.2, 8, 0), layers=(BRICK,)),
    ]
    openings = [
        window("glass", (3.0, 4.0, 4.5, 4.0 + t), 0.9, 2.3, 1.1),
        window("door", (7.99, -2.5, 8.0 + t, -1.6), 0.0, 2.1, 1.6, kind="door"),
    ]
    rooms = [
        room("living", Polygon([(0, 0), (5, 0), (5, 4), (2, 4), (0, 2)])),
        room("bath", (5.2, 0, 8, 4), RoomKind.BATH),
        room("store", (0, -3.2, 5, -0.2), RoomKind.STORE),
        room("study", (5.2, -3.2, 8, -0.2), RoomKind.OFFICE),
    ]
    slabs = [
        level("roof", "roof", 2.5, 2.95, (CONCRETE, ROOF_WOOL)),
        level("base", "base", -0.3, 0.0, (CONCRETE, FOAM)),
    ]
    return building(storey("ground", rooms, walls, openings, slabs))


@pytest.fixture(scope="module")
def found() -> dict[str, RoomDemand]:
    conditions = {"living": 20.0, "bath": 24.0, "study": 18.0}
    wanted = {guid: RoomCondition(indoor_c=indoor) for guid, indoor in conditions.items()}
    return heat_demand(dwelling(), wanted, SETTINGS).rooms


# Living room, 20 °C, difference 30 K, floor 5 x 4 − 2 x 2/2 = 18 m², volume 45 m³
LIVING = {
    # west 2 m, angled √8 m, north 3 m, each 2.5 m high, less the window of 1.5 x 1.4 m
    "wall": (2.5 * (2 + math.sqrt(8) + 3) - 2.1) * U_WALL * 1.0 * 30,
    "window": 1.5 * 1.4 * 1.1 * 1.0 * 30,
    "roof": 18 * U_ROOF * 1.0 * 30,
    # 5 m to the store, b = 0.5; 4 m to the bath at 24 °C, f = (20 − 24)/30
    "inner": 5 * 2.5 * U_INNER * 0.5 * 30 + 4 * 2.5 * U_INNER * (20 - 24),
    # all that faces the open air: 2.5 x 7.8284 of side with the window, and 18 of roof
    "bridge": (2.5 * (2 + math.sqrt(8) + 3) + 18) * 0.05 * 30,
    "ventilation": 0.34 * 0.5 * 45 * 30,
    "reheat": 5 * 18,
}
# Bath, 24 °C, difference 34 K, floor 2.8 x 4 = 11.2 m², volume 28 m³, one air change
BATH = {
    "wall": 2.5 * (2.8 + 4) * U_WALL * 34,
    "roof": 11.2 * U_ROOF * 34,
    # 4 m to the living room at 20 °C, 2.8 m to the study at 18 °C
    "inner": 4 * 2.5 * U_INNER * (24 - 20) + 2.8 * 2.5 * U_INNER * (24 - 18),
    "bridge": (2.5 * 6.8 + 11.2) * 0.05 * 34,
    "ventilation": 0.34 * 1.0 * 28 * 34,
    "reheat": 5 * 11.2,
}
# Study, 18 °C, difference 28 K, floor 2.8 x 3 = 8.4 m², volume 21 m³, with a door of 0.9 x 2.1 m
STUDY = {
    "wall": (2.5 * (2.8 + 3) - 0.9 * 2.1) * U_WALL * 28,
    "door": 0.9 * 2.1 * 1.6 * 28,
    "roof": 8.4 * U_ROOF * 28,
    # 3 m to the store, b = 0.5; 2.8 m to the bath at 24 °C
    "inner": 3 * 2.5 * U_INNER * 0.5 * 28 + 2.8 * 2.5 * U_INNER * (18 - 24),
    "bridge": (2.5 * 5.8 + 8.4) * 0.05 * 28,
    "ventilation": 0.34 * 0.5 * 21 * 28,
    "reheat": 5 * 8.4,
}
BY_HAND = {"living": LIVING, "bath": BATH, "study": STUDY}
# Loss through the floor itself, kept apart: A U f (θ_int − θ_e) with f = 0.3 to the ground
FLOOR_LOSS = {"living": 18 * U_FLOOR * 0.3 * 30, "bath": 11.2 * U_FLOOR * 0.3 * 34, "study": 8.4 * U_FLOOR * 0.3 * 28}


@pytest.mark.parametrize("guid", BY_HAND)
def test_every_term_agrees_within_one_percent(found: dict[str, RoomDemand], guid: str) -> None:
    losses: dict[str, float] = {}
    for term in found[guid].terms:
        losses[term.kind] = losses.get(term.kind, 0.0) + term.loss_w
    assert losses == {kind: pytest.approx(loss, rel=0.01) for kind, loss in BY_HAND[guid].items()}
    assert found[guid].demand_w == pytest.approx(sum(BY_HAND[guid].values()), rel=0.01)


@pytest.mark.parametrize("guid", BY_HAND)
def test_the_floor_s_own_loss_is_kept_apart(found: dict[str, RoomDemand], guid: str) -> None:
    assert found[guid].floor_loss_w == pytest.approx(FLOOR_LOSS[guid], rel=0.01)
    assert {term.factor for term in found[guid].floor_terms} == {0.3}
    assert found[guid].below_c == pytest.approx(found[guid].indoor_c - 0.3 * (found[guid].indoor_c - OUTDOOR))


@pytest.mark.parametrize("guid", BY_HAND)
def test_each_term_is_made_of_what_it_says(found: dict[str, RoomDemand], guid: str) -> None:
    """Area x U x factor x difference gives the loss, and the basis is told."""
    for term in (*found[guid].terms, *found[guid].floor_terms):
        if term.u_basis:
            assert term.loss_w == pytest.approx(term.area_m2 * term.u_value * term.factor * term.difference_k)
            assert term.u_basis in {"model", "layers", "settings"}
    closure = found[guid].envelope
    assert closure is not None
    assert closure.gap == pytest.approx(0, abs=0.001)
