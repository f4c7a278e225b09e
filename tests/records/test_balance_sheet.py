"""From readings on file to advice: rounds, what is lacking, flows told from temperatures."""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest
from site_cases import put, record, renamed, site

from ufh_core.basis.errors import NoSolution
from ufh_core.documents.balance_list import balance_json, balance_lines
from ufh_core.hydraulics.circuit import fixed_kvs
from ufh_core.hydraulics.pipe import series_drop
from ufh_core.hydraulics.valves import ValveTable
from ufh_core.network import Branch, Entry, Pump, solve
from ufh_core.network.rebalancing import kv_of_turns
from ufh_core.records.balance_sheet import _branch, balance_sheets, read_flow
from ufh_core.records.ledger import read_ledger
from ufh_core.records.readings import RecordError
from ufh_core.records.site_design import SiteDesign

TURNS = {"M1.01": 2.5, "M1.02": 0.5}


def job(pump_pa: float = 16000.0) -> tuple[SiteDesign, dict[str, Branch], ValveTable]:
    """The small job with the pump of the need of its long circuit, and its network."""
    one = site()
    one = renamed(one, manifolds=(_with_pump(one, pump_pa),))
    hydraulics = one.settings.hydraulics
    table = ValveTable(turns=hydraulics.valve_turns, kvs=hydraulics.valve_turns_kv)
    return one, {c.number: _branch(c, c.length_m, one) for c in one.circuits}, table


def _with_pump(one: SiteDesign, pump_pa: float):  # type: ignore[no-untyped-def]
    from dataclasses import replace

    return replace(one.manifolds[0], pump_pa=pump_pa)


def true_flows(
    branches: dict[str, Branch], table: ValveTable, turns: dict[str, float], pump_pa: float
) -> dict[str, float]:
    there = {
        n: Branch(pipe=b.pipe, kvs=(kv_of_turns(table, turns[n]), *b.kvs[1:]), design_flow=b.design_flow)
        for n, b in branches.items()
    }
    pump = Pump(kind="constant pressure", flows=(0.0, 1e-4), pressures_pa=(pump_pa, pump_pa), ends=False)
    return dict(solve(there, Entry(pressure_pa=3000.0, mass_flow=0.05), pump).flows)


@pytest.mark.parametrize("by", ["flows", "temperatures"])
def test_readings_on_file_lead_to_balanced_circuits(tmp_path: Path, by: str) -> None:
    """Three rounds by records alone; temperatures are made from true flows by the logarithmic mean, read to 0.1 K."""
    one, branches, table = job()
    turns, chance = dict(TURNS), random.Random(3)
    for number in range(1, 5):
        flows = true_flows(branches, table, turns, 17000.0)
        for c in one.circuits:
            if by == "flows":
                l_min = flows[c.number] * 60 * (1 + chance.uniform(-0.05, 0.05))
                put(
                    tmp_path,
                    [record("flow", circuit=c.number, measured_l_min=l_min, turns=turns[c.number], round=number)],
                )
            else:
                log = math.log((40 - c.indoor_c) / (34 - c.indoor_c)) * c.mass_flow / flows[c.number]
                back = round(c.indoor_c + (40 - c.indoor_c) * math.exp(-log), 1)
                reading = record(
                    "temperatures", circuit=c.number, flow_c=40, return_c=back, turns=turns[c.number], round=number
                )
                put(tmp_path, [reading])
        (sheet,) = balance_sheets(one, read_ledger(tmp_path), by)
        assert sheet.advice is not None and sheet.round == number
        if number == 1:
            assert max(abs(flows[n] / b.design_flow - 1) for n, b in branches.items()) > 0.15
        if number < 4:
            turns = {turn.circuit: turn.wanted_turns for turn in sheet.advice.turns}
    assert all(abs(flows[n] / b.design_flow - 1) <= 0.05 for n, b in branches.items())


def test_a_flow_by_temperatures_by_hand() -> None:
    """θ_i 20 °C, design 40/34: ln(20/14) = 0.35667. Read 40/30: ln(20/10) = 0.69315: 51.5 % of the flow."""
    circuit = site().circuits[0]
    half = read_flow(circuit, record("temperatures", circuit="M1.01", flow_c=40, return_c=30))  # type: ignore[arg-type]
    assert half / circuit.mass_flow == pytest.approx(0.35667 / 0.69315, rel=1e-4)
    with pytest.raises(NoSolution, match="do not fall one after the other"):
        read_flow(circuit, record("temperatures", circuit="M1.01", flow_c=40, return_c=19))  # type: ignore[arg-type]


def test_what_is_lacking_is_told(tmp_path: Path) -> None:
    one, _, _ = job()
    (sheet,) = balance_sheets(one, read_ledger(tmp_path))
    assert sheet.advice is None and sheet.lack == "round 1 has no reading of M1.01, M1.02"
    put(tmp_path, [record("flow", circuit="M1.01", measured_l_min=1.5, round=2)])
    (sheet,) = balance_sheets(one, read_ledger(tmp_path))
    assert sheet.lack == "round 2 has no reading of M1.02"
    assert balance_json(sheet)["valves"] == [] and "nothing to say yet" in "\n".join(balance_lines(sheet))
    put(tmp_path, [record("flow", circuit="M1.02", measured_l_min=0, round=2)])
    (sheet,) = balance_sheets(one, read_ledger(tmp_path))
    assert "circuit M1.02 has no flow" in sheet.lack


def test_a_pump_too_small_is_told_with_its_pressures(tmp_path: Path) -> None:
    one, branches, table = job()
    flows = true_flows(branches, table, {"M1.01": 3.0, "M1.02": 3.0}, 8000.0)
    for number, flow in flows.items():
        put(tmp_path, [record("flow", circuit=number, measured_l_min=flow * 60, turns=3.0)])
    (sheet,) = balance_sheets(one, read_ledger(tmp_path))
    assert sheet.advice is not None and not sheet.advice.reachable
    long = branches["M1.01"]
    need = series_drop(long.pipe, (table.kvs[-1], *fixed_kvs(one.settings.hydraulics)), long.design_flow) + 3000
    assert sheet.advice.needed_pa == pytest.approx(need, rel=0.1) and sheet.advice.neediest == "M1.01"
    text = "\n".join(balance_lines(sheet))
    assert "cannot be reached: the pump gives about" in text and "set it higher or take a stronger one" in text


def test_unknown_words_are_refused(tmp_path: Path) -> None:
    one, _, _ = job()
    chain = read_ledger(tmp_path)
    with pytest.raises(RecordError, match="there are: flows, temperatures"):
        balance_sheets(one, chain, "guesses")
    with pytest.raises(RecordError, match="no such manifold; there are: M1"):
        balance_sheets(one, chain, "flows", "M2")
