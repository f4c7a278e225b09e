"""What a designer may decide room by room, manifold by manifold and circuit by circuit, each as a table of a list.

Plan coordinates are those of the model (world x, y) in metres, whatever length unit the file has.
"""

# ruff: noqa: RUF009 (`setting` only makes a dataclass field)

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import LinearRing, Polygon

from ufh_core.settings.metadata import EDGE_ZONES, PATTERNS, ROOM_KINDS, setting

Corner = tuple[float, float]
Ring = tuple[Corner, ...]

LEAST_AREA_M2 = 1e-3
FEWEST_POINTS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomOverride:
    """One room (or several) told apart from the rest by GlobalId, name, or a pattern with * and ?."""

    match: str = setting("", "GlobalId, name or long name; * and ? stand for any text")
    heat: bool | None = setting(None, "true or false: heat it or leave it out, whatever it is called")
    kind: str | None = setting(None, 'kind of room, e.g. "bath"', choices=ROOM_KINDS)
    indoor_c: float | None = setting(None, "indoor temperature", unit="°C", low=5, high=30)
    demand_w: float | None = setting(None, "heat demand", unit="W", low=0, high=100000)
    pitch_m: float | None = setting(None, "pitch of the pipes", unit="m", low=0.1, high=0.4)
    finish_r: float | None = setting(None, "thermal resistance of the floor finish", unit="m²K/W", low=0, high=0.4)
    dwelling: str | None = setting(None, "name of the flat that it belongs to, where the model has no zones of flats")
    entry: str | None = setting(
        None, "where its pipes come in: GlobalId of the door, or GlobalId or name of the room behind that door"
    )
    manifold: str | None = setting(None, "name of the place in [[manifold.places]] from which it is served")
    circuits: int | None = setting(
        None, "number of circuits; one more only where a pipe would be too long", low=1, high=24
    )
    shares_with: str | None = setting(
        None, 'GlobalId or name of the room whose circuit warms it too in passing; "none": a circuit of its own'
    )
    pattern: str | None = setting(None, "how its circuits are laid, as layout.pattern", choices=PATTERNS)
    edge_zone: str | None = setting(None, "edge zones along its outer walls, as layout.edge_zone", choices=EDGE_ZONES)
    leave_out: tuple[Ring, ...] | None = setting(
        None, "areas without pipes, each a list of corners [x, y] in the model's plan coordinates", unit="m"
    )
    take_in: tuple[Ring, ...] | None = setting(
        None, "areas to heat though the model shows a unit there, each a list of corners [x, y]", unit="m"
    )

    def lack(self) -> str:
        """What is missing or wrong in the table as a whole, in words."""
        if not self.match.strip():
            return "needs match, the GlobalId, name or pattern of the rooms it is for"
        return _rings_lack("leave_out", self.leave_out or ()) or _rings_lack("take_in", self.take_in or ())


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifoldPlace:
    """One place for a manifold: a name and one of at, wall, room and element.

    The manifold is put on the nearest straight free wall with enough free floor in front.
    """

    name: str = setting("", "name of the place, for [[rooms.overrides]] and the results")
    at: Corner | None = setting(None, "point [x, y] in the model's plan coordinates", unit="m")
    wall: str | None = setting(None, "GlobalId of the wall on which it hangs")
    room: str | None = setting(None, "GlobalId, name or long name of the room in which it stands")
    element: str | None = setting(None, "GlobalId of a cupboard, niche or anything else that it stands next to")
    storey: str | None = setting(None, "name of the storey, where the place is on more than one")
    serves: tuple[str, ...] | None = setting(
        None, "rooms that it serves, by GlobalId, name or pattern; without it the rooms that are nearest"
    )

    def lack(self) -> str:
        """What is missing or wrong in the table as a whole, in words."""
        if not self.name.strip():
            return "needs a name"
        given = [key for key in ("at", "wall", "room", "element") if getattr(self, key) is not None]
        if len(given) != 1:
            return f"needs one of at, wall, room and element, and has {' and '.join(given) or 'none'}"
        return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptCircuits:
    """Circuits that stay as they lie, round which the rest is laid: of an earlier run, or one drawn by hand.

    They are checked by the same rules as any other.
    """

    file: str | None = setting(None, "design.json of an earlier run, as seen from where the command is run")
    circuit: str | None = setting(None, "of it only this circuit")
    manifold: str | None = setting(None, "of it only the circuits of this manifold")
    room: str | None = setting(None, "of it only the circuits of rooms of this GlobalId, name or pattern")
    points: Ring | None = setting(
        None, "or the corners [x, y] of a pipe from flow port to return port, in the model's plan coordinates", unit="m"
    )
    storey: str | None = setting(None, "of a drawn pipe: name of its storey, where rooms lie above one another")

    def lack(self) -> str:
        """What is missing or wrong in the table as a whole, in words."""
        if (self.file is None) == (self.points is None):
            return "needs one of file and points"
        chosen = [key for key in ("circuit", "manifold", "room") if getattr(self, key) is not None]
        if len(chosen) > 1:
            return f"has {' and '.join(chosen)}; give one of them, or none to keep all circuits"
        if self.points is not None and (chosen or len(self.points) < FEWEST_POINTS):
            return f"points takes {FEWEST_POINTS} corners or more, and no circuit, manifold or room beside it"
        return ""


def _rings_lack(key: str, rings: tuple[Ring, ...]) -> str:
    """Why a list of areas cannot be used, in words."""
    for k, ring in enumerate(rings, 1):
        if len(ring) < 3:
            return f"{key} {k} has {len(ring)} corners; an area needs three or more"
        if not LinearRing(ring).is_simple or Polygon(ring).area < LEAST_AREA_M2:
            return f"{key} {k} crosses itself or has no area; give its corners in order round it"
    return ""
