"""Manifolds, heated fields and circuits as laid, in the local plan frame."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import Polygon

from ufh_core.basis.pipe_axis import PipeAxis, Point
from ufh_core.fields.choice import CircuitChoice
from ufh_core.lanes.bottleneck import Bottleneck
from ufh_core.zones.level_plan import Level


@dataclass(frozen=True, slots=True, kw_only=True)
class Port:
    """One pair of ports. The pipe's plan axis starts at `flow` and ends at `return_`; risers stand there."""

    number: int
    flow: Point
    return_: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifold:
    """A manifold on a wall.

    `normal` points from the wall into the room; ports are numbered left to
    right as seen from the room, but circuits that stay keep their numbers. The mixing station
    stands on the `station_side` ("left", "right").
    """

    name: str
    storey: str
    room: str
    position: Point  # middle of the cabinet's back, on the wall face
    normal: Point
    width_m: float
    depth_m: float
    ports: tuple[Port, ...]
    cabinet: Polygon
    service_space: Polygon
    station_side: str
    place: str = ""  # the designer's name for where it stands


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatedField:
    """The floor that one circuit heats in one room: `outline` [m] with holes where nothing is laid.

    `edge` marks an edge zone along outer walls; its `pitch_m` may differ from the circuit's, which None stands for.
    """

    room: str
    circuit: str
    outline: Polygon
    edge: bool = False
    pitch_m: float | None = None

    @property
    def area_m2(self) -> float:
        """Area [m²]."""
        return float(self.outline.area)


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidCircuit:
    """One circuit as it is laid: plan axis from flow port to return port, and what it heats.

    `tail_length_m` is the plan length of both tails outside the circuit's own fields;
    `sleeves` counts straight wall crossings outside passages (single pipes); `choice` tells why it lies so,
    and `branch_choices` by room for the fields that it fills on its way. `rooms` names its own room first.
    """

    number: str  # "M1.03"
    manifold: str
    port: int
    rooms: tuple[str, ...]
    axis: PipeAxis
    pitch_m: float
    fields: tuple[HeatedField, ...]
    tail_length_m: float
    riser_length_m: float
    sleeves: int = 0
    choice: CircuitChoice | None = None
    kept: str = ""  # of which earlier or drawn circuit it is the same
    branch_choices: tuple[tuple[str, CircuitChoice], ...] = ()

    def pitch_of(self, field: HeatedField) -> float:
        """Pitch of one of its fields [m]."""
        return self.pitch_m if field.pitch_m is None else field.pitch_m

    @property
    def pitches_m(self) -> tuple[float, ...]:
        """Its pitch, then those of its edge zones that differ [m]."""
        return tuple(dict.fromkeys((self.pitch_m, *sorted(self.pitch_of(f) for f in self.fields))))

    def choices_for(self, room: str) -> tuple[CircuitChoice, ...]:
        """How its fields in a room were chosen."""
        own = (self.choice,) if self.choice is not None and self.rooms[0] == room else ()
        return (*own, *(choice for at, choice in self.branch_choices if at == room))

    @property
    def length_m(self) -> float:
        """Pipe length with tails and risers [m]."""
        return self.axis.length_m + self.riser_length_m

    @property
    def heated_area_m2(self) -> float:
        """Heated area [m²]."""
        return sum(field.area_m2 for field in self.fields)


@dataclass(frozen=True, slots=True, kw_only=True)
class FailedRoom:
    """A room (or part of one) that could not be laid, with the reason in words.

    `best_attempt` is the pipe nearest to one, where any was drawn. It breaks the rule that `reason` tells.
    """

    room: str
    reason: str
    best_attempt: PipeAxis | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedPipe:
    """A pipe that should stay as it lies and breaks a rule, in words; its room is laid anew."""

    label: str
    room: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelLayout:
    """What was laid on a level.

    `notes` say what was done otherwise than planned, `bottlenecks` where tails do not fit; `tail_warmed` are rooms
    in which a circuit finds no floor, because tails of others take and warm it.
    """

    level: Level
    manifolds: tuple[Manifold, ...]
    circuits: tuple[LaidCircuit, ...]
    failed: tuple[FailedRoom, ...]
    notes: tuple[str, ...] = ()
    refused: tuple[RefusedPipe, ...] = ()
    bottlenecks: tuple[Bottleneck, ...] = ()
    tail_warmed: tuple[str, ...] = ()
