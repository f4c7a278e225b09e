"""Property sets and quantities: standard ones by the schema's own templates, ours with the prefix UFH_."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

from ifcopenshell.util import pset as ifc_pset

from ufh_core.exchange.trade_model import TradeModel

Row = tuple[str, str, Any]
"""Name, IFC measure, SI value (temperatures in °C)."""

QUANTITY_KINDS = {
    "Q_LENGTH": ("IfcQuantityLength", "LengthValue", "IfcLengthMeasure"),
    "Q_AREA": ("IfcQuantityArea", "AreaValue", "IfcAreaMeasure"),
    "Q_VOLUME": ("IfcQuantityVolume", "VolumeValue", "IfcVolumeMeasure"),
    "Q_WEIGHT": ("IfcQuantityWeight", "WeightValue", "IfcMassMeasure"),
}


@lru_cache(maxsize=512)
def template(schema: str, name: str) -> dict[str, tuple[str, str | None]] | None:
    """Properties of a standard set in a schema: (template type, measure) by name; None if there is no such set."""
    found = ifc_pset.get_template(schema).get_by_name(name)
    if found is None:
        return None
    return {p.Name: (p.TemplateType, p.PrimaryMeasureType) for p in found.HasPropertyTemplates or ()}


def own_set(model: TradeModel, owner: Any, name: str, rows: Iterable[Row]) -> None:
    """A set of ours on an object; values that are None are left out."""
    properties = [_single(model, *row) for row in rows if row[2] is not None]
    _attach(model, owner, name, properties)


def standard_set(model: TradeModel, owner: Any, name: str, values: Mapping[str, Any], note: str = "") -> None:
    """A standard set, as far as this schema has it: names, kinds and measures come from the template."""
    known = template(model.file.schema, name)
    if known is None or model.has_set(owner, name):
        return
    chosen = {k: v for k, v in values.items() if k in known and v is not None}
    properties = [_standard(model, key, known[key], value, note) for key, value in chosen.items()]
    _attach(model, owner, name, properties)


def _standard(model: TradeModel, name: str, kind: tuple[str, str | None], value: Any, note: str) -> Any:
    """One property in the template's form; a bounded one gets its set point."""
    form, measure = kind[0], kind[1] or "IfcLabel"
    if form == "P_BOUNDEDVALUE":
        point = _measure(model, measure, value)
        ends = ("LowerBoundValue", "UpperBoundValue") if model.older else ("SetPointValue",)
        bounds = {**dict.fromkeys(ends, point), "Unit": model.value_unit(measure)}
        return model.make("IfcPropertyBoundedValue", Name=name, **bounds, **_described(model, note))
    if form == "P_ENUMERATEDVALUE":
        return model.make("IfcPropertyEnumeratedValue", Name=name, EnumerationValues=[_measure(model, measure, value)])
    return _single(model, name, measure, value)


def _described(model: TradeModel, note: str) -> dict[str, str]:
    """The description, under the name that the schema has for it."""
    if not note:
        return {}
    return {"Specification" if model.newer else "Description": note}


def _single(model: TradeModel, name: str, measure: str, value: Any) -> Any:
    """One value, or a list of values where a tuple is given."""
    unit = model.value_unit(measure)
    if isinstance(value, tuple):
        values = [_measure(model, measure, v) for v in value]
        return model.make("IfcPropertyListValue", Name=name, ListValues=values, Unit=unit)
    return model.make("IfcPropertySingleValue", Name=name, NominalValue=_measure(model, measure, value), Unit=unit)


def _measure(model: TradeModel, measure: str, value: Any) -> Any:
    """A typed value in the file's unit."""
    converted = model.units.value(measure, value)
    if isinstance(converted, float):
        converted = float(f"{converted:.12g}")
    return model.make(measure, converted)


def _attach(model: TradeModel, owner: Any, name: str, properties: list[Any]) -> None:
    """Put properties on an object or a type."""
    if not properties:
        return
    pset = model.root("IfcPropertySet", (owner.GlobalId, name), Name=name, HasProperties=properties)
    if owner.is_a("IfcTypeObject"):
        owner.HasPropertySets = [*(owner.HasPropertySets or ()), pset]
        return
    _define(model, owner, name, pset)


def _define(model: TradeModel, owner: Any, name: str, definition: Any) -> None:
    """The relation from an object to a set."""
    model.relate(
        "IfcRelDefinesByProperties",
        (owner.GlobalId, name),
        RelatedObjects=[owner],
        RelatingPropertyDefinition=definition,
    )


def quantities(model: TradeModel, owner: Any, name: str, values: Mapping[str, float]) -> None:
    """A standard quantity set; names and kinds come from the template."""
    known = template("IFC4" if model.older else model.file.schema, name) or {}  # IFC2X3 has no templates
    made = []
    for key, si_value in values.items():
        if key in known:
            kind, attribute, measure = QUANTITY_KINDS[known[key][0]]
            value = float(f"{model.units.value(measure, si_value):.12g}")
            made.append(model.make(kind, Name=key, Unit=model.value_unit(measure), **{attribute: value}))
    if made:
        what = {"Name": name, "MethodOfMeasurement": "BaseQuantities", "Quantities": made}
        _define(model, owner, name, model.root("IfcElementQuantity", (owner.GlobalId, name), **what))


def material_conductivity(model: TradeModel, material: Any, conductivity: float) -> None:
    """Thermal conductivity [W/(m K)] of a material, in the standard set for it."""
    if template(model.file.schema, "Pset_MaterialThermal") is None:
        return
    row = _single(model, "ThermalConductivity", "IfcThermalConductivityMeasure", float(conductivity))
    model.make("IfcMaterialProperties", Name="Pset_MaterialThermal", Properties=[row], Material=material)
