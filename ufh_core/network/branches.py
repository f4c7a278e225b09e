"""The circuits of a manifold as branches of its network."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ufh_core.hydraulics.circuit import fixed_kvs
from ufh_core.hydraulics.pipe import CircuitPipe, series_drop
from ufh_core.hydraulics.types import CircuitFlow
from ufh_core.hydraulics.valves import ValveTable, kv_for
from ufh_core.network.types import Branch
from ufh_core.settings.hydraulic_types import HydraulicSettings


def branches_of(
    flows: Mapping[str, CircuitFlow], pipes: Mapping[str, CircuitPipe], hydraulics: HydraulicSettings
) -> dict[str, Branch]:
    """Branches by number, balancing valves as they are set: at their quarter turns, else at their Kv.

    A circuit without a design flow is left out: its valve stays shut.
    """
    return {
        number: Branch(
            pipe=pipes[number], kvs=(_set_kv(flow, hydraulics), *fixed_kvs(hydraulics)), design_flow=flow.mass_flow
        )
        for number, flow in flows.items()
        if flow.mass_flow > 0
    }


def _set_kv(flow: CircuitFlow, hydraulics: HydraulicSettings) -> float:
    if flow.valve_turns is None:
        return flow.valve_kv
    return ValveTable(turns=hydraulics.valve_turns, kvs=hydraulics.valve_turns_kv).kv_at(flow.valve_turns)


def limited(branches: Mapping[str, Branch], hydraulics: HydraulicSettings) -> dict[str, Branch]:
    """The same circuits with self-limiting valves in place of balancing valves, each set to its design flow.

    A self-limiting valve holds its flow as soon as its least pressure difference stands over it; with less it is an
    opening that would lose just that at the flow. Source: common practice of pressure-independent valves.
    """
    return {number: _limited(branch, hydraulics) for number, branch in branches.items()}


def _limited(branch: Branch, hydraulics: HydraulicSettings) -> Branch:
    volume_flow = branch.design_flow / branch.pipe.density
    kv = kv_for(volume_flow, branch.pipe.density, hydraulics.limiter_least_pa)
    return replace(branch, kvs=(kv, *fixed_kvs(hydraulics)), limit=branch.design_flow)


def needed_pressure(branches: Mapping[str, Branch]) -> float:
    """Pressure difference [Pa] between the bars at which every circuit gets its design flow at least."""
    return max(series_drop(branch.pipe, branch.kvs, branch.design_flow) for branch in branches.values())
