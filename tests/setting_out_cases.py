"""A small double spiral of which every mark, gap and stud is known by hand: pitch 150 mm, studs every 50 mm.

The room is 3.0 x 2.5 m, the hall lies south of it behind a wall of 0.1 m with a door from x = 1.2 to x = 2.0.
"""

from __future__ import annotations

import dataclasses
import math
from itertools import pairwise

from documents.made_up_design import building, design
from shapely.geometry import LineString, box

from ufh_core.basis.pipe_axis import PipeAxis, rounded
from ufh_core.building.types import Passage, Room, RoomKind
from ufh_core.circuits.types import HeatedField
from ufh_core.design_result import CircuitDesign, RoomDesign, RoomStatus
from ufh_core.floor.types import Coil, CoilPlan
from ufh_core.joints.types import Crossing, StoreyJoints
from ufh_core.setting_out import CircuitCard, circuit_cards
from ufh_core.setting_out.card import Rises
from ufh_core.settings import Settings

RISES = Rises(flow_m=0.65, return_m=0.45)
RADIUS = 0.075
WAY_IN = [
    (1.50, -1.40), (1.50, 0.10), (0.10, 0.10), (0.10, 2.40), (2.90, 2.40), (2.90, 0.10), (1.80, 0.10), (1.80, 0.40),
    (0.40, 0.40), (0.40, 2.10), (2.60, 2.10), (2.60, 0.40), (2.10, 0.40), (2.10, 0.70),
]  # fmt: skip
WAY_OUT = [
    (1.95, 0.70), (1.95, 0.25), (2.75, 0.25), (2.75, 2.25), (0.25, 2.25), (0.25, 0.25), (1.65, 0.25), (1.65, -1.40),
]  # fmt: skip
SPIRAL = [*WAY_IN, *WAY_OUT]
COMB = [
    (1.50, -1.40), (1.50, 0.10), (0.10, 0.10), (0.10, 2.40), (0.40, 2.40), (0.40, 0.40), (0.70, 0.40), (0.70, 2.40),
    (1.00, 2.40), (1.00, 0.40), (1.30, 0.40), (1.30, 2.40), (1.65, 2.40), (1.65, -1.40),
]  # fmt: skip
ROOM, HALL = box(0, 0, 3, 2.5), box(0, -2, 3, -0.1)
DOOR = Passage(
    ifc_guid="door", kind="door", outline=box(1.2, -0.1, 2.0, 0), direction=(0.0, 1.0), width_m=0.8,
    rooms=("hall", "room"),
)  # fmt: skip


def length_by_hand(corners: list[tuple[float, float]]) -> float:
    """Legs, less what each right angle saves when it is rounded."""
    legs = sum(math.dist(a, b) for a, b in pairwise(corners))
    return legs - (len(corners) - 2) * RADIUS * (2 - math.pi / 2)


def card(
    corners: list[tuple[float, float]] = SPIRAL, settings: Settings | None = None, axis: PipeAxis | None = None,
    joints: bool = False, passage: Passage = DOOR, pitch_m: float = 0.15,
) -> CircuitCard:  # fmt: skip
    """The card of one circuit in the room."""
    plain = design()
    rooms = tuple(
        Room(ifc_guid=guid, name="", long_name=guid, kind=RoomKind.LIVING, outline=outline, floor_m=0, height_m=2.5)
        for guid, outline in (("room", ROOM), ("hall", HALL))
    )
    storey = dataclasses.replace(plain.building.storeys[0], rooms=rooms, passages=(passage,))
    laid = dataclasses.replace(
        plain.storeys[0].circuits[0].laid,
        rooms=("room",),
        axis=axis or rounded(corners, RADIUS),
        pitch_m=pitch_m,
        fields=(HeatedField(room="room", circuit="M1.01", outline=box(0.025, 0.025, 2.975, 2.475)),),
    )
    circuit: CircuitDesign = dataclasses.replace(plain.storeys[0].circuits[0], laid=laid)
    crossing = Crossing(
        circuit="M1.01", joint=0, at=(1.5, -0.05), in_field=False, sleeve=LineString([(1.5, -0.35), (1.5, 0.25)])
    )
    result = dataclasses.replace(
        plain.storeys[0],
        circuits=(circuit,),
        rooms=tuple(RoomDesign(room=room.ifc_guid, status=RoomStatus.HEATED) for room in rooms),
        joints=StoreyJoints(crossings=(crossing,) if joints else ()),
    )
    coils = CoilPlan(
        coils=(
            Coil(length_m=120, circuits=("M1.09",), cuts_m=(90.0,), left_m=30.0),
            Coil(length_m=120, circuits=("M1.02", "M1.01"), cuts_m=(70.0, 25.0), left_m=25.0),
        ),
        bought_m=240, cut_m=185, bound_m=240,
    )  # fmt: skip
    made = circuit_cards(building(storeys=(storey,)), result, settings or Settings(), coils, {"M1.01": RISES})
    return made[0]
