"""What the network's flows mean for the choice of valves and pump, in words."""

from __future__ import annotations

from collections.abc import Mapping

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, note
from ufh_core.network.types import NetworkCase, NetworkTable

MOST_RISE = 0.15
LEAST_SHARE = 0.90
"""Own rules: how much more, or less, than the design flow is worth a word."""
_SOURCE = "own network solution; own rule of what is much"


def network_findings(manifold: str, table: NetworkTable) -> tuple[Finding, ...]:
    """One remark on shut circuits, and one more where the pump as set carries too little or too much with all open."""
    found = []
    if table.flow_share < LEAST_SHARE:
        text = Message(
            "manifold {manifold} gets only {flow_share:.0%} of its flow with all circuits open, "
            "where the pump gives {pressure:.1f} kPa: set it higher or take a stronger one",
            manifold=manifold,
            flow_share=table.flow_share,
            pressure=table.pressure_pa / 1000,
        )
        found.append(_finding("network.weak-pump", Severity.WARNING, text))
    elif table.flow_share > 1 + MOST_RISE:
        text = Message(
            "manifold {manifold} gets {flow_share:.0%} of its flow with all circuits open, where the "
            "pump gives {pressure:.1f} kPa: set it lower, or throttle its entry",
            manifold=manifold,
            flow_share=table.flow_share,
            pressure=table.pressure_pa / 1000,
        )
        found.append(_finding("network.strong-pump", Severity.WARNING, text))
    if shut := [case for case in table.cases if case.shut]:
        found.append(_shut_remark(manifold, table, shut))
    return tuple(found)


def _shut_remark(manifold: str, table: NetworkTable, shut: list[NetworkCase]) -> Finding:
    """Which kind of valve the flows speak for: how much more an open circuit gets than with all open."""
    all_open = next(case for case in table.cases if not case.shut)
    rises = [(_rise(all_open.balancing, case.balancing), k) for k, case in enumerate(shut)]
    rise, k = max(rises)
    held = _rise(all_open.self_limiting, shut[k].self_limiting)
    more_kpa = (table.self_limiting_duty_pa - table.duty_pa) / 1000
    advice = Message("balancing valves will do")
    if rise > MOST_RISE:
        advice = Message("self-limiting valves keep rooms from flows that were not meant for them")
    text = Message(
        "manifold {manifold}, pump {run}, {case}: against all open, an open circuit gets up to "
        "{rise:.0%} more through balancing valves, {held:.0%} through self-limiting ones, whose "
        "duty is {more:.1f} kPa {way}: {advice}",
        manifold=manifold,
        run=Message(_KINDS[table.pump]),
        case=shut[k].name,
        rise=rise,
        held=held,
        more=abs(more_kpa),
        way=Message("greater") if more_kpa >= 0 else Message("less"),
        advice=advice,
    )
    return _finding("network.shut-circuits", Severity.NOTE, text)


def _rise(all_open: Mapping[str, float], some_shut: Mapping[str, float]) -> float:
    """Greatest rise of a circuit's flow over that with all open, as a share."""
    return max(share / all_open[number] - 1 for number, share in some_shut.items())


_KINDS = {
    "constant pressure": note("at constant pressure"),
    "proportional pressure": note("at proportional pressure"),
    "curve": note("on its curve"),
}


def _finding(code: str, severity: Severity, message: Message) -> Finding:
    return Finding(code=code, severity=severity, message=message, source=_SOURCE)
