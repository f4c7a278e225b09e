"""First heating of the screed: the flow temperature over the days, and how warm screed and floor get by it.

The instructions of the screed's maker rule, and the first heating is not yet the drying that a covering needs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ufh_core.basis.errors import NoSolution
from ufh_core.section.network import solve
from ufh_core.section.response import Response, WaterAt, given_temperatures, response_of, steps_of, water_network
from ufh_core.section.steady import CELLS_TO_RADIUS, WATER, Around, warmest
from ufh_core.section.transient import Stage, march
from ufh_core.section.types import Section

DAY_S = 86400.0
LEAST_AGE_DAYS = {"cement": 21.0, "calcium sulphate": 7.0, "flowing calcium sulphate": 7.0}
"""Age of the screed before which it is not heated. Source: EN 1264-4; clause from memory, figures in trade teaching."""

FIRST_C, FIRST_DAYS = 25.0, 3.0
"""Flow temperature of the first days, 20 to 25 °C. Source: EN 1264-4; as above."""

GREATEST_DAYS = 4.0
"""Days at the greatest flow temperature of the design. Source: EN 1264-4; as above."""

GREATEST_FLOW_C = 55.0
"""Most that cement and calcium sulphate screeds take in the plane of the pipes. Source: DIN 18560-2."""

CAUTIONS = (
    "The screed maker's instructions come before this curve: other ages, temperatures and times are common.",
    "Do not heat a screed younger than stated, and keep draughts, sun and covered stacks off it meanwhile.",
    "Have the greatest flow temperature limited by the heat generator or a limiter, not by watching.",
    "Write down date, flow temperature and state of the heating every day; the record is handed over.",
    "Measure the residual moisture before a covering is laid: first heating does not prove that the screed is dry.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingProgramme:
    """Flow temperature over time: `points` (seconds since the start, flow °C), straight between them.

    Two points at one time are a jump. `earliest_days` is the least age of the screed at the start.
    """

    screed: str
    earliest_days: float
    points: tuple[tuple[float, float], ...]
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def days(self) -> float:
        """How long it takes [days]."""
        return self.points[-1][0] / DAY_S

    def flow_c(self, time_s: float) -> float:
        """Flow temperature [°C] at a time [s] since the start; at a jump the later one."""
        return _at(self.points, time_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class ScreedDuring:
    """What a programme does to the floor: `response` over time, the warmest of the layers [°C] and its time [s]."""

    response: Response
    warmest_c: float
    warmest_at_s: float
    greatest_surface_c: float


def heating_programme(
    screed: str,
    greatest_flow_c: float,
    *,
    start_c: float = 20.0,
    rise_k_per_day: float | None = None,
    fall_k_per_day: float | None = None,
    first_c: float = FIRST_C,
    first_days: float = FIRST_DAYS,
    greatest_days: float = GREATEST_DAYS,
) -> HeatingProgramme:
    """The curve for a screed ("cement", "calcium sulphate") and the design's greatest flow temperature [°C].

    `start_c` is the screed's temperature before and after. `rise_k_per_day` and `fall_k_per_day` [K/day] ramp from
    the first to the greatest temperature and down again; None: at once, as the standard has it (ramps of 5 to 10 K
    a day are common practice).
    Raises: NoSolution for another screed, a greatest temperature beyond 55 °C or under the first one, ramps or
    times that are not positive.
    Source: EN 1264-4 (from memory): from 21 days (cement) or 7 days (calcium sulfate) on, 3 days at 25 °C, then
    4 days at the greatest temperature of the design.

    >>> curve = heating_programme("cement", 40.0, rise_k_per_day=5.0)
    >>> [(time / 86400, flow) for time, flow in curve.points]
    [(0.0, 20.0), (0.0, 25.0), (3.0, 25.0), (6.0, 40.0), (10.0, 40.0), (10.0, 20.0)]
    """
    if screed not in LEAST_AGE_DAYS:
        raise NoSolution(f"no first heating is known for a screed of {screed}: use {' or '.join(LEAST_AGE_DAYS)}")
    _check(greatest_flow_c, first_c, start_c, (first_days, greatest_days), (rise_k_per_day, fall_k_per_day))
    days = [0.0, 0.0, first_days]
    days.append(days[-1] + _ramp_days(greatest_flow_c - first_c, rise_k_per_day))
    days.append(days[-1] + greatest_days)
    days.append(days[-1] + _ramp_days(greatest_flow_c - start_c, fall_k_per_day))
    flows = [start_c, first_c, first_c, greatest_flow_c, greatest_flow_c, start_c]
    points = tuple((day * DAY_S, flow) for day, flow in zip(days, flows, strict=True))
    return HeatingProgramme(screed=screed, earliest_days=LEAST_AGE_DAYS[screed], points=points)


def screed_during(
    section: Section,
    programme: HeatingProgramme,
    *,
    around: Around | None = None,
    spread_k: float = 0.0,
    after_s: float = 0.0,
    step_s: float = 1800.0,
    cells: int = CELLS_TO_RADIUS,
) -> ScreedDuring:
    """Follow the floor through a programme, from a floor as warm as its surroundings.

    The water in the section is the flow less half of `spread_k` [K]; 0 is the safe side, where the flow enters.
    `after_s` [s] more are followed at the last temperature.
    Valid for: heat conduction alone; the heat that drying water takes makes the real screed cooler.
    """
    around = around or Around()
    network = water_network(section, WaterAt(celsius=programme.points[0][1]), cells)
    points = [(time, flow - spread_k / 2) for time, flow in programme.points]
    points.append((points[-1][0] + after_s, points[-1][1]))
    given = given_temperatures(network, WaterAt(celsius=points[0][1]), around)
    start = solve(network, given | {WATER: around.room_c})
    history = march(network, start, _stages(points, given, step_s))
    last = WaterAt(celsius=points[-1][1])
    final = solve(network, given_temperatures(network, last, around))
    hottest = [warmest(section, network, state) for state in history.temperatures]
    response = response_of(section, network, history, around, final, last)
    return ScreedDuring(
        response=response,
        warmest_c=max(hottest),
        warmest_at_s=float(history.times_s[int(np.argmax(hottest))]),
        greatest_surface_c=float(response.peak_surface_c.max()),
    )


def _stages(points: Sequence[tuple[float, float]], given: dict[str, float], step_s: float) -> list[Stage]:
    """One stage between any two points that are apart in time."""
    still = {port: (value, value) for port, value in given.items()}
    return [
        Stage(seconds=end - start, steps=steps_of(end - start, step_s), given=still | {WATER: (first, last)})
        for (start, first), (end, last) in pairwise(points)
        if end > start
    ]


def _ramp_days(kelvin: float, k_per_day: float | None) -> float:
    return 0.0 if k_per_day is None else kelvin / k_per_day


def _at(points: Sequence[tuple[float, float]], time_s: float) -> float:
    for (start, first), (end, last) in pairwise(points):
        if start <= time_s < end:
            return first + (last - first) * (time_s - start) / (end - start)
    return points[0][1] if time_s < points[0][0] else points[-1][1]


def _check(
    greatest: float, first: float, start: float, days: tuple[float, ...], ramps: tuple[float | None, ...]
) -> None:
    if not greatest <= GREATEST_FLOW_C:
        raise NoSolution(f"a screed takes at most {GREATEST_FLOW_C:g} °C at the pipes, not {greatest:g} °C")
    if not start <= first <= greatest:
        raise NoSolution(f"first heating must rise: {start:g} °C, {first:g} °C, {greatest:g} °C do not")
    if not all(0 < value < float("inf") for value in (*days, *(ramp for ramp in ramps if ramp is not None))):
        raise NoSolution("days and ramps of the first heating must be more than 0")
