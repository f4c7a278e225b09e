"""In which order the fields of a screed are poured, so that nobody walks over fresh screed, and on which day.

Fields that touch, or that a passage joins, are next to each other. The way of each field to the way out is the
shortest over fields next to each other (Dijkstra, from all ways out at once); the farthest is poured first, so
every field that is poured still has its way out over fields that are not.
"""

from __future__ import annotations

import heapq
import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely

from ufh_core.building.types import Passage
from ufh_core.joints.types import PourField
from ufh_core.settings.types import Settings

NEXT_TO_M = 0.02  # joints are drawn as lines; floors this near touch
HAIR = 1e-9
LEAST_SIDE_M = 0.4  # a border shorter than that is no way through


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """One field in the order of pouring: `number` from 1 over the building, `day` from 1.

    `field` is its place in the storey's list of fields, `name` (storey and place, both from 1) what plan and records
    call it; `doorway_m2` is the floor in doorways that is poured with it, and `screed_m3` holds that too, net of studs
    and pipe, without spare. `way_m` is the way to the way out [m], None where there is none.
    """

    number: int
    day: int
    storey: str
    field: int
    name: str
    area_m2: float
    doorway_m2: float
    screed_m3: float
    way_m: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PourDay:
    """What is poured on one day: fields by name in their order, area with doorways and screed without spare.

    `ordered_m3` is ready-mixed screed with spare as it is sold, of which `lorries` bring it; both 0 from bags. A
    storey's days make up what is ordered for it.
    """

    day: int
    storey: str
    fields: tuple[str, ...]
    area_m2: float
    screed_m3: float
    ordered_m3: float
    lorries: int


def pour_days(pours: Sequence[Pour], settings: Settings) -> tuple[PourDay, ...]:
    """The days of pouring, with the lorries that each needs."""
    order, found = settings.order, []
    there: dict[str, tuple[float, float]] = defaultdict(lambda: (0.0, 0.0))  # net and ordered so far, by storey
    for day in dict.fromkeys(pour.day for pour in pours):
        today = [pour for pour in pours if pour.day == day]
        storey, screed = today[0].storey, sum(pour.screed_m3 for pour in today)
        net, before = there[storey][0] + screed, there[storey][1]
        ready = order.screed_supply == "ready-mixed"
        ordered = order.screed_step_m3 * math.ceil(net * (1 + order.screed_spare) / order.screed_step_m3 - HAIR)
        there[storey] = (net, ordered)
        found.append(
            PourDay(
                day=day,
                storey=storey,
                fields=tuple(pour.name for pour in today),
                area_m2=sum(pour.area_m2 + pour.doorway_m2 for pour in today),
                screed_m3=screed,
                ordered_m3=round(ordered - before, 6) if ready else 0.0,
                lorries=math.ceil((ordered - before) / order.lorry_m3 - HAIR) if ready else 0,
            )
        )
    return tuple(found)


def pour_order(
    fields: Sequence[PourField], passages: Sequence[Passage], preferred: Sequence[str] = ()
) -> list[tuple[int, float | None]]:
    """(place of the field, its way out [m]) in the order of pouring; those without a way out come first.

    Ways out are passages to what is not poured, those of the `preferred` rooms by GlobalId where these have any.
    """
    ways = _ways(fields, _starts(fields, passages, preferred), _neighbours(fields, passages))
    return sorted(((k, ways.get(k)) for k in range(len(fields))), key=lambda f: (-(f[1] or math.inf), f[0]))


def days_of(loads: Sequence[tuple[float, float]], most: tuple[float, float]) -> list[int]:
    """The day of each pour, from 1: as many a day as `most` allows of area [m²] and of screed [m³].

    `loads` are area and screed of each pour in turn; one that is larger than that has a day by itself.
    """
    days, today, done = [], 1, (0.0, 0.0)
    for area, screed in loads:
        more = (done[0] + area, done[1] + screed)
        if done[0] > 0 and (more[0] > most[0] or more[1] > most[1]):
            today, more = today + 1, (area, screed)
        days.append(today)
        done = more
    return days


def _starts(fields: Sequence[PourField], passages: Sequence[Passage], preferred: Sequence[str]) -> dict[int, float]:
    """Fields at a way out, with the way from their middle to it [m]."""
    poured = {room for field in fields for room in field.rooms}
    out = [p for p in passages if p.kind == "door" and len(poured & set(p.rooms)) > 0 and not set(p.rooms) <= poured]
    out += [p for p in passages if p.kind == "door" and len(p.rooms) == 1 and p.rooms[0] in poured]
    chosen = [p for p in out if set(p.rooms) & set(preferred)] or out
    found: dict[int, float] = {}
    for passage in chosen:
        for k, field in enumerate(fields):
            if field.outline.distance(passage.outline) <= NEXT_TO_M:
                way = float(field.outline.representative_point().distance(passage.outline))
                found[k] = min(way, found.get(k, math.inf))
    return found


def _neighbours(fields: Sequence[PourField], passages: Sequence[Passage]) -> Mapping[int, list[tuple[int, float]]]:
    """Fields next to each field, with the way between their middles [m]."""
    found: dict[int, list[tuple[int, float]]] = defaultdict(list)
    middles = [field.outline.representative_point() for field in fields]

    def join(a: int, b: int, way: float) -> None:
        found[a].append((b, way))
        found[b].append((a, way))

    for a, one in enumerate(fields):
        for b in range(a + 1, len(fields)):
            border = shapely.intersection(one.outline.buffer(NEXT_TO_M), fields[b].outline.buffer(NEXT_TO_M))
            if border.length / 2 >= LEAST_SIDE_M:
                join(a, b, float(middles[a].distance(middles[b])))
    for passage in passages:
        at, middle = passage.outline, passage.outline.centroid
        beside = [k for k, field in enumerate(fields) if field.outline.distance(at) <= NEXT_TO_M]
        for n, a in enumerate(beside):
            for b in beside[n + 1 :]:
                join(a, b, float(middles[a].distance(middle) + middles[b].distance(middle)))
    return found


def _ways(
    fields: Sequence[PourField], starts: Mapping[int, float], neighbours: Mapping[int, list[tuple[int, float]]]
) -> dict[int, float]:
    """Shortest way out of each field that has one [m]."""
    queue = [(way, k) for k, way in starts.items()]
    heapq.heapify(queue)
    ways: dict[int, float] = {}
    while queue:
        way, k = heapq.heappop(queue)
        if k in ways:
            continue
        ways[k] = way
        for other, further in neighbours.get(k, ()):
            if other not in ways:
                heapq.heappush(queue, (way + further, other))
    return ways
