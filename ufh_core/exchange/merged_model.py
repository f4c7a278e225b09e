"""The architect's open file while our elements are added: nothing that is there is changed or written again.

Units cannot be added to the architect's project, so every measure but lengths carries its own SI unit.
In IFC2X3 the elements take the form that `older_schema` gives them, and an owner history of ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Any

from ifcopenshell import ifcopenshell_wrapper

from ufh_core.exchange.ifc_units import FileUnits, value_unit
from ufh_core.exchange.older_schema import TYPED, older_attributes, older_class, older_type
from ufh_core.exchange.trade_model import STYLES, TradeModel

FULL_NAMES = {"IFC4X3": "IFC4X3_ADD2"}


class MergedModel(TradeModel):
    """A `TradeModel` that writes into the architect's file; `added` are the GlobalIds of what is ours."""

    def __init__(self, file: Any, units: FileUnits, contexts: dict[str, Any], seed: str, version: str) -> None:
        super().__init__(file, units, contexts, seed)
        self.added: list[str] = []
        self._version = version
        self._schema = ifcopenshell_wrapper.schema_by_name(FULL_NAMES.get(file.schema, file.schema))
        self._names: dict[str, frozenset[str]] = {}
        self._units: dict[str, Any] = {}
        self._types: dict[tuple[str, str], Any] = {}

    def make(self, kind: str, *values: Any, **attributes: Any) -> Any:
        """An entity in the file's schema; a rooted one is noted as ours."""
        if not self.older:
            made = self.file.create_entity(kind, *values, **attributes)
        else:
            own = older_class(kind)
            if "GlobalId" in attributes:
                attributes["OwnerHistory"] = self._history
            named = older_attributes(kind, attributes, self._attribute_names(own)) if attributes else {}
            made = self.file.create_entity(own, *values, **named)
        if "GlobalId" in attributes:
            self.added.append(attributes["GlobalId"])
            if self.older and kind in TYPED and attributes.get("PredefinedType"):
                self.gather("IfcRelDefinesByType", self._type(kind, attributes["PredefinedType"]), [made])
        return made

    def value_unit(self, measure: str) -> Any | None:
        """The unit of a measure, made when it is first needed; None for lengths and for what has no unit."""
        if measure not in self._units:
            self._units[measure] = value_unit(self.file, measure)
        return self._units[measure]

    def has_set(self, owner: Any, name: str) -> bool:
        """Whether an object of the architect's has a set of that name already."""
        bound = [r for r in getattr(owner, "IsDefinedBy", ()) if r.is_a("IfcRelDefinesByProperties")]
        return any(getattr(r.RelatingPropertyDefinition, "Name", None) == name for r in bound)

    def shape(self, identifier: str, kind: str, items: Sequence[Any], layer: str = "", style: str = "") -> Any:
        """A shape representation; IFC2X3 styles an item by way of an assignment."""
        if not self.older:
            return super().shape(identifier, kind, items, layer, style)
        for item in items if style else ():
            assigned = self.make("IfcPresentationStyleAssignment", [self.style(style)])
            self.make("IfcStyledItem", Item=item, Styles=[assigned])
        return super().shape(identifier, kind, items, layer)

    def style(self, name: str) -> Any:
        """The surface style of a name; in IFC2X3 only a rendering has a transparency."""
        if self.older and name not in self._styles:
            colour, transparency = STYLES[name]
            look = self.make(
                "IfcSurfaceStyleRendering",
                SurfaceColour=self.make("IfcColourRgb", None, *colour),
                Transparency=transparency,
                ReflectanceMethod="NOTDEFINED",
            )
            self._styles[name] = self.make("IfcSurfaceStyle", name, "BOTH", [look])
        return super().style(name)

    def gather(self, kind: str, whole: Any, parts: Sequence[Any]) -> None:
        """Add parts to a relation, as the schema has it."""
        if not self.older:
            super().gather(kind, whole, parts)
        elif kind == "IfcRelNests":
            for port in parts:
                ends = {"RelatingPort": port, "RelatedElement": whole}
                self.relate("IfcRelConnectsPortToElement", (port.GlobalId,), **ends)
        elif kind == "IfcRelServicesBuildings":
            super().gather(kind, whole, self.file.by_type("IfcBuilding")[:1] or parts)
        elif kind == "IfcRelReferencedInSpatialStructure":
            self._reference(whole, parts)
        else:
            super().gather(kind, whole, parts)

    def _reference(self, whole: Any, parts: Sequence[Any]) -> None:
        """A field is an annotation in IFC2X3: its storey contains it, its room refers to it."""
        if whole.is_a("IfcAnnotation"):
            for space in parts:
                super().gather("IfcRelReferencedInSpatialStructure", space, [whole])
        elif parts[0].is_a("IfcAnnotation"):
            super().gather("IfcRelContainedInSpatialStructure", whole, parts)
        else:
            super().gather("IfcRelReferencedInSpatialStructure", whole, parts)

    def _type(self, kind: str, predefined: str) -> Any:
        """The type of a kind, made once."""
        if (kind, predefined) not in self._types:
            made, attributes = older_type(kind, predefined)
            name = f"Heating: {predefined.lower()}"
            self._types[kind, predefined] = self.root(made, (predefined,), Name=name, **attributes)
        return self._types[kind, predefined]

    def _attribute_names(self, kind: str) -> frozenset[str]:
        """Attributes of a class."""
        if kind not in self._names:
            declared: Any = self._schema.declaration_by_name(kind)
            self._names[kind] = frozenset(a.name() for a in declared.all_attributes())
        return self._names[kind]

    @cached_property
    def _history(self) -> Any:
        """Who added: the tool, no person; the date is not stated (0), because the same input gives the same file."""
        maker = self.file.create_entity("IfcOrganization", Name="Warmloom")
        person = self.file.create_entity("IfcPerson", FamilyName="not stated")
        user = self.file.create_entity("IfcPersonAndOrganization", person, maker)
        tool = self.file.create_entity("IfcApplication", maker, self._version, "Warmloom", "Warmloom")
        return self.file.create_entity("IfcOwnerHistory", user, tool, None, "ADDED", None, None, None, 0)
