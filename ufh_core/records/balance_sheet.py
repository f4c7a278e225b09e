"""Balancing by what is on file: readings of flows or temperatures, round by round, into the network of a manifold."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ufh_core.basis.errors import NoSolution
from ufh_core.hydraulics.circuit import fixed_kvs
from ufh_core.hydraulics.pipe import circuit_pipe
from ufh_core.hydraulics.valves import ValveTable
from ufh_core.network import Advice, Branch, Entry, Round, pump_of, valve_advice
from ufh_core.network.fitting import METER_ERROR
from ufh_core.network.rebalancing import kv_of_turns, turns_of_kv
from ufh_core.records.chain import Chain
from ufh_core.records.hold_points import site_state
from ufh_core.records.kinds import AsLaid, FlowReading, SiteRecord, TemperatureReading
from ufh_core.records.readings import RecordError
from ufh_core.records.site_design import SiteCircuit, SiteDesign, SiteManifold

FLOWS, TEMPERATURES = "flows", "temperatures"
READING_K = 0.2
"""Doubt of a difference of temperatures that is read on pipes [K]. Own assumption."""
_LITRES = 60000.0

Reading = FlowReading | TemperatureReading


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceSheet:
    """A manifold's balancing: `advice` is None, and `lack` says why, where nothing can be said.

    `read` are the flows [kg/s] of the last round by circuit; `round` its number.
    """

    manifold: SiteManifold
    circuits: tuple[SiteCircuit, ...]
    by: str
    round: int
    read: Mapping[str, float]
    advice: Advice | None
    lack: str = ""
    pump_is_set: bool = True


def balance_sheets(
    site: SiteDesign, chain: Chain, by: str = FLOWS, manifold: str | None = None
) -> tuple[BalanceSheet, ...]:
    """The sheets of all manifolds, or of one.

    Raises: RecordError for an unknown manifold, or another word than "flows" and "temperatures".
    """
    if by not in (FLOWS, TEMPERATURES):
        raise RecordError(f"--from {by}: unknown; there are: {FLOWS}, {TEMPERATURES}")
    if manifold is not None and manifold not in site.names("manifold"):
        there = ", ".join(site.names("manifold"))
        raise RecordError(f"--manifold {manifold}: the design has no such manifold; there are: {there}")
    records = [filed.record for filed in site_state(site, chain).filed]
    return tuple(_sheet(site, records, by, m) for m in site.manifolds if manifold in (None, m.name))


def _sheet(site: SiteDesign, records: Iterable[SiteRecord], by: str, manifold: SiteManifold) -> BalanceSheet:
    own = tuple(c for c in site.circuits if c.manifold == manifold.name and c.mass_flow > 0)
    every = list(records)
    kind: type[Reading] = FlowReading if by == FLOWS else TemperatureReading
    rounds = _rounds(kind, every, own)
    number = max(rounds, default=0)
    lack = [c.number for c in own if c.number not in rounds.get(number, {})]
    read: dict[str, float] = {}
    advice, trouble = None, ""
    try:
        if lack or not own:
            raise NoSolution(f"round {max(number, 1)} has no reading of {', '.join(lack) or 'any circuit'}")
        whole = [rounds[k] for k in sorted(rounds) if all(c.number in rounds[k] for c in own)]
        flows = [{c.number: read_flow(c, each[c.number]) for c in own} for each in whole]
        read = flows[-1]
        advice = _advice(site, manifold, own, every, whole, flows)
    except NoSolution as error:
        trouble = str(error)
    return BalanceSheet(
        manifold=manifold,
        circuits=own,
        by=by,
        round=number,
        read=read,
        advice=advice,
        lack=trouble,
        pump_is_set=site.settings.hydraulics.pump != "curve",
    )


def _rounds(
    kind: type[Reading], records: Iterable[SiteRecord], own: Iterable[SiteCircuit]
) -> dict[int, dict[str, Reading]]:
    """The last reading of each circuit in each round."""
    numbers = {c.number for c in own}
    found: dict[int, dict[str, Reading]] = {}
    for record in records:
        if isinstance(record, kind) and record.circuit in numbers:
            found.setdefault(record.round, {})[record.circuit] = record
    return found


def read_flow(circuit: SiteCircuit, reading: Reading) -> float:
    """The flow [kg/s] by a reading, of a meter or of temperatures.

    By temperatures: a circuit gives K · Δθ_H, Δθ_H the logarithmic mean over the room, so that
    m = m_design · ln((θ_V − θ_i)/(θ_R − θ_i)) of the design over that of the reading.
    Valid for: steady heating; the part that goes downward is taken to follow the room's temperature.
    Raises: NoSolution where the temperatures do not fall from flow to return to room.
    Source: EN 1264-2, logarithmic mean.
    """
    if isinstance(reading, FlowReading):
        return reading.measured_l_min / _LITRES * (circuit.mass_flow / (circuit.flow_l_min / _LITRES))
    room = circuit.indoor_c if reading.room_c is None else reading.room_c
    if not reading.flow_c > reading.return_c > room:
        raise NoSolution(
            f"circuit {circuit.number}: flow {reading.flow_c:g} °C, return {reading.return_c:g} °C, room {room:g} °C "
            "do not fall one after the other: no flow can be told from them"
        )
    designed = math.log((circuit.flow_c - circuit.indoor_c) / (circuit.return_c - circuit.indoor_c))
    return circuit.mass_flow * designed / math.log((reading.flow_c - room) / (reading.return_c - room))


def _advice(
    site: SiteDesign,
    manifold: SiteManifold,
    own: tuple[SiteCircuit, ...],
    records: Iterable[SiteRecord],
    readings: list[dict[str, Reading]],
    flows: list[dict[str, float]],
) -> Advice:
    hydraulics = site.settings.hydraulics
    table = ValveTable(turns=hydraulics.valve_turns, kvs=hydraulics.valve_turns_kv)
    laid = {record.circuit: record.length_m for record in records if isinstance(record, AsLaid)}
    branches = {c.number: _branch(c, laid.get(c.number, c.length_m), site) for c in own}
    rounds = [
        Round(flows=flow, kvs={c.number: _kv(c, reading[c.number], table) for c in own})
        for flow, reading in zip(flows, readings, strict=True)
    ]
    duty_flow = sum(c.flow_l_min for c in own) / _LITRES
    return valve_advice(
        branches,
        table,
        Entry(pressure_pa=manifold.entry_pa, mass_flow=sum(c.mass_flow for c in own)),
        pump_of(hydraulics, manifold.pump_pa, duty_flow),
        rounds,
        _error(readings),
    )


def _branch(circuit: SiteCircuit, length_m: float, site: SiteDesign) -> Branch:
    pipe = circuit_pipe((circuit.flow_c + circuit.return_c) / 2, length_m, circuit.arcs, site.settings)
    return Branch(
        pipe=pipe, kvs=(circuit.valve_kv, *fixed_kvs(site.settings.hydraulics)), design_flow=circuit.mass_flow
    )


def _kv(circuit: SiteCircuit, reading: Reading, table: ValveTable) -> float:
    """Kv of the valve as it stood; without a word, as the design sets it."""
    if reading.turns is not None:
        return kv_of_turns(table, reading.turns)
    turns = circuit.valve_turns
    return kv_of_turns(table, turns if turns is not None else turns_of_kv(table, circuit.valve_kv))


def _error(readings: list[dict[str, Reading]]) -> float:
    """Standard deviation of a flow as read, as a share."""
    spreads = [r.flow_c - r.return_c for each in readings for r in each.values() if isinstance(r, TemperatureReading)]
    return max(METER_ERROR, READING_K / min(spreads)) if spreads else METER_ERROR
