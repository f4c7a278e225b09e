"""Ports and their connections, with the results that stand on them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ufh_core.exchange.properties import own_set, standard_set
from ufh_core.exchange.trade_model import TradeModel, Vector

PORT_MEASURES = {
    "InnerDiameter": "IfcPositiveLengthMeasure",
    "Temperature": "IfcThermodynamicTemperatureMeasure",
    "MassFlowRate": "IfcMassFlowRateMeasure",
    "VolumetricFlowRate": "IfcVolumetricFlowRateMeasure",
    "Velocity": "IfcLinearVelocityMeasure",
    "Pressure": "IfcPressureMeasure",
}
INTO, OUT_OF = "SINK", "SOURCE"


@dataclass(frozen=True, slots=True, kw_only=True)
class PortState:
    """Design state of the water at a port: temperature [°C], flow [kg/s, m³/s], velocity [m/s], pressure [Pa]."""

    temperature_c: float
    mass_flow: float
    volume_flow: float
    velocity: float | None = None
    pressure_pa: float | None = None
    inner_diameter_m: float | None = None


def add_port(model: TradeModel, element: Any, name: str, way: str, at: Vector, flow: Vector) -> Any:
    """A port of an element at a point of the plan frame; its axis points along the `flow`."""
    port = model.root(
        "IfcDistributionPort",
        (element.GlobalId, name),
        Name=name,
        ObjectPlacement=model.place(element, at, flow),
        FlowDirection=way,
        PredefinedType="PIPE",
        SystemType="HEATING",
    )
    model.gather("IfcRelNests", element, [port])
    return port


def connect(model: TradeModel, source: Any, sink: Any) -> None:
    """Join the port that the water leaves by to the one where it enters."""
    model.relate("IfcRelConnectsPorts", (source.GlobalId, sink.GlobalId), RelatingPort=source, RelatedPort=sink)


def put_state(model: TradeModel, port: Any, state: PortState) -> None:
    """The results at a port, in the standard set."""
    values = {
        "InnerDiameter": state.inner_diameter_m,
        "Temperature": state.temperature_c,
        "MassFlowRate": state.mass_flow,
        "VolumetricFlowRate": state.volume_flow,
        "Velocity": state.velocity,
        "Pressure": state.pressure_pa,
    }
    if model.older:  # has no such set
        rows = [(name, PORT_MEASURES[name], value) for name, value in values.items()]
        own_set(model, port, "UFH_Port", rows)
    standard_set(model, port, "Pset_DistributionPortTypePipe", values, "design state; pressure over the return bar")
