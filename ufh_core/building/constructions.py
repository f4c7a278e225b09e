"""What the model says of an element's heat transmission: U-value, layers, where it stands."""

from __future__ import annotations

import re
from collections import defaultdict
from typing import Any

import ifcopenshell.util.element as ifc_element

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message
from ufh_core.building.model_file import ModelFile
from ufh_core.building.properties import figures, fire_rating, number, plain_name, transmittance, truth
from ufh_core.building.types import Construction, MaterialLayer

CONDUCTIVITY_RANGE = (0.005, 500.0)  # W/(m K)
AIR_WORDS = frozenset({
    "air", "airspace", "airgap", "cavity", "luft", "luftschicht", "luftraum", "luftspalt", "lucht", "spouw",
    "luchtspouw", "aria", "intercapedine", "aire", "ilma", "ilmarako", "vzduch", "powietrze", "pustka",
})  # fmt: skip
SOLID_WORDS = frozenset({"concrete", "entrained", "beton", "barrier", "brick", "block", "tight"})


class ConstructionReader:
    """Reads constructions, each material once, and gathers the absurd figures into few findings."""

    def __init__(self, source: ModelFile) -> None:
        """Index the materials' conductivities."""
        self._scale = source.scale
        self._old_style = _thermal_properties_2x3(source)
        self._conductivity: dict[int, float | None] = {}
        self._refused: dict[tuple[str, float], list[str]] = defaultdict(list)

    def read(self, element: Any) -> Construction:
        """The construction of one element."""
        values = figures(element)
        u_value, refused = transmittance(values)
        if refused is not None:
            self._refused[(element.is_a(), refused)].append(element.GlobalId)
        return Construction(
            u_value=u_value,
            layers=self._layers(element),
            external=truth(values, "isexternal"),
            load_bearing=truth(values, "loadbearing"),
            fire_rating=fire_rating(values),
            compartment=truth(values, "compartmentation") is True,
        )

    def findings(self) -> tuple[Finding, ...]:
        """One finding for each class and refused figure."""
        return tuple(_absurd(kind, value, guids) for (kind, value), guids in sorted(self._refused.items()))

    def _layers(self, element: Any) -> tuple[MaterialLayer, ...]:
        """Layers of a layer set, usage or constituents with widths; () for anything else."""
        try:
            material: Any = ifc_element.get_material(element, should_skip_usage=True)
        except Exception:  # broken associations
            return ()
        if material is None or not material.is_a("IfcMaterialLayerSet"):
            return ()
        return tuple(self._layer(item) for item in material.MaterialLayers or () if item.LayerThickness)

    def _layer(self, layer: Any) -> MaterialLayer:
        """One layer in metres."""
        name = layer.Material.Name if layer.Material is not None else None
        thickness = float(layer.LayerThickness) * self._scale
        ventilated = getattr(layer, "IsVentilated", None)
        return MaterialLayer(
            name=name or "",
            thickness_m=thickness,
            conductivity=self._lambda(layer.Material),
            air=ventilated in (True, False) or is_air(name or ""),
            ventilated=ventilated is True,
        )

    def _lambda(self, material: Any) -> float | None:
        """Conductivity λ [W/(m K)] of a material, None where the model is silent or absurd."""
        if material is None:
            return None
        if material.id() not in self._conductivity:
            given = self._old_style.get(material.id())
            if given is None:
                given = number(figures(material).get("thermalconductivity"))
            fine = given is not None and CONDUCTIVITY_RANGE[0] <= given <= CONDUCTIVITY_RANGE[1]
            self._conductivity[material.id()] = given if fine else None
        return self._conductivity[material.id()]


def is_air(name: str) -> bool:
    """Whether a material's name says that it is air, in a few languages.

    >>> [is_air(name) for name in ("Air gap 40", "Luftschicht", "Lucht", "Air-entrained concrete", "Stairs")]
    [True, True, True, False, False]
    """
    words = re.findall(r"[^\W\d_]+", name.casefold())
    return bool(words) and words[0] in AIR_WORDS and not SOLID_WORDS & set(words)


def _thermal_properties_2x3(source: ModelFile) -> dict[int, float]:
    """Conductivities [W/(m K)] by material id in IFC2X3's own two ways."""
    found: dict[int, float] = {}
    for item in source.of_class("IfcThermalMaterialProperties") if source.schema == "IFC2X3" else ():
        if item.Material is not None and item.ThermalConductivity:
            found[item.Material.id()] = float(item.ThermalConductivity)
    for item in source.of_class("IfcExtendedMaterialProperties") if source.schema == "IFC2X3" else ():
        for part in item.ExtendedProperties or ():
            if plain_name(part.Name or "") == "thermalconductivity" and part.is_a("IfcPropertySingleValue"):
                value = number(part.NominalValue.wrappedValue) if part.NominalValue is not None else None
                if value is not None and item.Material is not None:
                    found.setdefault(item.Material.id(), value)
    return found


def _absurd(kind: str, value: float, guids: list[str]) -> Finding:
    """The finding for one refused U-value."""
    words = Message(
        "{guids} × {kind}: U-value {value:g} W/(m²K) is outside 0.05 to 7 and is not used; the "
        "default of the settings stands in. Ask the architect for the construction.",
        guids=len(guids),
        kind=kind,
        value=value,
    )
    return Finding(
        code="building.u-value-absurd", severity=Severity.WARNING, message=words, ifc_guids=tuple(sorted(guids))
    )
