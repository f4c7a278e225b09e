"""A manifold on site for tests: pipes, valves and pump that differ from the design, read with meters that err."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, replace

from made_up_manifold import SETTINGS, circuits

from ufh_core.hydraulics.valves import ValveTable
from ufh_core.network import Branch, Entry, Pump, branches_of, entry_of, pump_of, solve
from ufh_core.network.fitting import Round
from ufh_core.network.rebalancing import Advice, kv_of_turns, valve_advice

TABLE = ValveTable(turns=SETTINGS.hydraulics.valve_turns, kvs=SETTINGS.hydraulics.valve_turns_kv)


@dataclass(frozen=True, kw_only=True)
class Site:
    """The design as the tool knows it, and what really stands there."""

    branches: Mapping[str, Branch]
    entry: Entry
    pump: Pump
    real: Mapping[str, Branch]
    real_pump: Pump
    valve_scatter: Mapping[str, float]
    design_turns: Mapping[str, float]

    def flows(self, turns: Mapping[str, float]) -> Mapping[str, float]:
        """True flows [kg/s] with the valves at `turns`."""
        there = {
            n: replace(b, kvs=(kv_of_turns(TABLE, turns[n]) * self.valve_scatter[n], *b.kvs[1:]))
            for n, b in self.real.items()
        }
        return solve(there, self.entry, self.real_pump).flows


def made_up_site(seed: int, count: int, pump_factor: float | None = None) -> Site:
    chance = random.Random(seed)
    loops = {f"M1.{k:02d}": (chance.uniform(0.008, 0.034), chance.uniform(25.0, 100.0)) for k in range(1, count + 1)}
    flows, pipes, duty = circuits(loops, SETTINGS)
    branches = branches_of(flows, pipes, SETTINGS.hydraulics)
    pump = pump_of(SETTINGS.hydraulics, duty.pressure_pa, duty.volume_flow)
    factor = chance.uniform(1.1, 1.5) if pump_factor is None else pump_factor
    real = {
        n: replace(b, pipe=replace(b.pipe, length_m=b.pipe.length_m * chance.uniform(0.85, 1.15)))
        for n, b in branches.items()
    }
    return Site(
        branches=branches,
        entry=entry_of(duty),
        pump=pump,
        real=real,
        real_pump=replace(pump, pressures_pa=tuple(factor * p for p in pump.pressures_pa)),
        valve_scatter={n: chance.uniform(0.9, 1.1) for n in branches},
        design_turns={n: TABLE.quarter_turns(min(max(f.valve_kv, 0.05), 1.2)) for n, f in flows.items()},
    )


def balanced_by_advice(
    site: Site, chance: random.Random, turns: Mapping[str, float], most_rounds: int, noise: float = 0.05
) -> tuple[Mapping[str, float], Advice, int]:
    """Turn as told, round after round: true flows at the end, the last advice, rounds of turning that it took."""
    rounds: list[Round] = []
    told = turns
    for k in range(most_rounds + 1):
        true = site.flows(turns)
        read = {n: flow * (1 + chance.uniform(-noise, noise)) for n, flow in true.items()}
        rounds.append(Round(flows=read, kvs={n: kv_of_turns(TABLE, t) for n, t in told.items()}))
        advice = valve_advice(site.branches, TABLE, site.entry, site.pump, rounds)
        if advice.done or k == most_rounds:
            return true, advice, k
        told = {turn.circuit: turn.wanted_turns for turn in advice.turns}
        turns = {n: min(3.0, t + chance.uniform(-1, 1) / 360) for n, t in told.items()}
    raise AssertionError
