"""Figures in property and quantity sets: by name whatever the set, in SI, range-checked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import ifcopenshell.util.element as ifc_element
import ifcopenshell.util.unit as ifc_unit

from ufh_core.building.model_file import ModelFile

U_RANGE = (0.05, 7.0)  # W/(m² K)
INDOOR_RANGE = (5.0, 35.0)  # °C
LOAD_RANGE = (2.0, 500.0)  # W/m² of floor
ZERO_C = 273.15

# Names without case, blanks, hyphens, underscores; the first that is present wins.
U_NAMES = ("thermaltransmittance", "uvalue", "heattransfercoefficient(u)", "heattransfercoefficient", "uwert")
INDOOR_NAMES = (
    "temperaturewintermin",
    "spacetemperaturewintermin",
    "spacetemperaturewinter",
    "spacetemperaturemin",
    "spacetemperature",
    "temperaturesetpoint",
    "heatingdrybulb",
    "heatingsetpoint",
    "heatingsetpointtemperature",
    "designindoortemperature",
)
LOAD_NAMES = ("totalheatloss", "totalheatingload", "designheatingload", "heatingload", "heatload", "heatdemand")
AREA_NAMES = ("netfloorarea", "netarea", "grossfloorarea", "grossarea", "area", "gsabimarea")


def plain_name(name: str) -> str:
    """A property's name without case and separators."""
    return "".join(c for c in name.lower() if c not in " -_.")


def figures(element: Any) -> dict[str, Any]:
    """All single values and quantities of an element and its type by plain name; standard sets first."""
    found: dict[str, Any] = {}
    try:
        sets: Mapping[str, Mapping[str, Any]] = ifc_element.get_psets(element)
    except Exception:  # broken property sets must not stop the reading
        return found
    for name in sorted(filter(None, sets), key=lambda n: (not n.startswith(("Pset_", "Qto_", "BaseQuantities")), n)):
        for key, value in sets[name].items():
            if key != "id":
                found.setdefault(plain_name(str(key)), value)
    return found


def number(value: Any) -> float | None:
    """A finite number of a property's value: bounded values by set point, then lower, then upper bound."""
    if isinstance(value, Mapping):
        keys = ("SetPointValue", "LowerBoundValue", "UpperBoundValue", "value")
        value = next((value[k] for k in keys if value.get(k) is not None), None)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value) if abs(float(value)) < 1e300 else float("inf")


def first_number(values: Mapping[str, Any], names: Iterable[str]) -> float | None:
    """The first of the names that holds a number."""
    return next((n for n in (number(values.get(name)) for name in names) if n is not None), None)


def truth(values: Mapping[str, Any], name: str) -> bool | None:
    """A logical property, None where absent or unknown."""
    value = values.get(name)
    return value if isinstance(value, bool) else None


def fire_rating(values: Mapping[str, Any]) -> str:
    """An element's resistance to fire, "" where absent; a rating states a time, words alone are a blank form."""
    value = str(values.get("firerating") or "").strip()
    return value if any(c in "123456789" for c in value) else ""


def unit_scale(source: ModelFile, kind: str) -> float:
    """SI per declared unit of a kind, 1 where the file declares none."""
    try:
        return float(ifc_unit.calculate_unit_scale(source.model, kind)) or 1.0
    except Exception:  # derived units without names and the like
        return 1.0


def area_scale(source: ModelFile) -> float:
    """Square metres per area unit; the length unit squared where none is declared."""
    declared = [u for u in source.model.by_type("IfcNamedUnit") if u.UnitType == "AREAUNIT"]
    return unit_scale(source, "AREAUNIT") if declared else source.scale**2


def indoor_temperature(values: Mapping[str, Any]) -> tuple[float | None, float | None]:
    """(temperature [°C] or None, the figure that was refused or None). Kelvin is told by its size."""
    given = first_number(values, INDOOR_NAMES)
    if given is None or given == 0:
        return None, None
    celsius = given - ZERO_C if given > 200 else given
    return (celsius, None) if INDOOR_RANGE[0] <= celsius <= INDOOR_RANGE[1] else (None, given)


def heat_load(values: Mapping[str, Any], area_m2: float, scale: float) -> tuple[float | None, float | None]:
    """(heat load [W] or None, the figure [W] that was refused or None)."""
    given = first_number(values, LOAD_NAMES)
    if given is None or given == 0:
        return None, None
    watts = given * scale
    low, high = (limit * max(area_m2, 1.0) for limit in LOAD_RANGE)
    return (watts, None) if low <= watts <= high else (None, watts)


def transmittance(values: Mapping[str, Any]) -> tuple[float | None, float | None]:
    """(U [W/(m² K)] or None, the figure that was refused or None)."""
    given = first_number(values, U_NAMES)
    if given is None:
        return None, None
    return (given, None) if U_RANGE[0] <= given <= U_RANGE[1] else (None, given)
