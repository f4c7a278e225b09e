"""Which valve to turn, and how far, so that every circuit of a manifold gets its design flow.

The network is fitted to what was measured (`fitting.py`); on it every valve is set at once to what takes up the
pressure that its circuit leaves over. Where the pump is too small, all circuits get the same share of their design
flow, the most that the neediest of them can have with its valve open.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from scipy.optimize import brentq

from ufh_core.hydraulics.pipe import series_drop
from ufh_core.hydraulics.valves import ValveTable, kv_for
from ufh_core.network.fitting import METER_ERROR, Fitted, Round, fitted_network
from ufh_core.network.pump import pump_pressure
from ufh_core.network.solve import solve
from ufh_core.network.types import Branch, Entry, Pump

BALANCED = 0.05
"""Most by which a circuit's flow may miss its design, as a share. Own rule."""
SURE = 2.0
"""Doubts that are kept from the limit before a flow counts as within it: 19 of 20 such claims hold."""
STEPS_A_TURN = 144
"""Valves are turned by whole steps of 2.5°."""
_LEAST_SHARE = 0.01
_LEAST_STEPS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveTurn:
    """A valve: turns from shut now and wanted; flow as it seems to be now, its doubt, and the design [kg/s].

    `below_table` says that the wanted position lies below the first row of the valve's table.
    """

    circuit: str
    now_turns: float
    wanted_turns: float
    flow: float
    doubt: float
    design_flow: float
    below_table: bool

    @property
    def off(self) -> float:
        """By how much the flow misses the design, as a share."""
        return self.flow / self.design_flow - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What to turn. `share` of the design flow that all circuits can get, 1 at most.

    `needed_pa` is the pressure that the pump must give for all of it, `pump_pa` what it gives at the design flow;
    `neediest` the circuit that asks for most. `done` where every flow is within 5 %, its doubt taken off.
    """

    turns: tuple[ValveTurn, ...]
    share: float
    needed_pa: float
    pump_pa: float
    neediest: str
    done: bool

    @property
    def likely(self) -> bool:
        """Whether every flow seems to be within 5 %, doubt or not."""
        return all(abs(turn.off) <= BALANCED for turn in self.turns)

    @property
    def reachable(self) -> bool:
        """Whether the pump can bring all circuits within 5 %."""
        return self.share >= 1 - BALANCED


def valve_advice(
    branches: Mapping[str, Branch],
    table: ValveTable,
    entry: Entry,
    pump: Pump,
    rounds: Sequence[Round],
    meter_error: float = METER_ERROR,
) -> Advice:
    """Advice after one or more rounds of readings, the last one with the valves as they stand.

    Raises: NoSolution as `fitted_network` and `solve`.
    """
    fitted = fitted_network(branches, entry, pump, rounds, meter_error)
    now = solve(fitted.branches, entry, replace(fitted.pump, ends=False)).flows
    share = reachable_share(fitted, table, entry)
    pressure = bars_pa(fitted, entry, share)
    turns = tuple(_turn(n, b, table, pressure, share, rounds[-1].kvs[n], now[n], fitted) for n, b in branches.items())
    needs = _open_needs(fitted, table, 1.0)
    neediest = max(sorted(needs), key=lambda n: needs[n])
    return Advice(
        turns=turns,
        share=share,
        needed_pa=needs[neediest] + entry.drop(_total(fitted, 1.0)),
        pump_pa=bars_pa(fitted, entry, 1.0) + entry.drop(_total(fitted, 1.0)),
        neediest=neediest,
        done=all(abs(turn.off) + SURE * turn.doubt <= BALANCED for turn in turns),
    )


def kv_of_turns(table: ValveTable, turns: float) -> float:
    """Kv [m³/h] at a position: by the table, and below its first row in proportion, for a shut valve has none."""
    if turns < table.turns[0]:
        return table.kvs[0] * turns / table.turns[0]
    return table.kv_at(min(turns, table.turns[-1]))


def turns_of_kv(table: ValveTable, kv: float) -> float:
    """The position for a Kv [m³/h], as `kv_of_turns`; open at most."""
    if kv < table.kvs[0]:
        return table.turns[0] * kv / table.kvs[0]
    return table.turns_at(min(kv, table.kvs[-1]))


def reachable_share(fitted: Fitted, table: ValveTable, entry: Entry) -> float:
    """The greatest common share of the design flows, up to 1, that the pump drives through the open valves.

    More share needs more pressure and leaves no more of the pump's, so that the gap has one root.
    """

    def left(share: float) -> float:
        return bars_pa(fitted, entry, share) - max(_open_needs(fitted, table, share).values())

    if left(1.0) >= 0:
        return 1.0
    return float(brentq(left, _LEAST_SHARE, 1.0)) if left(_LEAST_SHARE) > 0 else _LEAST_SHARE


def bars_pa(fitted: Fitted, entry: Entry, share: float) -> float:
    """Pressure [Pa] that the pump leaves between the bars at a share of the design flows."""
    volume_flow = sum(share * b.design_flow / b.pipe.density for b in fitted.branches.values())
    return pump_pressure(fitted.pump, volume_flow) - entry.drop(_total(fitted, share))


def _total(fitted: Fitted, share: float) -> float:
    return share * sum(branch.design_flow for branch in fitted.branches.values())


def _open_needs(fitted: Fitted, table: ValveTable, share: float) -> dict[str, float]:
    """Pressure [Pa] that each circuit takes at a share of its design flow with its valve open."""
    return {
        number: _open_need(branch, table.kvs[-1] * fitted.valve_factors[number], share)
        for number, branch in fitted.branches.items()
    }


def _open_need(branch: Branch, open_kv: float, share: float) -> float:
    return series_drop(branch.pipe, (open_kv, *branch.kvs[1:]), share * branch.design_flow)


def _turn(
    number: str,
    branch: Branch,
    table: ValveTable,
    bars: float,
    share: float,
    kv: float,
    flow: float,
    fitted: Fitted,
) -> ValveTurn:
    own = fitted.branches[number]
    wanted_flow = share * own.design_flow
    rest = bars - series_drop(own.pipe, own.kvs[1:], wanted_flow)
    wanted = table.kvs[-1]
    if rest > 0:
        real = kv_for(wanted_flow / own.pipe.density, own.pipe.density, rest)
        wanted = min(wanted, real / fitted.valve_factors[number])
    now_turns = turns_of_kv(table, kv)
    steps = max(_LEAST_STEPS, round(turns_of_kv(table, wanted) * STEPS_A_TURN))
    return ValveTurn(
        circuit=number,
        now_turns=now_turns,
        wanted_turns=steps / STEPS_A_TURN,
        flow=flow,
        doubt=fitted.doubts[number],
        design_flow=branch.design_flow,
        below_table=wanted < table.kvs[0],
    )
