"""How a room's answers are called in the property sets that a model carries them in; writer and reader share it."""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.basis.message import Message

ROOM_SET = "UFH_RoomChoices"
"""Set on an IfcSpace: what the designer decided for the room."""

PLACES_SET = "UFH_ManifoldPlaces"
"""Set on an IfcBuildingStorey: the places given for its manifolds, each as the lines of its settings table."""

PLACE = "Place"
"""Name of a place's property, before its number in the settings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One answer: its key in the settings, its property and IFC measure; `areas` are properties with numbers behind."""

    key: str
    name: str
    measure: str
    areas: bool = False


CHOICES = (
    Choice(key="heat", name="Heated", measure="IfcBoolean"),
    Choice(key="kind", name="RoomKind", measure="IfcLabel"),
    Choice(key="indoor_c", name="GivenIndoorTemperature", measure="IfcThermodynamicTemperatureMeasure"),
    Choice(key="demand_w", name="GivenHeatDemand", measure="IfcPowerMeasure"),
    Choice(key="pitch_m", name="Pitch", measure="IfcLengthMeasure"),
    Choice(key="finish_r", name="FinishResistance", measure="IfcThermalResistanceMeasure"),
    Choice(key="dwelling", name="Dwelling", measure="IfcText"),
    Choice(key="entry", name="Entry", measure="IfcText"),
    Choice(key="manifold", name="ManifoldPlace", measure="IfcText"),
    Choice(key="circuits", name="Circuits", measure="IfcInteger"),
    Choice(key="shares_with", name="SharesCircuitWith", measure="IfcText"),
    Choice(key="pattern", name="Pattern", measure="IfcLabel"),
    Choice(key="edge_zone", name="EdgeZone", measure="IfcLabel"),
    Choice(key="leave_out", name="ExcludedArea", measure="IfcLengthMeasure", areas=True),
    Choice(key="take_in", name="ExtraArea", measure="IfcLengthMeasure", areas=True),
)
"""Areas are lists x, y, x, y ... of corners in the model's plan. No name is one that a reader of heat loads knows."""


def left_aside(label: str, guid: str, why: str, instead: Message) -> Message:
    """That an answer of the model is not taken: whose, why, and what may be given `instead` in the settings."""
    return Message(
        "{label} ({guid}): {why}; it is left aside: give {key}, or mend it in the model",
        label=label,
        guid=guid,
        why=why,
        key=instead,
    )


def room_key(key: str) -> Message:
    """A room's key and where it stands in the settings."""
    return Message("{key} under [[rooms.overrides]]", key=key)
