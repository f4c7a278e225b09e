"""What a setting-out card says. Lengths and marks [m]; marks count from the pipe's end in the flow bar."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ufh_core.basis.pipe_axis import Point


class StepKind(StrEnum):
    """What a fitter does, or passes, at a mark."""

    START = "start"
    RUN = "run"
    DOORWAY = "doorway"
    OPEN_SIDE = "open side"
    WALL_SLEEVE = "wall sleeve"
    JOINT = "joint"
    FIELD = "field"
    GAP = "gap"
    TURN_ROUND = "turn-round"
    HALF_WAY = "half-way"
    FIELD_END = "field end"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class WallGap:
    """From the pipe's axis to a wall: `side` as one looks along the pipe ("left", "right", "ahead", "behind").

    `studs` counts the studs between wall and pipe, None where there is no stud grid.
    """

    side: str
    gap_m: float
    studs: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a card, at a mark [m].

    `room` is where it is, `to_room` what a doorway leads into, both by GlobalId; `left_m` and `right_m` are from the
    axis to the jambs, looking along the pipe. `run_m` is the length of a run, or of a
    sleeve at a movement joint, `gap_m` the distance between axes that a gap
    or a turn spans, `studs` how many studs stand between them; after a run, `turn_deg` is the bend at its end [degrees,
    left positive] and `studs` those it lies against.
    """

    kind: StepKind
    at_m: float
    point: Point
    room: str = ""
    to_room: str = ""
    walls: tuple[WallGap, ...] = ()
    left_m: float | None = None
    right_m: float | None = None
    run_m: float | None = None
    gap_m: float | None = None
    pitch_m: float | None = None
    turn_deg: float | None = None
    studs: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckMark:
    """A whole ten metres along the pipe with what to measure there."""

    at_m: float
    point: Point
    room: str
    walls: tuple[WallGap, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BendLine:
    """One bend: the mark at its start, the straight before it, the turn [degrees, left positive].

    `studs` counts the studs inside the bend that the pipe lies against, `over` those whose centre its axis would
    cover; None where there is no stud grid.
    """

    at_m: float
    run_m: float
    turn_deg: float
    radius_m: float
    room: str
    studs: int | None = None
    over: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilCut:
    """What a circuit is cut from: the coil's number and length, which cut of it, how much was cut before, the cut."""

    coil: int
    coil_m: float
    cut: int
    cuts: int
    before_m: float
    cut_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitCard:
    """The card of one circuit; `length_m` is the pipe from bar to bar."""

    number: str
    storey: str
    manifold: str
    port: int
    rooms: tuple[str, ...]
    length_m: float
    rise_m: float
    steps: tuple[Step, ...]
    checks: tuple[CheckMark, ...]
    bends: tuple[BendLine, ...]
    coil: CoilCut | None = None
