"""How our elements are written in IFC2X3, which has fewer classes: what each becomes, and what it lacks.

Source: ISO/PAS 16739:2005 (IFC2X3): kinds of flow elements are told by their types; no distribution systems.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

OLDER = "IFC2X3"

TYPED = {
    "IfcPipeSegment": ("IfcFlowSegment", "IfcPipeSegmentType"),
    "IfcPipeFitting": ("IfcFlowFitting", "IfcPipeFittingType"),
    "IfcValve": ("IfcFlowController", "IfcValveType"),
    "IfcPump": ("IfcFlowMovingDevice", "IfcPumpType"),
    "IfcActuator": ("IfcDistributionControlElement", "IfcActuatorType"),
    "IfcFlowInstrument": ("IfcDistributionControlElement", "IfcFlowInstrumentType"),
    "IfcUnitaryControlElement": ("IfcDistributionControlElement", "IfcControllerType"),
}
"""Class of the occurrence and class of its type, which holds the predefined type."""

PLAIN = {
    "IfcDistributionSystem": ("IfcSystem", "HEATING"),
    "IfcDistributionCircuit": ("IfcSystem", "HEATING CIRCUIT"),
    "IfcSpatialZone": ("IfcAnnotation", "HEATED FIELD"),
    "IfcBuildingElementProxy": ("IfcBuildingElementProxy", None),
}
"""Class and ObjectType of what has no type; None: the predefined type is the ObjectType."""

RENAMED = {
    "IfcRelCoversSpaces": {"RelatingSpace": "RelatedSpace"},
    "IfcSpace": {"PredefinedType": "InteriorOrExteriorSpace"},
    "IfcSystem": {"LongName": "Description"},
    "IfcAnnotation": {"LongName": "Description"},
}
MEASURES = {"IfcAreaDensityMeasure": "IfcReal", "IfcNonNegativeLengthMeasure": "IfcLengthMeasure"}
"""Measures that the schema lacks."""

UNKNOWN_KIND = {("IfcControllerType", "THERMOSTAT")}
"""Predefined types that the schema lacks; they become USERDEFINED with the word as ElementType."""


def older_class(kind: str) -> str:
    """The class of IFC2X3 for one of IFC4."""
    return TYPED[kind][0] if kind in TYPED else PLAIN.get(kind, (MEASURES.get(kind, kind), None))[0]


def older_attributes(kind: str, given: Mapping[str, Any], names: frozenset[str]) -> dict[str, Any]:
    """Attributes under their names in IFC2X3; those that are not among the class's `names` are left out."""
    renamed = RENAMED.get(older_class(kind), {})
    values = {renamed.get(key, key): value for key, value in given.items()}
    if kind in PLAIN and not values.get("ObjectType"):
        values["ObjectType"] = PLAIN[kind][1] or given.get("PredefinedType")
    return {key: value for key, value in values.items() if key in names}


def older_type(kind: str, predefined: str) -> tuple[str, dict[str, str]]:
    """Class and attributes of the type that tells what an occurrence is."""
    made = TYPED[kind][1]
    if (made, predefined) in UNKNOWN_KIND:
        return made, {"PredefinedType": "USERDEFINED", "ElementType": predefined}
    return made, {"PredefinedType": predefined}
