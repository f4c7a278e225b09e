"""Circuits of one manifold brought to one pressure drop, and the pump for it.

The index circuit, with the greatest drop at its design flow, keeps its valve open; every other circuit's
balancing valve takes up what it loses less.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.findings import Finding, Severity
from ufh_core.hydraulics.circuit import water_content
from ufh_core.hydraulics.types import CircuitFlow, PumpDuty
from ufh_core.hydraulics.valves import kv_for, valve_drop
from ufh_core.settings.types import Settings


def balance(
    circuits: Mapping[str, CircuitFlow], lengths_m: Mapping[str, float], settings: Settings
) -> tuple[dict[str, CircuitFlow], PumpDuty]:
    """Circuits with their valves set, and the pump's duty.

    `circuits` by number as `circuit_flow` gives them; `lengths_m` by the same numbers, for the water in them.
    The pressure is the index circuit's with the entry loss of the settings. `pressure_drop_pa` of a circuit
    stays the drop with its valves open; with `throttle_pa` all come to the same. Equal circuits go by number.

    Raises: NoSolution for a manifold without circuits.
    """
    if not circuits:
        raise NoSolution("a manifold without circuits cannot be balanced")
    index = max(sorted(circuits), key=lambda number: circuits[number].pressure_drop_pa)
    greatest = circuits[index].pressure_drop_pa
    balanced = {number: _throttled(flow, greatest, settings) for number, flow in circuits.items()}
    duty = PumpDuty(
        mass_flow=sum(flow.mass_flow for flow in circuits.values()),
        volume_flow=sum(flow.volume_flow for flow in circuits.values()),
        pressure_pa=greatest + settings.hydraulics.entry_loss_pa,
        index_circuit=index,
        water_content_m3=sum(water_content(lengths_m[number], settings.pipe) for number in circuits),
    )
    return balanced, duty


def _throttled(flow: CircuitFlow, greatest_pa: float, settings: Settings) -> CircuitFlow:
    """The circuit with its valve set so that it takes up the rest of the greatest pressure drop."""
    throttle = greatest_pa - flow.pressure_drop_pa
    if flow.mass_flow <= 0 or throttle <= 0:
        return replace(flow, valve_kv=settings.hydraulics.valve_kv, throttle_pa=0.0)
    density = flow.mass_flow / flow.volume_flow
    open_pa = valve_drop(flow.volume_flow, density, settings.hydraulics.valve_kv)
    return replace(flow, valve_kv=kv_for(flow.volume_flow, density, open_pa + throttle), throttle_pa=throttle)


def flow_findings(circuits: Mapping[str, CircuitFlow], settings: Settings) -> tuple[Finding, ...]:
    """Circuits that are beyond the settings' limits: pressure drop, velocity, least flow."""
    limits = settings.hydraulics
    findings: list[Finding] = []
    for number, flow in circuits.items():
        if flow.pressure_drop_pa > limits.greatest_pressure_drop_pa:
            text = (
                f"circuit {number} loses {flow.pressure_drop_pa / 1000:.1f} kPa at {flow.mass_flow * 3600:.0f} kg/h, "
                f"more than {limits.greatest_pressure_drop_pa / 1000:g} kPa: split it or let it cool by more"
            )
            findings.append(_finding("hydraulics.pressure-drop", Severity.WARNING, text, "EN 1264-3"))
        if flow.velocity > limits.greatest_velocity:
            text = (
                f"water in circuit {number} runs at {flow.velocity:.2f} m/s, faster than "
                f"{limits.greatest_velocity:g} m/s: split it or let it cool by more"
            )
            findings.append(_finding("hydraulics.velocity", Severity.WARNING, text, "common practice"))
        if flow.mass_flow < limits.least_mass_flow:
            text = (
                f"circuit {number} needs {flow.mass_flow * 3600:.1f} kg/h, less than the "
                f"{limits.least_mass_flow * 3600:.0f} kg/h that can be set and vented well: join it to another field"
            )
            findings.append(_finding("hydraulics.small-flow", Severity.NOTE, text, "common practice"))
    return tuple(findings)


def _finding(code: str, severity: Severity, message: str, source: str) -> Finding:
    return Finding(code=code, severity=severity, message=message, source=source)
