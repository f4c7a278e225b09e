"""The floors that a circuit heats after its way was changed: less where runs went away, more where they went."""

from __future__ import annotations

from collections.abc import Mapping

import shapely
from shapely.geometry import Polygon

from ufh_core.basis.areas import Area, common, polygons, without
from ufh_core.circuits.drawn_pipes import drawn_field
from ufh_core.zones.kept_pipes import KeptPipe

SAME_M = 0.005
SLIVER_M = 0.01
LEAST_FIELD_M2 = 5e-3
REACH = 0.75  # of the pitch: floor farther from every run is not heated by it

Fields = tuple[tuple[str, Polygon], ...]


def changed_fields(was: KeptPipe, now: Mapping[str, KeptPipe], floors: Mapping[str, Area]) -> Fields:
    """Fields of a circuit; `now` are all circuits as they lie, itself among them, `floors` the free floors by room."""
    line, old = now[was.label].axis.line(), was.axis.line()
    pitch = was.pitch_m or 0.0
    left, new = old.difference(line.buffer(SAME_M)), line.difference(old.buffer(SAME_M))
    cold = left.buffer(pitch).difference(line.buffer(REACH * pitch))
    others = shapely.union_all([f for label, pipe in now.items() if label != was.label for _, f in pipe.fields])
    warm = without(common(drawn_field(now[was.label].axis, pitch), new.buffer(pitch)), others)
    found = []
    for room in dict.fromkeys(guid for guid, _ in was.fields):
        before = shapely.union_all([f for guid, f in was.fields if guid == room])
        gained = common(warm, floors[room]) if room in floors else Polygon()
        whole = before.difference(cold).union(gained)
        opened = whole.buffer(-SLIVER_M, join_style="mitre").buffer(SLIVER_M, join_style="mitre")
        found += [(room, part) for part in polygons(common(opened, whole)) if part.area > LEAST_FIELD_M2]
    return tuple(found)
