"""Which valve to turn, as lines for a terminal and as plain values."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ufh_core.network import Advice, ValveTurn
from ufh_core.records.balance_sheet import BalanceSheet

TURNED = 0.5 / 144
_HEAD = f"  {'circuit':<9} {'design':>7} {'as read':>8} {'really about':>13} {'off':>6}  valve now  turn to  how"


def balance_lines(sheet: BalanceSheet) -> Iterator[str]:
    """A row a circuit, and what the pump can do. Flows [l/min]."""
    advice = sheet.advice
    yield f"{sheet.manifold.name}, round {sheet.round}, by {sheet.by}" if sheet.round else f"{sheet.manifold.name}"
    if advice is None:
        yield f"  nothing to say yet: {sheet.lack}"
        return
    yield _HEAD
    turns = {turn.circuit: turn for turn in advice.turns}
    for circuit in sheet.circuits:
        turn = turns[circuit.number]
        litres = circuit.flow_l_min / circuit.mass_flow
        about = f"{turn.flow * litres:.2f} ±{turn.doubt * turn.flow * litres:.2f}"
        yield (
            f"  {turn.circuit:<9} {circuit.flow_l_min:>7.2f} {sheet.read[turn.circuit] * litres:>8.2f} {about:>13} "
            f"{turn.off:>+6.0%}  {turn.now_turns:>9.2f}  {turn.wanted_turns:>7.2f}  {how(turn, advice)}"
        )
    yield f"  {verdict(sheet)}"


def how(turn: ValveTurn, advice: Advice) -> str:
    """What to do with a valve, in words."""
    change = turn.wanted_turns - turn.now_turns
    if advice.done or abs(change) < TURNED:
        return "leave it"
    words = f"{'open' if change > 0 else 'close'} by {abs(change) * 360:.0f}°"
    return words + (", below the valve's table: go by the meter" if turn.below_table else "")


def verdict(sheet: BalanceSheet) -> str:
    """How far the manifold is, and where it cannot be balanced, what is needed."""
    advice = sheet.advice
    if advice is None:
        return sheet.lack
    if not advice.reachable:
        more = "set it higher or take a stronger one" if sheet.pump_is_set else "take a stronger one"
        return (
            f"cannot be reached: the pump gives about {advice.pump_pa / 1000:.1f} kPa, circuit {advice.neediest} with "
            f"its valve open needs {advice.needed_pa / 1000:.1f} kPa for its flow: {more}; until then the valves above "
            f"give every circuit about {advice.share:.0%} of its flow"
        )
    if advice.done:
        return "done: every circuit is within 5 % of its design flow"
    if advice.likely:
        return (
            "every circuit seems to be within 5 % of its design flow, as far as readings tell; what is left to turn is "
            "little, and one more round makes it sure"
        )
    return "turn the valves, wait until the flows are steady, and record the next round with --turns as set"


def balance_json(sheet: BalanceSheet) -> dict[str, Any]:
    """The same as plain values in SI."""
    advice = sheet.advice
    row: dict[str, Any] = {"manifold": sheet.manifold.name, "by": sheet.by, "round": sheet.round, "lack": sheet.lack}
    if advice is None:
        return row | {"done": False, "valves": []}
    return row | {
        "done": advice.done,
        "likely_done": advice.likely,
        "reachable": advice.reachable,
        "reachable_share": advice.share,
        "pump_pressure_pa": advice.pump_pa,
        "needed_pump_pressure_pa": advice.needed_pa,
        "neediest_circuit": advice.neediest,
        "valves": [
            {
                "circuit": turn.circuit,
                "design_mass_flow_kg_s": turn.design_flow,
                "read_mass_flow_kg_s": sheet.read[turn.circuit],
                "mass_flow_kg_s": turn.flow,
                "doubt_share": turn.doubt,
                "turns_now": turn.now_turns,
                "turns_wanted": turn.wanted_turns,
                "below_table": turn.below_table,
            }
            for turn in advice.turns
        ],
    }
