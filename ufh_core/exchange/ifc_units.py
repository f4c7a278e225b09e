"""Units of the file that is written: the architect's for lengths, areas, volumes and angles, SI for the rest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ifcopenshell.util import unit as ifc_unit

from ufh_core.exchange.entity_copy import EntityCopier

KEPT = ("LENGTHUNIT", "AREAUNIT", "VOLUMEUNIT", "PLANEANGLEUNIT")

LENGTHS = {"IfcLengthMeasure", "IfcPositiveLengthMeasure", "IfcNonNegativeLengthMeasure"}

SI_UNITS: tuple[tuple[str, str | None, str], ...] = (
    ("LENGTHUNIT", None, "METRE"),
    ("AREAUNIT", None, "SQUARE_METRE"),
    ("VOLUMEUNIT", None, "CUBIC_METRE"),
    ("PLANEANGLEUNIT", None, "RADIAN"),
    ("MASSUNIT", "KILO", "GRAM"),
    ("TIMEUNIT", None, "SECOND"),
    ("POWERUNIT", None, "WATT"),
    ("PRESSUREUNIT", None, "PASCAL"),
    ("THERMODYNAMICTEMPERATUREUNIT", None, "DEGREE_CELSIUS"),
)
"""(unit type, prefix, name) of the units that a file of ours always declares."""

DERIVED_UNITS: tuple[tuple[str, tuple[tuple[str, int], ...]], ...] = (
    ("MASSFLOWRATEUNIT", (("MASSUNIT", 1), ("TIMEUNIT", -1))),
    ("VOLUMETRICFLOWRATEUNIT", (("METRE", 3), ("TIMEUNIT", -1))),
    ("LINEARVELOCITYUNIT", (("METRE", 1), ("TIMEUNIT", -1))),
    ("HEATFLUXDENSITYUNIT", (("POWERUNIT", 1), ("METRE", -2))),
    ("THERMALCONDUCTANCEUNIT", (("POWERUNIT", 1), ("METRE", -1), ("KELVIN", -1))),
    ("THERMALRESISTANCEUNIT", (("METRE", 2), ("KELVIN", 1), ("POWERUNIT", -1))),
    ("AREADENSITYUNIT", (("MASSUNIT", 1), ("METRE", -2))),
)
"""(derived unit type, (factor, exponent)...) for flows, velocities and thermal values, all in SI."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FileUnits:
    """Metres, square metres, cubic metres and radians in one unit of the file."""

    length_m: float = 1.0
    area_m2: float = 1.0
    volume_m3: float = 1.0
    angle_rad: float = 1.0

    def value(self, measure: str, si_value: Any) -> Any:
        """A value of an IFC measure type in the file's unit; temperatures are in °C on both sides."""
        if measure in LENGTHS:
            return float(si_value) / self.length_m
        if measure == "IfcAreaMeasure":
            return float(si_value) / self.area_m2
        if measure == "IfcVolumeMeasure":
            return float(si_value) / self.volume_m3
        return si_value


def declare_units(file: Any, source: Any, copier: EntityCopier) -> tuple[Any, FileUnits]:
    """(IfcUnitAssignment, factors): the architect's kept units, and ours for every other measure."""
    kept = {unit.UnitType: copier.copy(unit) for unit in _kept_units(source)}
    named = {
        kind: kept.get(kind) or file.create_entity("IfcSIUnit", UnitType=kind, Prefix=prefix, Name=name)
        for kind, prefix, name in SI_UNITS
    }
    units = [*named.values(), *_derived(file, named)]
    factors = {kind: _scale(unit) for kind, unit in named.items() if kind in KEPT}
    assignment = file.create_entity("IfcUnitAssignment", Units=units)
    return assignment, FileUnits(
        length_m=factors["LENGTHUNIT"], area_m2=factors["AREAUNIT"], volume_m3=factors["VOLUMEUNIT"]
    )


