"""Rules for pipes and water: as laid, leak test, frost, pressure while screeding, flows and temperatures."""

from __future__ import annotations

from collections.abc import Iterator

from ufh_core.basis.message import Message, note
from ufh_core.network.rebalancing import BALANCED
from ufh_core.records.kinds import (
    AsLaid,
    FlowReading,
    FrostMeasure,
    LeakTest,
    PressureKept,
    TemperatureReading,
)
from ufh_core.records.verdicts import OWN, PRACTICE, Check, OnFile, judged, missing

MEMORY = note("common practice, from memory")
TEST_BAR = {"water": (4.0, 6.0), "air": (2.0, 3.0)}
"""Least and greatest test pressure [bar]. Source: EN 1264-4:2021, 4.2.3, in a public excerpt."""
TEST_SOURCE = note("EN 1264-4:2021, 4.2.3")
LEAST_HOURS = 1.0
"""Least time under test pressure [h]. Source: common practice; the excerpt of the standard names none."""
MOST_CHANGE_BAR = 0.2
"""Most that the pressure may change [bar]. Source: common practice, from memory; a rise can hide a leak."""
FROST_C = 5.0
"""Below this in the building, filled pipes want a measure against frost [°C]. Source: common practice."""
KEPT_BAR = (2.5, 6.0)
"""Pressure while the screed is laid [bar]: about 3 by common practice, never over the test's; the band is our own."""
LENGTH_SHARE = 0.05
"""Most by which a circuit's length may miss the drawing, as a share. Own rule: beyond it, its flow does so too."""
GREATEST_C = 55.0
"""Warmest water that a screed takes in the plane of the pipes [°C]. Source: DIN 18560-2."""
_HAIR = 1e-9


def laid_checks(record: AsLaid, on_file: OnFile) -> Iterator[Check]:
    """The length against the drawing; a change is repeated, so that it gets into the plan."""
    drawn = on_file.site.circuit(record.circuit).length_m
    fine = abs(record.length_m - drawn) <= LENGTH_SHARE * drawn
    words = note("{laid:.1f} m by the metre marks, {drawn:.1f} m drawn")
    if not fine:
        words = note(
            "{laid:.1f} m by the metre marks, {drawn:.1f} m drawn: design it anew with this length, flow and valve do "
            "not fit it"
        )
    yield judged(fine, Message(words, laid=record.length_m, drawn=drawn), OWN)
    if record.change:
        words = note("not as drawn, to be put into the plan: {change}")
        yield judged(True, Message(words, change=record.change), PRACTICE)


def leak_checks(record: LeakTest, _on_file: OnFile) -> Iterator[Check]:
    """Pressure, time, tightness, and what must not stand under the test pressure."""
    low, high = TEST_BAR[record.medium]
    both = (record.start_bar, record.end_bar)
    yield judged(
        all(low - _HAIR <= bar <= high + _HAIR for bar in both),
        Message(
            "{start:g} bar at the start, {end:g} bar at the end; with {medium} {low:g} to {high:g} bar",
            start=record.start_bar,
            end=record.end_bar,
            medium=Message(record.medium),
            low=low,
            high=high,
        ),
        TEST_SOURCE,
    )
    change = record.end_bar - record.start_bar
    tight = abs(change) <= MOST_CHANGE_BAR + _HAIR
    yield judged(tight, Message(_change_words(tight, change), change=change, most=MOST_CHANGE_BAR), MEMORY)
    words = Message("{hours:g} h under pressure, at least {least:g} h", hours=record.hours, least=LEAST_HOURS)
    yield judged(record.hours >= LEAST_HOURS, words, PRACTICE)
    dry, wet = note("every connection looked at and dry"), note("not every connection was found dry")
    yield judged(record.joints_dry, dry if record.joints_dry else wet, PRACTICE)
    off, on = note("mixing station shut off"), note("mixing station under test pressure: have it looked at")
    yield judged(record.station_isolated, off if record.station_isolated else on, PRACTICE)


