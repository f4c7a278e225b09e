"""Taking our own earlier additions out of a coordinated model, so that the architect's model is left.

Every element that we add is listed by GlobalId in `UFH_Provenance` on the project. What only they refer to
(shapes, placements, units) goes with them; what anything of the architect's refers to stays. A greatest
fixed point: all that hangs on our elements is doubted, and what is still needed is taken back until nothing is.
"""

from __future__ import annotations

from typing import Any

import ifcopenshell

PROVENANCE, ADDED, DIGEST = "UFH_Provenance", "AddedElements", "ArchitectFileDigest"
CLINGING = ("IfcStyledItem", "IfcPresentationLayerAssignment", "IfcMaterialProperties")
"""Entities that nothing refers to and that refer to what they describe."""


def without_additions(model: Any) -> tuple[Any, str]:
    """(the model as the architect gave it, digest of that file); the same model and "" where nothing was added."""
    listed = _listed(model)
    if listed is None:
        return model, ""
    roots, digest = listed
    gone = _going(model, roots)
    kept = [line for line in model.to_string().splitlines() if _number(line) not in gone]
    return ifcopenshell.file.from_string("\n".join(kept) + "\n"), digest


def additions(model: Any) -> tuple[Any, ...]:
    """Our rooted entities in an open model, with the set that lists them; none where nothing was added."""
    listed = _listed(model)
    return () if listed is None else tuple(listed[0])


def take_out_additions(model: Any) -> None:
    """Take our earlier additions out of an open model, in place, so that whoever has it open may undo it."""
    roots = list(additions(model))
    if roots:
        for number in sorted(_going(model, roots), reverse=True):
            model.remove(model.by_id(number))


def _listed(model: Any) -> tuple[list[Any], str] | None:
    """(our rooted entities, digest of the architect's file), by the set that lists them."""
    for found in model.by_type("IfcPropertySet"):
        rows = {p.Name: p for p in found.HasProperties or ()} if found.Name == PROVENANCE else {}
        if ADDED in rows:
            guids = {v.wrappedValue for v in rows[ADDED].ListValues or ()}
            bound = [r for r in model.get_inverse(found) if r.is_a("IfcRelDefinesByProperties")]
            ours = [e for e in model.by_type("IfcRoot") if e.GlobalId in guids]
            digest = rows[DIGEST].NominalValue.wrappedValue if DIGEST in rows else ""
            return [*ours, found, *bound], digest
    return None


def _going(model: Any, roots: list[Any]) -> set[int]:
    """Numbers of the entities that go."""
    own = {e.id() for e in roots}
    doubted = _reached(model, roots, own)
    _cling(model, doubted)
    _let_go(model, roots, doubted)
    waiting = list(doubted - own)
    while waiting:
        number = waiting.pop()
        if number not in doubted:
            continue
        if not {i.id() for i in model.get_inverse(model.by_id(number))} <= doubted and not _clings(model, number):
            doubted.discard(number)
            waiting += [e.id() for e in model.traverse(model.by_id(number), max_levels=1) if e.id() in doubted - own]
    return doubted


def _reached(model: Any, roots: list[Any], own: set[int]) -> set[int]:
    """Our rooted entities and all resources that they refer to."""
    reached, waiting = set(own), list(roots)
    while waiting:
        for below in model.traverse(waiting.pop(), max_levels=1)[1:]:
            if below.id() and below.id() not in reached and not below.is_a("IfcRoot"):
                reached.add(below.id())
                waiting.append(below)
    return reached


def _cling(model: Any, doubted: set[int]) -> None:
    """Add styles, layers and material properties of what goes, with all that hangs on them."""
    kinds = [k for k in CLINGING if k != "IfcMaterialProperties" or model.schema != "IFC2X3"]
    for entity in (e for kind in kinds for e in model.by_type(kind)):
        if _described(entity) and _described(entity) <= doubted:
            doubted |= _reached(model, [entity], {entity.id()})


def _clings(model: Any, number: int) -> bool:
    """Whether an entity is one that nothing needs to refer to."""
    return any(model.by_id(number).is_a(kind) for kind in CLINGING)


def _described(entity: Any) -> set[int]:
    """What a style, layer or material property is of."""
    if entity.is_a("IfcPresentationLayerAssignment"):
        return {i.id() for i in entity.AssignedItems or ()}
    item = entity.Item if entity.is_a("IfcStyledItem") else entity.Material
    return {item.id()} if item is not None else set()


def _let_go(model: Any, roots: list[Any], doubted: set[int]) -> None:
    """Free ours from relations that others have made since; a relation with nothing left goes too."""
    for root in roots:
        for other in model.get_inverse(root):
            if other.id() not in doubted and other.is_a("IfcRelationship"):
                _unbind(other, root, doubted)


def _unbind(relation: Any, root: Any, doubted: set[int]) -> None:
    """Take an entity out of a relation."""
    for index, value in enumerate(relation):
        if isinstance(value, tuple) and root in value:
            relation[index] = [v for v in value if v != root] or value
            if len(value) == 1:
                doubted.add(relation.id())
        elif value == root:
            doubted.add(relation.id())


def _number(line: str) -> int:
    """The number of the entity on a line; 0 for a line of another kind."""
    head, found, _ = line.partition("=")
    return int(head[1:]) if found and head[:1] == "#" and head[1:].isdecimal() else 0