def _kept_units(source: Any) -> list[Any]:
    """The architect's length, area, volume and angle units, where their size is plain."""
    assignment = source.by_type("IfcProject")[0].UnitsInContext
    named = [u for u in (assignment.Units if assignment else ()) if getattr(u, "UnitType", None) in KEPT]
    return [u for u in named if not u.is_a("IfcDerivedUnit") and (u.UnitType == "LENGTHUNIT" or _plain(u))]


def _plain(unit: Any) -> bool:
    """Whether a unit is free of prefixes (their power is read in two ways for areas and volumes)."""
    if unit.is_a("IfcSIUnit"):
        return unit.Prefix is None
    return unit.is_a("IfcConversionBasedUnit") and _plain(unit.ConversionFactor.UnitComponent)


def _scale(unit: Any) -> float:
    """SI value of one unit."""
    return float(ifc_unit.get_unit_scale(unit))


def _derived(file: Any, named: dict[str, Any]) -> list[Any]:
    """Derived units in metres, kilograms, seconds, watts and kelvin."""
    bricks = {**named}
    bricks["METRE"] = file.create_entity("IfcSIUnit", UnitType="LENGTHUNIT", Name="METRE")
    bricks["KELVIN"] = file.create_entity("IfcSIUnit", UnitType="THERMODYNAMICTEMPERATUREUNIT", Name="KELVIN")
    return [
        file.create_entity(
            "IfcDerivedUnit",
            Elements=[file.create_entity("IfcDerivedUnitElement", bricks[brick], power) for brick, power in factors],
            UnitType=kind,
        )
        for kind, factors in DERIVED_UNITS
    ]


MEASURE_UNITS = {
    "IfcAreaMeasure": "AREAUNIT",
    "IfcVolumeMeasure": "VOLUMEUNIT",
    "IfcMassMeasure": "MASSUNIT",
    "IfcPowerMeasure": "POWERUNIT",
    "IfcPressureMeasure": "PRESSUREUNIT",
    "IfcThermodynamicTemperatureMeasure": "THERMODYNAMICTEMPERATUREUNIT",
    "IfcMassFlowRateMeasure": "MASSFLOWRATEUNIT",
    "IfcVolumetricFlowRateMeasure": "VOLUMETRICFLOWRATEUNIT",
    "IfcLinearVelocityMeasure": "LINEARVELOCITYUNIT",
    "IfcThermalConductivityMeasure": "THERMALCONDUCTANCEUNIT",
    "IfcThermalResistanceMeasure": "THERMALRESISTANCEUNIT",
    "IfcAreaDensityMeasure": "AREADENSITYUNIT",
}
"""Unit types of the measures that are written, lengths apart."""


def value_unit(file: Any, measure: str) -> Any | None:
    """A new SI unit for values of a measure; None for lengths and for what has no unit."""
    kind = MEASURE_UNITS.get(measure)
    plain = {k: (prefix, name) for k, prefix, name in SI_UNITS}
    if kind in plain:
        return file.create_entity("IfcSIUnit", UnitType=kind, Prefix=plain[kind][0], Name=plain[kind][1])
    factors = dict(DERIVED_UNITS).get(kind or "")
    return _derived_unit(file, kind, factors) if factors else None


def _derived_unit(file: Any, kind: str | None, factors: tuple[tuple[str, int], ...]) -> Any:
    """A derived unit with bricks of its own."""
    bricks = {k: (k, prefix, name) for k, prefix, name in SI_UNITS}
    bricks["METRE"] = ("LENGTHUNIT", None, "METRE")
    bricks["KELVIN"] = ("THERMODYNAMICTEMPERATUREUNIT", None, "KELVIN")
    elements = []
    for brick, power in factors:
        unit_type, prefix, name = bricks[brick]
        unit = file.create_entity("IfcSIUnit", UnitType=unit_type, Prefix=prefix, Name=name)
        elements.append(file.create_entity("IfcDerivedUnitElement", unit, power))
    if file.schema == "IFC2X3" and kind == "AREADENSITYUNIT":
        return file.create_entity("IfcDerivedUnit", elements, "USERDEFINED", "AREADENSITYUNIT")
    return file.create_entity("IfcDerivedUnit", Elements=elements, UnitType=kind)
