"""What a field says of each room, and where it is over its limit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from scipy import ndimage

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message
from ufh_core.basis.pipe_axis import Point
from ufh_core.surface_field.cells import Cells, Floats, Ints
from ufh_core.surface_field.types import HotPlace, RoomFloor, RoomSurface

TELL_OVER_K = 0.05
"""A limit counts as passed from this much over it [K]: as near as the field is to the layered floor's swing."""

ONE_PLACE_M = 0.5
"""Hot cells nearer to each other than this [m] are told as one place."""


def room_surface(
    k: int,
    floor: RoomFloor,
    cells: Cells,
    middle_c: Floats,
    highest_c: Floats,
    limit_c: Floats,
) -> RoomSurface | None:
    """The surface of floor number `k`, thresholds left aside; None where it is too small for any cell.

    The mean is that of the cells' middles, the peak that of their highest values.
    """
    mine = np.flatnonzero((cells.room == k) & cells.counted)
    if len(mine) == 0:
        return None
    area = cells.area[mine]
    hot, cold = int(mine[np.argmax(highest_c[mine])]), int(mine[np.argmin(middle_c[mine])])
    return RoomSurface(
        room=floor.room,
        mean_c=float(np.average(middle_c[mine], weights=area)),
        peak_c=float(highest_c[hot]),
        peak_at=_place(cells, hot),
        coldest_c=float(middle_c[cold]),
        coldest_at=_place(cells, cold),
        limit_c=floor.indoor_c + floor.limit_k,
        over_m2=float(area[highest_c[mine] > limit_c[mine] + TELL_OVER_K].sum()),
    )


def hot_places(floors: Sequence[RoomFloor], cells: Cells, surface_c: Floats, limit_c: Floats) -> tuple[HotPlace, ...]:
    """Places over their limit, a room's hottest first; what is less than `ONE_PLACE_M` apart is one place."""
    over = surface_c > limit_c + TELL_OVER_K
    if not over.any():
        return ()
    found: list[HotPlace] = []
    for k, floor in enumerate(floors):
        image = cells.spread_out(over & (cells.room == k), 0.0) > 0
        if not image.any():
            continue
        reach = max(1, round(ONE_PLACE_M / 2 / cells.cell_m))
        near = ndimage.binary_dilation(image, structure=np.ones((3, 3)), iterations=reach)
        labels, count = ndimage.label(near, structure=np.ones((3, 3)))
        which = np.where(image, labels, 0)[cells.number >= 0]
        places = [_hot_place(floor, cells, np.flatnonzero(which == n + 1), surface_c, limit_c) for n in range(count)]
        found += sorted(places, key=lambda place: (place.limit_c - place.surface_c, place.at))
    return tuple(found)


def _hot_place(floor: RoomFloor, cells: Cells, mine: Ints, surface_c: Floats, limit_c: Floats) -> HotPlace:
    hottest = int(mine[int(np.argmax(surface_c[mine] - limit_c[mine]))])
    return HotPlace(
        room=floor.room,
        at=_place(cells, hottest),
        surface_c=float(surface_c[hottest]),
        limit_c=float(limit_c[hottest]),
        area_m2=float(cells.area[mine].sum()),
        edge=bool(limit_c[hottest] > floor.indoor_c + floor.limit_k + 1e-9),
    )


def _place(cells: Cells, number: int) -> Point:
    """Middle of a cell [m]."""
    x, y = cells.middles[number]
    return float(x), float(y)


def limit_findings(places: Iterable[HotPlace], labels: Mapping[str, str]) -> tuple[Finding, ...]:
    """A finding for each place over its limit; `labels` are the rooms' names for people."""
    return tuple(_finding(place, labels.get(place.room, place.room)) for place in places)


def _area(area_m2: float) -> str:
    return Message("{area:.2f} m²", area=area_m2) if area_m2 >= 0.01 else Message("less than 0.01 m²")


def _finding(place: HotPlace, label: str) -> Finding:
    where = Message("in its edge zone") if place.edge else Message("on its floor")
    return Finding(
        code="surface.limit",
        severity=Severity.WARNING,
        message=(
            Message(
                "{label}: the surface reaches {surface:.1f} °C {where}, over its limit of {limit:.1f} "
                "°C, on {area}: space the pipes wider there, insulate passing tails or run cooler water",
                label=label,
                surface=place.surface_c,
                where=where,
                limit=place.limit_c,
                area=_area(place.area_m2),
            )
        ),
        ifc_guids=(place.room,),
        at=place.at,
        source="EN 1264-2",
    )
