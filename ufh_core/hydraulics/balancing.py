"""Circuits of one manifold brought to one pressure drop, and the pump for it.

The index circuit, with the greatest drop at its design flow, keeps its valve open; every other circuit's
balancing valve takes up what it loses less.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ufh_core.basis.errors import NoSolution
from ufh_core.hydraulics.circuit import fixed_kvs, water_content
from ufh_core.hydraulics.expansion import expansion_of
from ufh_core.hydraulics.pipe import CircuitPipe, flow_at
from ufh_core.hydraulics.types import CircuitFlow, PressureEntry, PumpDuty
from ufh_core.hydraulics.valves import ValveTable, kv_for, valve_drop
from ufh_core.settings.hydraulic_types import HydraulicSettings
from ufh_core.settings.types import Settings


def balance(
    circuits: Mapping[str, CircuitFlow], lengths_m: Mapping[str, float], settings: Settings
) -> tuple[dict[str, CircuitFlow], PumpDuty]:
    """Circuits with their valves set, and the pump's duty.

    `circuits` by number as `circuit_flow` gives them; `lengths_m` by the same numbers, for the water in them.
    The pressure is the index circuit's with the entries that all share. `pressure_drop_pa` of a circuit
    stays the drop with its valves open; with `throttle_pa` all come to the same. Equal circuits go by number.

    Raises: NoSolution for a manifold without circuits.
    """
    if not circuits:
        raise NoSolution("a manifold without circuits cannot be balanced")
    index = max(sorted(circuits), key=lambda number: circuits[number].pressure_drop_pa)
    greatest = circuits[index].pressure_drop_pa
    balanced = {number: _throttled(flow, greatest, settings) for number, flow in circuits.items()}
    mass_flow = sum(flow.mass_flow for flow in circuits.values())
    volume_flow = sum(flow.volume_flow for flow in circuits.values())
    entries = shared_entries(mass_flow, volume_flow, settings.hydraulics)
    content = sum(water_content(lengths_m[number], settings.pipe) for number in circuits)
    duty = PumpDuty(
        mass_flow=mass_flow,
        volume_flow=volume_flow,
        pressure_pa=greatest + sum(entry.pressure_pa for entry in entries),
        index_circuit=index,
        water_content_m3=content,
        expansion_m3=expansion_of(content, settings),
        entries=entries,
    )
    return balanced, duty


def shared_entries(mass_flow: float, volume_flow: float, hydraulics: HydraulicSettings) -> tuple[PressureEntry, ...]:
    """What all circuits share at the manifold's design flow [kg/s], [m³/s]: entry, mixing valve, primary side.

    The whole flow goes through the mixing valve, as it does where that stands in the pump's own circuit.
    """
    entries = [PressureEntry(name="bars, entry valves and station", pressure_pa=hydraulics.entry_loss_pa)]
    if hydraulics.mixing_valve_kv is not None and volume_flow > 0:
        drop = valve_drop(volume_flow, mass_flow / volume_flow, hydraulics.mixing_valve_kv)
        entries.append(PressureEntry(name="mixing valve", pressure_pa=drop))
    if hydraulics.primary_loss_pa:
        entries.append(PressureEntry(name="primary connection", pressure_pa=hydraulics.primary_loss_pa))
    return tuple(entries)


def _throttled(flow: CircuitFlow, greatest_pa: float, settings: Settings) -> CircuitFlow:
    """The circuit with its valve set so that it takes up the rest of the greatest pressure drop."""
    throttle = greatest_pa - flow.pressure_drop_pa
    if flow.mass_flow <= 0 or throttle <= 0:
        return replace(flow, valve_kv=settings.hydraulics.valve_kv, throttle_pa=0.0)
    density = flow.mass_flow / flow.volume_flow
    open_pa = valve_drop(flow.volume_flow, density, settings.hydraulics.valve_kv)
    return replace(flow, valve_kv=kv_for(flow.volume_flow, density, open_pa + throttle), throttle_pa=throttle)


def in_turns(flow: CircuitFlow, pipe: CircuitPipe, circuits_pa: float, settings: Settings) -> CircuitFlow:
    """A balanced circuit with its valve's position in quarter turns, and what the rounding does to its flow.

    `circuits_pa` is the pressure difference [Pa] between the bars, which is taken to stay as it is. A Kv that
    the valve's table does not hold gets no turns.
    """
    own = settings.hydraulics
    table = ValveTable(turns=own.valve_turns, kvs=own.valve_turns_kv)
    wanted = min(flow.valve_kv, table.kvs[-1])  # open is open, whatever the last digit
    if flow.mass_flow <= 0 or not table.holds(wanted):
        return replace(flow, valve_turns=None, turns_flow_error=0.0)
    turns = table.quarter_turns(wanted)
    got = flow_at(circuits_pa, pipe, (table.kv_at(turns), *fixed_kvs(own)))
    return replace(flow, valve_turns=turns, turns_flow_error=got / flow.mass_flow - 1)