def _change_words(tight: bool, change: float) -> str:
    if tight:
        return note("the pressure changed by {change:+.2f} bar, at most {most:g}")
    if change < 0:
        return note(
            "the pressure changed by {change:+.2f} bar, at most {most:g}: look for the leak, and test again at an even "
            "temperature"
        )
    return note(
        "the pressure changed by {change:+.2f} bar, at most {most:g}: warmer pipes can hide a leak, and test again at "
        "an even temperature"
    )


def in_danger_of_frost(test: LeakTest) -> bool:
    """Whether water stands in the pipes of a cold building."""
    return test.medium == "water" and test.ambient_c < FROST_C


def frost_checks(record: FrostMeasure, _on_file: OnFile) -> Iterator[Check]:
    """Whether the measure is enough for the cold that is expected."""
    if record.measure == "antifreeze":
        if record.protects_to_c is None:
            yield missing(note("how far the antifreeze protects is not measured (--protects-to-c)"), PRACTICE)
            return
        fine = record.protects_to_c <= record.coldest_c
        words = Message(
            "antifreeze down to {down:g} °C, {cold:g} °C expected; flush it out before heating unless it stays in",
            down=record.protects_to_c,
            cold=record.coldest_c,
        )
        yield judged(fine, words, PRACTICE)
    elif record.measure == "heating":
        if record.heated_to_c is None:
            yield missing(note("how warm the heating keeps the building is not measured (--heated-to-c)"), PRACTICE)
            return
        fine = record.heated_to_c >= FROST_C
        words = Message("building kept at {kept:g} °C, at least {least:g} °C", kept=record.heated_to_c, least=FROST_C)
        yield judged(fine, words, PRACTICE)
    else:
        yield judged(True, note("pipes drained and blown out; test again before the screed"), PRACTICE)


def kept_checks(record: PressureKept, _on_file: OnFile) -> Iterator[Check]:
    """Pressure before and after."""
    low, high = KEPT_BAR
    before, after = record.before_bar, record.after_bar
    words = note("{bar:g} bar before the screed, about 3 bar ({low:g} to {high:g})")
    yield judged(low <= before <= high, Message(words, bar=before, low=low, high=high), PRACTICE)
    words = note("{bar:g} bar after the screed, about 3 bar ({low:g} to {high:g})")
    if after < low:
        words = note(
            "{bar:g} bar after the screed, about 3 bar ({low:g} to {high:g}): find the damaged pipe before the screed "
            "sets"
        )
    yield judged(low <= after <= high, Message(words, bar=after, low=low, high=high), PRACTICE)


def flow_checks(record: FlowReading, on_file: OnFile) -> Iterator[Check]:
    """Measured flow against the design."""
    wanted = on_file.site.circuit(record.circuit).flow_l_min
    if wanted <= 0:
        fine = record.measured_l_min <= 0
        words = Message("{read:g} l/min measured, the design leaves it shut", read=record.measured_l_min)
        yield judged(fine, words, OWN)
        return
    off = record.measured_l_min / wanted - 1
    values = {"read": record.measured_l_min, "wanted": wanted, "off": off, "most": BALANCED}
    fine = abs(off) <= BALANCED + _HAIR
    near = note("{read:.2f} l/min measured, {wanted:.2f} designed: {off:+.0%}")
    far = note("{read:.2f} l/min measured, {wanted:.2f} designed: {off:+.0%}, more than {most:.0%}")
    yield judged(fine, Message(near if fine else far, **values), OWN)


def temperature_checks(record: TemperatureReading, _on_file: OnFile) -> Iterator[Check]:
    """Warm enough to say something, cool enough for the screed."""
    words = Message("flow at {flow:g} °C, at most {most:g} °C in screed", flow=record.flow_c, most=GREATEST_C)
    yield judged(record.flow_c <= GREATEST_C, words, note("DIN 18560-2"))
    fine = record.return_c < record.flow_c
    cooler = Message("return {spread:.1f} K cooler than the flow", spread=record.flow_c - record.return_c)
    swapped = note("the return is not cooler than the flow: no heat, or swapped pipes")
    yield judged(fine, cooler if fine else swapped, PRACTICE)
