"""Every flow of a manifold's network.

Algorithm: two nested root findings, each in one unknown that its left side follows monotonically. Inside: for a
pressure difference between the bars, the flow of each circuit by its own law of friction (`flow_at`). Outside: the
pressure difference at which the pump's pressure, less the shared entry, is just that difference. More difference
means more flow, so more entry loss and, with a curve that falls, less pump pressure: the gap falls all the way and
Brent's method cannot miss its one root. A pump with proportional pressure rises on a line from a pressure over
nothing, which a curve that starts at nothing and steepens crosses once; the transition of the friction bends the curve
the other way for a moment, but the point that is found closes all the same. Newton's method would need fewer steps but
a start near the root, because the friction's slope breaks at Re 2000 and 2300.
Cost: about ten times ten drops for each circuit.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from scipy.optimize import brentq

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.message import Message
from ufh_core.hydraulics.pipe import flow_at
from ufh_core.hydraulics.types import PumpDuty
from ufh_core.network.pump import pump_pressure
from ufh_core.network.types import Branch, Entry, Operation, Pump, SystemPoint

GREATEST_GAP_PA = 0.1
_PRESSURE_TOLERANCE_PA = 1e-6
_SHARES = tuple(k / 8 for k in range(11))


def entry_of(duty: PumpDuty) -> Entry:
    """The shared entry of a pump's duty."""
    return Entry(pressure_pa=duty.entry_pa, mass_flow=duty.mass_flow)


def solve(branches: Mapping[str, Branch], entry: Entry, pump: Pump, shut: Collection[str] = ()) -> Operation:
    """The flows of all circuits, those in `shut` without any.

    Raises: NoSolution for an unknown circuit in `shut`, for a pump whose curve ends before it meets the network, and
    where the pressures do not close within 0.1 Pa.
    """
    if unknown := set(shut) - set(branches):
        raise NoSolution(Message("there is no circuit {unknown} to shut", unknown=min(unknown)))
    open_ = {number: branch for number, branch in branches.items() if number not in shut}

    def at(circuits_pa: float) -> Operation:
        return _operation(branches, open_, entry, pump, circuits_pa)

    most = max(pump.pressures_pa)
    if not open_ or most <= 0:
        return at(0.0)
    found = at(float(brentq(lambda pressure: at(pressure).gap_pa, 0.0, most, xtol=_PRESSURE_TOLERANCE_PA)))
    if pump.ends and found.volume_flow > pump.flows[-1]:
        raise NoSolution(
            Message(
                "the pump's curve ends at {flows:g} m³/h before it meets the network: choose another pump",
                flows=pump.flows[-1] * 3600,
            )
        )
    if abs(found.gap_pa) > GREATEST_GAP_PA:
        raise NoSolution(Message("the network's pressures do not close: {gap:.2f} Pa are left", gap=found.gap_pa))
    return found


def _operation(
    branches: Mapping[str, Branch], open_: Mapping[str, Branch], entry: Entry, pump: Pump, circuits_pa: float
) -> Operation:
    """What runs at a pressure difference between the bars, whether or not the pump gives it."""
    flows = {
        number: branch_flow(branch, circuits_pa) if number in open_ else 0.0 for number, branch in branches.items()
    }
    mass_flow = sum(flows.values())
    volume_flow = sum(flows[number] / branch.pipe.density for number, branch in open_.items())
    return Operation(
        flows=flows,
        mass_flow=mass_flow,
        volume_flow=volume_flow,
        circuits_pa=circuits_pa if open_ else pump_pressure(pump, 0.0),
        entry_pa=entry.drop(mass_flow),
        pump_pa=pump_pressure(pump, volume_flow),
    )


def branch_flow(branch: Branch, circuits_pa: float) -> float:
    """Flow [kg/s] of one circuit at a pressure difference [Pa] between the bars."""
    flow = flow_at(circuits_pa, branch.pipe, branch.kvs)
    return flow if branch.limit is None else min(flow, branch.limit)


def system_curve(branches: Mapping[str, Branch], entry: Entry, circuits_pa: float) -> tuple[SystemPoint, ...]:
    """Points of pressure over flow that the network takes, up to somewhat over the duty's `circuits_pa` [Pa].

    Each point stands at a share of the pressure difference between the bars, squared so that they are evenly
    spread in flow.
    """
    points = []
    for share in _SHARES:
        pressure = share**2 * circuits_pa
        flows = {number: branch_flow(branch, pressure) for number, branch in branches.items()}
        volume_flow = sum(flow / branches[number].pipe.density for number, flow in flows.items())
        points.append(SystemPoint(volume_flow=volume_flow, pressure_pa=pressure + entry.drop(sum(flows.values()))))
    return tuple(points)
