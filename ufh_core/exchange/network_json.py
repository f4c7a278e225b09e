"""The water of design.json: a manifold as a network, and the expansion vessel."""

from __future__ import annotations

from typing import Any

from ufh_core.hydraulics.types import CircuitFlow, ExpansionVessel
from ufh_core.network.types import NetworkTable


def network_rows(table: NetworkTable | None) -> dict[str, Any] | None:
    """The duty point, the system curve, and shares of the design flow by circuit, for each set of shut circuits.

    Volume flows in m³/h, as pumps state them.
    """
    if table is None:
        return None
    return {
        "pump": table.pump,
        "volume_flow_m3_h": table.volume_flow * 3600,
        "pump_pressure_pa": table.pressure_pa,
        "self_limiting_duty_pa": table.self_limiting_duty_pa,
        "system_curve": [
            {"volume_flow_m3_h": point.volume_flow * 3600, "pressure_pa": point.pressure_pa}
            for point in table.system_curve
        ],
        "cases": [
            {
                "name": case.name,
                "shut": list(case.shut),
                "pump_pressure_pa": case.pump_pa,
                "share_of_design_flow": dict(case.balancing),
                "share_with_self_limiting_valves": dict(case.self_limiting),
            }
            for case in table.cases
        ],
    }


def valve_rows(flow: CircuitFlow) -> dict[str, Any]:
    """A circuit's pressure drops, also by either law of friction in doubt, and its balancing valve."""
    return {
        "pressure_drop_pa": flow.pressure_drop_pa,
        "least_pressure_drop_pa": flow.least_drop_pa,
        "greatest_pressure_drop_pa": flow.greatest_drop_pa,
        "throttle_pa": flow.throttle_pa,
        "valve_kv_m3_h": flow.valve_kv,
        "valve_turns": flow.valve_turns,
        "valve_turns_flow_error": flow.turns_flow_error,
    }


def vessel_rows(vessel: ExpansionVessel | None) -> dict[str, Any] | None:
    """Content of all circuits, and the least vessel for them alone; gauge pressures."""
    if vessel is None:
        return None
    return {
        "content_m3": vessel.content_m3,
        "expansion_m3": vessel.expansion_m3,
        "least_vessel_m3": vessel.vessel_m3,
        "vessel_reserve_m3": vessel.reserve_m3,
        "vessel_pre_pressure_pa": vessel.pre_pressure_pa,
        "vessel_final_pressure_pa": vessel.final_pressure_pa,
    }
