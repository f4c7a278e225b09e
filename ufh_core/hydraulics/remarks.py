"""What is beyond the settings' limits, or in doubt, in the water of circuits."""

from __future__ import annotations

from collections.abc import Mapping

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, note
from ufh_core.hydraulics.types import CircuitFlow, ExpansionVessel
from ufh_core.settings.hydraulic_types import HydraulicSettings
from ufh_core.settings.types import Settings

_LEAST_SHARE = 0.20
_GREATEST_TURNS_ERROR = 0.10
_KG_H = 3600


def flow_findings(circuits: Mapping[str, CircuitFlow], settings: Settings) -> tuple[Finding, ...]:
    """Circuits beyond the limits: pressure drop, velocity, flow; a law of friction in doubt; valves off their table."""
    limits = settings.hydraulics
    found = [
        remark(number, flow, limits)
        for number, flow in circuits.items()
        for remark in (_pressure, _fast, _small_or_slow, _transition, _valve_range, _turns)
    ]
    return tuple(finding for finding in found if finding)


def _pressure(number: str, flow: CircuitFlow, limits: HydraulicSettings) -> Finding | None:
    if flow.pressure_drop_pa <= limits.greatest_pressure_drop_pa:
        return None
    text = Message(
        "circuit {number} loses {pressure_drop:.1f} kPa at {mass_flow:.0f} kg/h, more than "
        "{greatest_pressure_drop:g} kPa: split it or let it cool by more",
        number=number,
        pressure_drop=flow.pressure_drop_pa / 1000,
        mass_flow=flow.mass_flow * _KG_H,
        greatest_pressure_drop=limits.greatest_pressure_drop_pa / 1000,
    )
    return _finding("hydraulics.pressure-drop", Severity.WARNING, text, "EN 1264-3")


def _fast(number: str, flow: CircuitFlow, limits: HydraulicSettings) -> Finding | None:
    if flow.velocity <= limits.greatest_velocity:
        return None
    text = Message(
        "water in circuit {number} runs at {velocity:.2f} m/s, faster than {greatest_velocity:g} "
        "m/s: split it or let it cool by more",
        number=number,
        velocity=flow.velocity,
        greatest_velocity=limits.greatest_velocity,
    )
    return _finding("hydraulics.velocity", Severity.WARNING, text, "common practice")


def _small_or_slow(number: str, flow: CircuitFlow, limits: HydraulicSettings) -> Finding | None:
    """Too small a flow says that air stays too, so there is one remark, not two."""
    if flow.mass_flow < limits.least_mass_flow:
        text = Message(
            "circuit {number} needs {mass_flow:.1f} kg/h, less than the {least_mass_flow:.0f} kg/h "
            "that can be set and vented well: join it to another field",
            number=number,
            mass_flow=flow.mass_flow * _KG_H,
            least_mass_flow=limits.least_mass_flow * _KG_H,
        )
        return _finding("hydraulics.small-flow", Severity.NOTE, text, "common practice")
    if flow.velocity < limits.least_velocity:
        text = Message(
            "water in circuit {number} runs at {velocity:.2f} m/s, slower than the "
            "{least_velocity:g} m/s that carry air along: flush it by itself, valve open, until no "
            "air comes",
            number=number,
            velocity=flow.velocity,
            least_velocity=limits.least_velocity,
        )
        return _finding("hydraulics.slow", Severity.NOTE, text, "common practice")
    return None


def _transition(number: str, flow: CircuitFlow, limits: HydraulicSettings) -> Finding | None:
    if flow.regime != "transition":
        return None
    text = Message(
        "circuit {number} runs at Re {reynolds:.0f}, where its flow may be laminar or turbulent: "
        "it loses between {least_drop:.0f} and {greatest_drop:.0f} Pa; calculated with "
        "{pressure_drop:.0f} Pa",
        number=number,
        reynolds=flow.reynolds,
        least_drop=flow.least_drop_pa,
        greatest_drop=flow.greatest_drop_pa,
        pressure_drop=flow.pressure_drop_pa,
    )
    return _finding("hydraulics.transition", Severity.NOTE, text, "Hagen-Poiseuille and Colebrook")


def _valve_range(number: str, flow: CircuitFlow, limits: HydraulicSettings) -> Finding | None:
    if flow.mass_flow <= 0 or flow.valve_kv >= limits.valve_turns_kv[0]:
        return None
    text = Message(
        "circuit {number} needs a Kv of {kv:.3f} m³/h, less than the {least:g} m³/h at "
        "{turns:g} turns where the valve's table starts: set it by the flow meter, or "
        "take a finer valve",
        number=number,
        kv=flow.valve_kv,
        least=limits.valve_turns_kv[0],
        turns=limits.valve_turns[0],
    )
    return _finding("hydraulics.valve-range", Severity.WARNING, text, "settings: hydraulics.valve_turns_kv")


def _turns(number: str, flow: CircuitFlow, limits: HydraulicSettings) -> Finding | None:
    if abs(flow.turns_flow_error) <= _GREATEST_TURNS_ERROR:
        return None
    text = Message(
        "circuit {number} at {turns:g} turns, the nearest quarter, gets "
        "{share:.0%} of its flow: set it by the flow meter",
        number=number,
        turns=flow.valve_turns,
        share=1 + flow.turns_flow_error,
    )
    return _finding("hydraulics.quarter-turn", Severity.NOTE, text, "own rule: more than a tenth off")


def fill_findings(vessel: ExpansionVessel, limits: HydraulicSettings) -> tuple[Finding, ...]:
    """What is to be filled in, how far it grows and the vessel for that; what to mind of antifreeze."""
    text = Message(
        "the circuits hold {content:.0f} l, which grow by {expansion:.1f} l: at least "
        "{vessel:.0f} l of vessel at {pre_pressure:.1f} bar for them alone; add what boiler, "
        "store and mains hold",
        content=vessel.content_m3 * 1000,
        expansion=vessel.expansion_m3 * 1000,
        vessel=vessel.vessel_m3 * 1000,
        pre_pressure=vessel.pre_pressure_pa / 1e5,
    )
    content = _finding("hydraulics.expansion", Severity.NOTE, text, "EN 12828, from memory")
    return (content,) if limits.fluid.is_water else (content, _antifreeze(limits))


def _antifreeze(limits: HydraulicSettings) -> Finding:
    fluid = limits.fluid
    text = Message(
        "calculated with {name}, which freezes from {freezing:.0f} °C: its maker's data, "
        "inhibitors and the local rules for drinking water and waste hold",
        name=fluid.name,
        freezing=fluid.freezing_c,
    )
    if limits.antifreeze == "ethylene glycol":
        text = Message("{text}; it is poisonous", text=text)
    if fluid.mass_share < _LEAST_SHARE:
        words = note("{text}; below about {share:.0%} it may feed germs and corrosion")
        text = Message(words, text=text, share=_LEAST_SHARE)
    return _finding("hydraulics.antifreeze", Severity.NOTE, text, "common practice")


def _finding(code: str, severity: Severity, message: Message, source: str) -> Finding:
    return Finding(code=code, severity=severity, message=message, source=source)
