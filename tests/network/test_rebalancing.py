"""Balancing by measurements on made-up sites: pipes up to 15 % off, valves 10 %, the pump unknown, meters 5 %."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from site_manifold import TABLE, balanced_by_advice, made_up_site

from ufh_core.basis.errors import NoSolution
from ufh_core.network.fitting import Round, _Task, fitted_network
from ufh_core.network.rebalancing import BALANCED, kv_of_turns, turns_of_kv, valve_advice


def off(site, flows) -> float:
    return max(abs(flows[n] / b.design_flow - 1) for n, b in site.branches.items())


@pytest.mark.parametrize("start", ["open", "as designed"])
def test_three_rounds_balance_a_manifold_whose_meters_err_by_5_percent(start: str) -> None:
    """True flows after three rounds of turning, 60 sites of 2 to 12 circuits a start. Found: all within 5.2 %."""
    ends, begins, rounds, likely = [], [], [], []
    for count, sites in ((2, 15), (3, 15), (5, 12), (8, 10), (12, 8)):
        for seed in range(sites):
            site = made_up_site(7000 * count + seed, count)
            turns = dict.fromkeys(site.branches, TABLE.turns[-1]) if start == "open" else site.design_turns
            begins.append(off(site, site.flows(turns)))
            flows, advice, took = balanced_by_advice(site, random.Random(seed), turns, 3)
            assert advice.reachable
            ends.append(off(site, flows))
            rounds.append(took)
            likely.append(advice.likely)
    assert np.median(begins) > 3 * BALANCED
    assert max(rounds) <= 3 and np.mean(likely) >= 0.9
    assert np.mean(np.array(ends) <= BALANCED) >= 0.95
    assert max(ends) <= 0.06


def test_without_noise_the_first_round_shows_the_way() -> None:
    site = made_up_site(11, 6)
    flows, advice, _ = balanced_by_advice(site, random.Random(1), dict.fromkeys(site.branches, 3.0), 2, noise=0.0)
    assert off(site, flows) < 0.03 and advice.reachable


def test_what_is_called_done_is_within_5_percent() -> None:
    """Claims of 40 sites at the design's own settings: at most one in twenty may miss, and that by little."""
    ends = []
    for seed in range(40):
        site = made_up_site(300 + seed, 3)
        flows, advice, _ = balanced_by_advice(site, random.Random(seed), site.design_turns, 5)
        if advice.done:
            ends.append(off(site, flows))
    assert len(ends) > 30
    assert sum(end > BALANCED for end in ends) <= len(ends) / 20 and max(ends) < 0.06


@pytest.mark.parametrize("factor", [0.4, 0.6, 0.8])
def test_a_pump_too_small_is_told_and_shared_out_evenly(factor: float) -> None:
    site = made_up_site(21, 5, pump_factor=factor)
    flows, advice, _ = balanced_by_advice(site, random.Random(2), dict.fromkeys(site.branches, 3.0), 3)
    shares = [flows[n] / b.design_flow for n, b in site.branches.items()]
    assert not advice.done and not advice.reachable and advice.share < 0.95
    assert advice.pump_pa < advice.needed_pa
    assert advice.pump_pa == pytest.approx(site.real_pump.pressures_pa[0], rel=0.15)
    assert max(shares) / min(shares) < 1.12  # ±5 % about the common share
    assert np.mean(shares) == pytest.approx(advice.share, rel=0.06)


def test_enough_pump_is_not_called_too_small() -> None:
    for seed in range(10):
        site = made_up_site(500 + seed, 4, pump_factor=1.3)
        _, advice, _ = balanced_by_advice(site, random.Random(seed), dict.fromkeys(site.branches, 3.0), 2)
        assert advice.share == 1.0


def test_advice_by_hand_two_equal_circuits_one_valve_half_shut() -> None:
    """Equal pipes and equal designs: what is wanted is equal, the circuit that gets less is opened."""
    site = made_up_site(1, 2, pump_factor=1.2)
    first, second = site.branches
    twin = dict.fromkeys((first, second), site.branches[first])
    turns = {first: 1.0, second: 2.0}
    real = replace(site, branches=twin, real=twin, valve_scatter=dict.fromkeys(twin, 1.0))
    read = Round(flows=real.flows(turns), kvs={n: kv_of_turns(TABLE, t) for n, t in turns.items()})
    advice = valve_advice(twin, TABLE, site.entry, site.pump, [read])
    one, two = advice.turns
    assert one.flow < two.flow
    assert one.wanted_turns == pytest.approx(two.wanted_turns, abs=0.05)
    assert one.now_turns == 1.0 and two.now_turns == 2.0


def test_slopes_are_those_of_the_misfit() -> None:
    site = made_up_site(3, 3)
    rounds = tuple(
        Round(flows=site.flows(t), kvs={n: kv_of_turns(TABLE, v) for n, v in t.items()})
        for t in (dict.fromkeys(site.branches, 3.0), site.design_turns)
    )
    task = _Task(tuple(site.branches), tuple(site.branches.values()), site.entry, site.pump, rounds, 0.03)
    at = task.start() + 0.05 * np.random.default_rng(1).normal(size=9)
    step = 1e-5
    by_hand = np.array([(task.misfit(at + step * e) - task.misfit(at - step * e)) / (2 * step) for e in np.eye(9)]).T
    assert np.abs(task.jacobian(at) - by_hand).max() < 1e-3 * np.abs(by_hand).max()


def test_a_circuit_without_flow_is_named() -> None:
    site = made_up_site(4, 3)
    read = Round(flows=dict.fromkeys(site.branches, 0.01) | {"M1.02": 0.0}, kvs=dict.fromkeys(site.branches, 0.5))
    with pytest.raises(NoSolution, match=r"circuit M1\.02 has no flow: look for air"):
        fitted_network(site.branches, site.entry, site.pump, [read])
    with pytest.raises(NoSolution, match="nothing was measured"):
        fitted_network(site.branches, site.entry, site.pump, [])


@pytest.mark.parametrize("turns", [0.1, 0.25, 0.6, 1.75, 3.0])
def test_positions_and_kv_are_each_others_inverse(turns: float) -> None:
    assert turns_of_kv(TABLE, kv_of_turns(TABLE, turns)) == pytest.approx(turns)
