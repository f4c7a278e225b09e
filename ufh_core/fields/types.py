"""What the filling of one territory with one loop asks for and gives back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Generic, TypeVar

from shapely.geometry import LineString, Polygon

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import Point
from ufh_core.fields.choice import Candidate

NO_AREA = Polygon()
Found = TypeVar("Found")
Other = TypeVar("Other")


@dataclass(frozen=True, slots=True, eq=False)
class Spare(Generic[Found]):
    """A loop nearly as good as the one that was chosen, about so much `longer_m`.

    `made` works it out when it is wanted, once; None where it breaks a rule.
    """

    longer_m: float
    made: Callable[[], Found | None]

    def then(self, further: Callable[[Found], Other | None]) -> Spare[Other]:
        """The same loop with one more step of work, done when it is wanted."""
        return Spare(self.longer_m, cache(lambda: None if (found := self.made()) is None else further(found)))


class Pattern(StrEnum):
    """How a loop fills its floor.

    Counterflow: flow and return side by side, winding inwards. Meander: to and fro across the floor.
    Facade meander: to and fro beside the cold walls, the flow there first.
    """

    COUNTERFLOW = "counterflow"
    MEANDER = "meander"
    FACADE_MEANDER = "facade meander"


@dataclass(frozen=True, slots=True, kw_only=True)
class Approach:
    """Where a pair of tails arrives: its centre line ends at `at` [m], heading along an axis.

    `heading` is (1, 0), (-1, 0), (0, 1) or (0, -1). The two pipes run beside the centre line, on
    the stud grid, and may only be carried on straight ahead.
    """

    at: Point
    heading: tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldRequest:
    """One territory to be filled with one loop, in the local frame [m].

    `floor` is the floor to heat, `axis_area` where pipe axes of the field may lie (clearances,
    other tails and obstacles already taken off, and the own tails as far as they run inside the
    territory before `at`), `lane_area` where the pair of tails may be carried on. `approaches`
    are alternatives in order of preference. Unless `thorough`, a poor loop is not searched any better.
    Unless `on_studs`, the system holds a pipe anywhere and runs may lie in any direction.
    `cold_walls` are the outer walls of the room, each from point to point with the room on its left; a
    facade meander goes along most of them first, and is a plain meander where there are none. `edge_floor` is
    the strip of the floor along them, `edge_depth_m` deep, that is wanted at `edge_pitch_m`; empty for none.
    `with_others` asks for further loops of other lengths, where lengths count.
    """

    floor: Polygon
    axis_area: Area
    lane_area: Area
    approaches: tuple[Approach, ...]
    pitch_m: float
    stud_pitch_m: float = 0.05
    least_radius_m: float = 0.075
    tail_spacing_m: float = 0.05
    separation_share: float = 0.75
    thorough: bool = True
    on_studs: bool = True
    pattern: Pattern = Pattern.COUNTERFLOW
    cold_walls: tuple[LineString, ...] = ()
    with_others: bool = False
    edge_floor: Area = NO_AREA
    edge_depth_m: float = 0.0
    edge_pitch_m: float = 0.0

    @property
    def separation_m(self) -> float:
        """Least distance between runs: where a part is laid tighter, what that asks, but half the pitch everywhere."""
        tightest = self.pitch_m if self.edge_floor.is_empty else min(self.pitch_m, self.edge_pitch_m)
        return max(self.separation_share * tightest, min(self.separation_share, 0.5) * self.pitch_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldResult:
    """A loop that is legal.

    `corners` run from one pipe of the pair at `approaches[approach].at` round the field to the
    other one; the first pipe goes to the outer walls first, so it is best made the flow.
    `heated` is the floor within 0.75 pitch of the pipe; `coverage` the share of it (by the judge's
    way of counting: 0.1 m and more inside it) that is; `unevenness` the standard deviation of the water
    temperature over the floor, 1 at flow and 0 at return; `bends` the turning in right angles; `edge_floor`
    is the part of `heated` that is laid at the edge zone's pitch; `poor` says that a thorough search might do better.
    `drawn` loops were drawn and rated, the best of them are `candidates`; `others` are loops nearly as good,
    of other lengths.
    `turned_rad` is the angle of the frame that the runs lie along, against the level's.
    """

    corners: tuple[Point, ...]
    approach: int
    heated: Polygon
    coverage: float
    unevenness: float
    bends: int
    poor: bool = False
    edge_floor: Area = NO_AREA
    drawn: int = 0
    candidates: tuple[Candidate, ...] = ()
    turned_rad: float = 0.0
    others: tuple[Spare[FieldResult], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldFailure:
    """Why no legal loop was found; `best` holds the corners of the nearest attempt, if any."""

    reason: str
    best: tuple[Point, ...] = ()
