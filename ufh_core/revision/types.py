"""What a comparison of two states of a building gives. Plan shapes are in the plan frame of the new state."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import Building, Room

TOLERANCE_M = 0.005
"""Shapes and heights that differ by no more are the same.

Files round to a millimetre, setting out on site is no better than 5 mm (common practice), and no rule of the layout
is that fine.
"""


NOWHERE = Polygon()


class Effect(IntEnum):
    """What a change does to what was designed, the gravest last."""

    NONE = 0
    FIGURES = 1  # the way of the pipes stays; heights or sums follow
    LAY_ANEW = 2


EFFECT_WORDS = {Effect.NONE: "nothing", Effect.FIGURES: "figures", Effect.LAY_ANEW: "lay anew"}


@dataclass(frozen=True, slots=True, kw_only=True)
class WorldShift:
    """A motion of the world: turned by `turn_rad` about the origin, then moved by `by_m`, then lifted by `up_m`."""

    turn_rad: float = 0.0
    by_m: tuple[float, float] = (0.0, 0.0)
    up_m: float = 0.0

    @property
    def in_plan(self) -> bool:
        """Whether it moves or turns anything in plan."""
        return self.turn_rad != 0.0 or self.by_m != (0.0, 0.0)

    def frame_before(self, frame: LocalFrame) -> LocalFrame:
        """The plan frame that this motion carries onto `frame`."""
        back = LocalFrame(origin=(*self.by_m, 0.0), rotation=self.turn_rad)
        x, y = back.to_local(np.array([frame.origin[:2]]))[0]
        return LocalFrame(origin=(float(x), float(y), frame.origin[2]), rotation=frame.rotation - self.turn_rad)

    def frame_after(self, frame: LocalFrame) -> LocalFrame:
        """The plan frame onto which this motion carries `frame`."""
        motion = LocalFrame(origin=(*self.by_m, 0.0), rotation=self.turn_rad)
        x, y = motion.to_world(np.array([frame.origin[:2]]))[0]
        return LocalFrame(origin=(float(x), float(y), frame.origin[2]), rotation=frame.rotation + self.turn_rad)


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing that the architect changed, in words.

    `code` is stable; `storey` is the GlobalId of its storey in the new state (in the old one where that is gone), ""
    for the whole building; `elements` and `rooms` are GlobalIds, of the new state where it has them; `area` is the
    floor or the element that changed. `circuits` and `manifolds` are those of the earlier design that it touches,
    `pipe_m` is their pipe [m]. `effect` is what it does without regard to a design.
    """

    code: str
    words: str
    storey: str = ""
    elements: tuple[str, ...] = ()
    rooms: tuple[str, ...] = ()
    area: shapely.Geometry = NOWHERE
    effect: Effect = Effect.NONE
    circuits: tuple[str, ...] = ()
    manifolds: tuple[str, ...] = ()
    pipe_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomPair:
    """A room in both states; one of them is None where it is new or gone. `storey` as in `Change`."""

    old: Room | None
    new: Room | None
    storey: str

    @property
    def room(self) -> Room:
        """The room as it is, or was."""
        found = self.new or self.old
        assert found is not None
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierPipe:
    """A circuit of the earlier design: its pipe [m, plan frame] and the rooms of its fields (GlobalIds of the old)."""

    number: str
    manifold: str
    storey: str
    rooms: tuple[str, ...]
    line: LineString
    length_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierCabinet:
    """A manifold of the earlier design: the floor on which its cabinet stands [m, plan frame]."""

    name: str
    storey: str
    outline: Polygon


@dataclass(frozen=True, slots=True, kw_only=True)
class TouchedCircuit:
    """A circuit that a revision touches, and why."""

    number: str
    manifold: str
    effect: Effect
    reason: str
    fields: tuple[str, ...]
    length_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """Two states of a building, the old one brought into the plan frame of the new one.

    `circuits` and `cabinets` are all of the earlier design, `touched` the circuits that cannot simply stay; `manifolds`
    names those that lost their wall, `panels` the rooms (GlobalIds) whose panels are laid anew. `designed` says
    whether an earlier design was given at all. `same_ids` are GlobalIds of the new state by those of the old, of all
    that both have, and `shift` the motion of the whole model in the world.
    """

    old: Building
    new: Building
    changes: tuple[Change, ...]
    rooms: tuple[RoomPair, ...]
    same_ids: dict[str, str]
    shift: WorldShift
    designed: bool = False
    circuits: tuple[EarlierPipe, ...] = ()
    cabinets: tuple[EarlierCabinet, ...] = ()
    touched: tuple[TouchedCircuit, ...] = ()
    manifolds: tuple[str, ...] = ()
    panels: tuple[str, ...] = ()

    @property
    def anything_touched(self) -> bool:
        """Whether anything of the earlier design is touched; without one, whether any change can touch one."""
        whole = any(change.code in ALWAYS and change.effect is not Effect.NONE for change in self.changes)
        if self.designed:
            return bool(self.touched or self.manifolds or self.panels) or whole
        return any(change.effect is not Effect.NONE for change in self.changes)

    @property
    def laid_anew(self) -> frozenset[str]:
        """Numbers of the circuits whose way cannot stay."""
        return frozenset(c.number for c in self.touched if c.effect is Effect.LAY_ANEW)


ALWAYS = frozenset(
    {
        "revision.room-added",
        "revision.model-moved",
        "revision.georeference-changed",
        "revision.new-ids",
    }
)
"""Codes of changes after which a design is made anew though they touch no circuit of it."""
