"""The rooms of a level flat by flat: tails of one never pass through another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ufh_core.building.types import Passage, Room


def dwelling_groups(rooms: Sequence[Room], passages: Sequence[Passage]) -> list[frozenset[str]]:
    """GlobalIds of rooms that may share manifolds and tails: each dwelling's, and those that belong to none.

    A room of no dwelling from which one leads into one dwelling only, itself or through its like, is
    taken for a part of that dwelling which the model forgot to name.
    """
    home = {r.ifc_guid: r.dwelling for r in rooms}
    nobodys = [guid for guid, dwelling in home.items() if dwelling is None]
    joins = {guid: [g for p in passages if guid in p.rooms for g in p.rooms if g in home] for guid in nobodys}
    for group in _joined(nobodys, joins):
        beside = {home[g] for guid in group for g in joins[guid]} - {None}
        if len(beside) == 1:
            home |= dict.fromkeys(group, beside.pop())
    names = dict.fromkeys(home.values())
    return [frozenset(g for g, dwelling in home.items() if dwelling == name) for name in names]


def _joined(rooms: Sequence[str], joins: Mapping[str, Sequence[str]]) -> list[list[str]]:
    """Rooms in groups between which ways lead."""
    left, groups = list(rooms), []
    while left:
        group, waiting = [], [left[0]]
        while waiting:
            one = waiting.pop()
            if one in left:
                left.remove(one)
                group.append(one)
                waiting += [g for g in joins[one] if g in left]
        groups.append(group)
    return groups
