"""Copying resource entities (placements, contexts, units, geometry) from one file into another, schemas apart."""

from __future__ import annotations

from typing import Any


class EntityCopier:
    """Copies entities with all they refer to, each once; attributes go by name, rooted entities are refused."""

    def __init__(self, target: Any, schema: Any) -> None:
        """`schema` is the target's declaration (`ifcopenshell_wrapper.schema_by_name`)."""
        self._target = target
        self._schema = schema
        self._done: dict[int, Any] = {}
        self._names: dict[str, frozenset[str]] = {}

    def copy(self, entity: Any) -> Any:
        """The copy of an entity; `ValueError` or `RuntimeError` where the target's schema has no place for it."""
        if entity.id() == 0:
            return self._target.create_entity(entity.is_a(), entity[0])
        if entity.id() not in self._done:
            if entity.is_a("IfcRoot"):
                raise ValueError(f"{entity.is_a()} is not copied with what refers to it")
            self._done[entity.id()] = self._target.create_entity(entity.is_a(), **self.attributes(entity))
        return self._done[entity.id()]

    def remember(self, entity: Any, copy: Any) -> None:
        """Use `copy` wherever `entity` is referred to."""
        self._done[entity.id()] = copy

    def attributes(self, entity: Any, only: tuple[str, ...] | None = None) -> dict[str, Any]:
        """The entity's attributes (`only` those of these names) that the target's class has too, copied."""
        names = self._attribute_names(entity.is_a())
        wanted = names if only is None else names.intersection(only)
        given = entity.get_info(recursive=False, include_identifier=False)
        return {name: self._value(v) for name, v in given.items() if name in wanted and v is not None}

    def _attribute_names(self, kind: str) -> frozenset[str]:
        """Explicit attributes of a class in the target's schema."""
        if kind not in self._names:
            declaration = self._schema.declaration_by_name(kind)
            derived = declaration.derived()
            named = (a.name() for a, d in zip(declaration.all_attributes(), derived, strict=True) if not d)
            self._names[kind] = frozenset(named)
        return self._names[kind]

    def _value(self, value: Any) -> Any:
        """An attribute value, lists and references followed."""
        if isinstance(value, (tuple, list)):
            return [self._value(v) for v in value]
        return self.copy(value) if hasattr(value, "is_a") else value
