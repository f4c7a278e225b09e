"""Pour fields of a screed, the joints between them, and the pipes that cross the joints."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from shapely.geometry import LineString, Polygon

from ufh_core.basis.message import note
from ufh_core.basis.pipe_axis import Point


class JointReason(StrEnum):
    """Why a joint lies where it lies."""

    DOOR = note("the doorway")
    HEATING = note("floors heated differently")
    CORNER = note("a re-entrant corner")
    COLUMN = note("a line of columns")
    SIZE = note("the size or shape of the field")


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldRules:
    """What one pour field may be: area [m²], longest side [m], length by width; infinite where nothing binds.

    A field no longer than `ratio_free_side_m` [m] may have any ratio.
    """

    area_m2: float
    side_m: float
    ratio: float
    ratio_free_side_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PourField:
    """A piece of screed poured as one: its rooms by GlobalId, outline [m], sides of its rectangle [m].

    `keeps_rules` is False where no division that was found makes it keep them.
    """

    rooms: tuple[str, ...]
    outline: Polygon
    length_m: float
    width_m: float
    keeps_rules: bool = True

    @property
    def area_m2(self) -> float:
        """Area [m²]."""
        return float(self.outline.area)

    @property
    def ratio(self) -> float:
        """Length by width."""
        return self.length_m / self.width_m if self.width_m > 0 else float("inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A straight movement joint [m] through all of the screed, and the rooms by GlobalId that it lies in or between."""

    line: LineString
    reason: JointReason
    rooms: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """A pipe that crosses a joint: which joint by its place in the list, where [m], and whether a field does so.

    `sleeve` is the stretch of pipe axis that is to be sleeved [m].
    """

    circuit: str
    joint: int
    at: Point
    in_field: bool
    sleeve: LineString


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreyJoints:
    """The screed of a storey: pour fields, joints, crossings."""

    fields: tuple[PourField, ...] = ()
    joints: tuple[Joint, ...] = ()
    crossings: tuple[Crossing, ...] = ()
