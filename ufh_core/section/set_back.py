"""When the heating must start again, for the floor or the room to be warm when people return.

The floor cools down with the water of the set-back; a second march from each candidate start shows whether it is
early enough; the latest that is, is found by bisection. Cost: ten marches or so, well under a second.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ufh_core.basis.errors import NoSolution
from ufh_core.section.network import HeatNetwork, heat_from, linked, storing
from ufh_core.section.response import (
    STANDING,
    Water,
    given_temperatures,
    half_power,
    steady_state,
    steps_of,
    water_network,
)
from ufh_core.section.steady import CELLS_TO_RADIUS, ROOM, WATER, Around
from ufh_core.section.transient import Stage, march
from ufh_core.section.types import Array, Section

OUTDOOR = "outdoor"

ROOM_HEAT_CAPACITY = {
    "very light": 80e3,
    "light": 110e3,
    "medium": 165e3,
    "heavy": 260e3,
    "very heavy": 370e3,
}
"""Heat that walls, ceiling and furniture store by kelvin and floor area [J/(m² K)]; the heated floor is part of these
figures, so a room with a heavy screed may be taken one class lighter. Source: EN ISO 13790, table 12, from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomStore:
    """A room that cools and warms as one body: J/(m² K) of floor area, beside the floor, and the outdoor air [°C].

    Its loss is what the floor's steady heat makes up for at that outdoor temperature.
    """

    heat_capacity: float
    outdoor_c: float

    def __post_init__(self) -> None:
        if not (0 < self.heat_capacity < float("inf") and np.isfinite(self.outdoor_c)):
            raise NoSolution("a room that stores heat needs a heat capacity of more than 0 and an outdoor temperature")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetBack:
    """Nobody is there for `away_s` [s]: steady `heating` before, the water `lowered` from then on, then `restart`.

    `restart` is `heating` without another one (a warmer flow, where the generator can). Enough on return is: with
    a `room`, its temperature at most `short_k` [K] under what it was; without one, `share` of the floor's steady heat.
    Raises: NoSolution for a time, share or shortfall that cannot be.
    """

    heating: Water
    away_s: float
    lowered: Water = STANDING
    restart: Water | None = None
    room: RoomStore | None = None
    short_k: float = 0.5
    share: float = 0.9

    def __post_init__(self) -> None:
        if not (0 < self.away_s < float("inf") and 0 < self.share < 1 and 0 < self.short_k < float("inf")):
            raise NoSolution("a set-back needs a time of more than 0 s, a share between 0 and 1, a shortfall over 0 K")


def lead_before_occupation(
    section: Section,
    set_back: SetBack,
    *,
    around: Around | None = None,
    step_s: float = 300.0,
    cells: int = CELLS_TO_RADIUS,
) -> float:
    """How long before people come back the heating must start again [s], up to the next `step_s`.

    The answer lies between 0 (it cools too little to need any) and the whole time away (it must not be lowered).
    Raises: NoSolution for a step that is not positive, or a room that its floor does not keep warmer than outdoors.
    Valid for: the floor; with a room, one body at one temperature. Sun, wind, people and the control's own ways are
    not known here: take the result as a start and let the control learn.
    """
    steps = steps_of(set_back.away_s, step_s)
    floor = _Floor.in_steady_state(section, set_back, around or Around(), cells)
    restart = set_back.restart or set_back.heating
    step_s = set_back.away_s / steps
    cooling = floor.follow(floor.warm, set_back.lowered, steps, step_s)

    def in_time(lead: int) -> bool:
        """Whether a start `lead` steps before the end is early enough."""
        end = cooling[steps - lead]
        return floor.is_enough(floor.follow(end, restart, lead, step_s)[-1] if lead > 0 else end)

    return _least_lead(in_time, steps) * step_s


@dataclass(frozen=True, slots=True, kw_only=True)
class _Floor:
    """The floor before the set-back: its state `warm` [°C] and the heat that it gives the room [W for a metre]."""

    section: Section
    set_back: SetBack
    around: Around
    cells: int
    warm: Array
    heat: float

    @classmethod
    def in_steady_state(cls, section: Section, set_back: SetBack, around: Around, cells: int) -> _Floor:
        network = water_network(section, set_back.heating, cells)
        warm = steady_state(network, set_back.heating, around)
        heat = -heat_from(network, warm, ROOM)
        if set_back.room is not None:
            if not heat * (around.room_c - set_back.room.outdoor_c) > 0:
                raise NoSolution("this floor does not keep its room warmer than outdoors: there is nothing to restart")
            warm = np.append(warm, set_back.room.outdoor_c)
        return cls(section=section, set_back=set_back, around=around, cells=cells, warm=warm, heat=heat)

    def network(self, water: Water) -> HeatNetwork:
        """Floor and room with a water."""
        network, room = water_network(self.section, water, self.cells), self.set_back.room
        if room is None:
            return network
        loss = self.heat / (self.around.room_c - room.outdoor_c)
        return linked(storing(network, ROOM, room.heat_capacity * self.section.half_pitch_m), ROOM, OUTDOOR, loss)

    def follow(self, start: Array, water: Water, steps: int, step_s: float) -> Array:
        """States after each of so many steps with a water, the start first."""
        network, room = self.network(water), self.set_back.room
        given = given_temperatures(network, water, self.around)
        if room is not None:
            del given[ROOM]
            given[OUTDOOR] = room.outdoor_c
        still = {port: (value, value) for port, value in given.items()}
        stage = Stage(seconds=steps * step_s, steps=steps, given=still, powers={WATER: half_power(water)})
        return march(network, start, [stage]).temperatures

    def is_enough(self, state: Array) -> bool:
        """Whether floor or room are warm enough for people."""
        network = self.network(self.set_back.heating)
        if self.set_back.room is not None:
            return bool(state[network.at(ROOM)] >= self.around.room_c - self.set_back.short_k)
        return -heat_from(network, state, ROOM) >= self.set_back.share * self.heat


def _least_lead(in_time: Callable[[int], bool], steps: int) -> int:
    """Least number of steps that is early enough, by bisection; all of them are taken to be."""
    if in_time(0):
        return 0
    late, early = 0, steps
    while early - late > 1:
        middle = (late + early) // 2
        late, early = (late, middle) if in_time(middle) else (middle, early)
    return early
