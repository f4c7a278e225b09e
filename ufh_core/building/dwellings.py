"""Which rooms make one dwelling: groups of spaces that the model calls a flat, or that are one by their rooms.

A group is an IfcZone, an IfcSpatialZone, or a COMPLEX space made up of others. It is a dwelling when its name, type
or occupancy says so in a word of a dozen languages (from memory), or when it has exactly one
kitchen and a bath or WC. Groups that share rooms ("all flats", storeys, fire compartments) give way to the
smaller ones; one dwelling alone is a house and no flat.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ufh_core.building.model_file import ModelFile
from ufh_core.building.properties import figures
from ufh_core.building.types import Room, RoomKind

# Beginnings of words, and short words that must stand alone; plain letters.
_BEGINNINGS = (
    "apartment", "appartement", "appartamento", "apartamento", "apartament", "dwelling", "maisonette", "penthouse",
    "wohnung", "wohneinheit", "ferienwohnung", "einliegerwohnung", "logement", "alloggio", "abitazione",
    "vivienda", "woning", "lejlighed", "boenhet", "bolig", "lagenhet", "leilighet", "huoneisto", "asunto",
    "mieszkanie", "lakas", "kvartira", "квартира", "διαμερισμα", "daire",
)  # fmt: skip
_WHOLE = frozenset({"flat", "apt", "appt", "whg", "we", "lgh", "byt", "stan", "кв"})
_WASHING = (RoomKind.BATH, RoomKind.WC)
FEWEST_DWELLINGS = 2


def dwellings(source: ModelFile, rooms: Sequence[Room]) -> dict[str, str]:
    """The dwelling's name by room (GlobalId); rooms that belong to none are not in it."""
    kinds = {r.ifc_guid: r.kind for r in rooms}
    groups = [(g, m) for g in _groups(source) if (m := _members(source, g, kinds)) and _is_dwelling(g, m, kinds)]
    chosen: list[tuple[Any, frozenset[str]]] = []
    for group, members in sorted(groups, key=lambda pair: (len(pair[1]), pair[0].GlobalId)):
        if not any(members & taken for _, taken in chosen):
            chosen.append((group, members))
    if len(chosen) < FEWEST_DWELLINGS:
        return {}
    called = Counter(_name(group) for group, _ in chosen)
    return {
        guid: _name(group) if called[_name(group)] == 1 else f"{_name(group)} ({group.GlobalId})"
        for group, members in chosen
        for guid in members
    }


def _groups(source: ModelFile) -> list[Any]:
    complexes = [s for s in source.of_class("IfcSpace") if s.CompositionType == "COMPLEX"]
    return [*source.of_class("IfcZone", "IfcSpatialZone"), *complexes]


def _members(source: ModelFile, group: Any, kinds: Mapping[str, RoomKind]) -> frozenset[str]:
    """GlobalIds of the rooms in a group, those in groups within it too."""
    found: set[str] = set()
    seen: set[int] = set()
    waiting = [group]
    while waiting:
        one = waiting.pop()
        if one.id() in seen:
            continue
        seen.add(one.id())
        parts = list(_parts(one))
        found |= {p.GlobalId for p in parts if p.is_a("IfcSpace")}
        waiting += parts
    return frozenset(found & set(kinds))


def _parts(group: Any) -> Iterator[Any]:
    """What a group, a spatial zone or a space is directly made of."""
    for name, role in (
        ("IsGroupedBy", "RelatedObjects"),
        ("IsDecomposedBy", "RelatedObjects"),
        ("ReferencesElements", "RelatedElements"),
        ("ContainsElements", "RelatedElements"),
    ):
        relations = getattr(group, name, None) or ()
        for relation in relations if isinstance(relations, tuple) else (relations,):
            yield from (p for p in getattr(relation, role, ()) if p.is_a("IfcSpace") or p.is_a("IfcZone"))


def _is_dwelling(group: Any, members: frozenset[str], kinds: Mapping[str, RoomKind]) -> bool:
    texts = [getattr(group, name, None) for name in ("Name", "LongName", "ObjectType")]
    texts += [value for key, value in figures(group).items() if key == "occupancytype"]
    if any(_says_dwelling(str(text)) for text in texts if text):
        return True
    uses = [kinds[guid] for guid in members]
    return uses.count(RoomKind.KITCHEN) == 1 and any(kind in _WASHING for kind in uses)


def _says_dwelling(text: str) -> bool:
    plain = "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
    words = re.findall(r"[^\W\d_]+", plain)
    return any(word in _WHOLE or word.startswith(_BEGINNINGS) for word in words)


def _name(group: Any) -> str:
    return (getattr(group, "LongName", None) or group.Name or "").strip() or str(group.GlobalId)
