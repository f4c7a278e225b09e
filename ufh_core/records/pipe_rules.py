"""Rules for pipes and water: as laid, leak test, frost, pressure while screeding, flows and temperatures."""

from __future__ import annotations

from collections.abc import Iterator

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

MEMORY = "common practice, from memory"
TEST_BAR = {"water": (4.0, 6.0), "air": (2.0, 3.0)}
"""Least and greatest test pressure [bar]. Source: EN 1264-4:2021, 4.2.3, in a public excerpt."""
TEST_SOURCE = "EN 1264-4:2021, 4.2.3"
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
    words = f"{record.length_m:.1f} m by the metre marks, {drawn:.1f} m drawn"
    fine = abs(record.length_m - drawn) <= LENGTH_SHARE * drawn
    if not fine:
        words += ": design it anew with this length, flow and valve do not fit it"
    yield judged(fine, words, OWN)
    if record.change:
        yield judged(True, f"not as drawn, to be put into the plan: {record.change}", PRACTICE)


def leak_checks(record: LeakTest, _on_file: OnFile) -> Iterator[Check]:
    """Pressure, time, tightness, and what must not stand under the test pressure."""
    low, high = TEST_BAR[record.medium]
    both = (record.start_bar, record.end_bar)
    yield judged(
        all(low - _HAIR <= bar <= high + _HAIR for bar in both),
        f"{record.start_bar:g} bar at the start, {record.end_bar:g} bar at the end; "
        f"with {record.medium} {low:g} to {high:g} bar",
        TEST_SOURCE,
    )
    change = record.end_bar - record.start_bar
    words = f"the pressure changed by {change:+.2f} bar, at most {MOST_CHANGE_BAR:g}"
    tight = abs(change) <= MOST_CHANGE_BAR + _HAIR
    if not tight:
        words += ": look for the leak" if change < 0 else ": warmer pipes can hide a leak"
        words += ", and test again at an even temperature"
    yield judged(tight, words, MEMORY)
    yield judged(
        record.hours >= LEAST_HOURS, f"{record.hours:g} h under pressure, at least {LEAST_HOURS:g} h", PRACTICE
    )
    yield judged(
        record.joints_dry,
        "every connection looked at and dry" if record.joints_dry else "not every connection was found dry",
        PRACTICE,
    )
    yield judged(
        record.station_isolated,
        "mixing station shut off"
        if record.station_isolated
        else "mixing station under test pressure: have it looked at",
        PRACTICE,
    )


def in_danger_of_frost(test: LeakTest) -> bool:
    """Whether water stands in the pipes of a cold building."""
    return test.medium == "water" and test.ambient_c < FROST_C


def frost_checks(record: FrostMeasure, _on_file: OnFile) -> Iterator[Check]:
    """Whether the measure is enough for the cold that is expected."""
    if record.measure == "antifreeze":
        if record.protects_to_c is None:
            yield missing("how far the antifreeze protects is not measured (--protects-to-c)", PRACTICE)
            return
        fine = record.protects_to_c <= record.coldest_c
        words = f"antifreeze down to {record.protects_to_c:g} °C, {record.coldest_c:g} °C expected"
        yield judged(fine, words + "; flush it out before heating unless it stays in", PRACTICE)
    elif record.measure == "heating":
        if record.heated_to_c is None:
            yield missing("how warm the heating keeps the building is not measured (--heated-to-c)", PRACTICE)
            return
        fine = record.heated_to_c >= FROST_C
        yield judged(fine, f"building kept at {record.heated_to_c:g} °C, at least {FROST_C:g} °C", PRACTICE)
    else:
        yield judged(True, "pipes drained and blown out; test again before the screed", PRACTICE)


def kept_checks(record: PressureKept, _on_file: OnFile) -> Iterator[Check]:
    """Pressure before and after."""
    low, high = KEPT_BAR
    for when, bar in (("before", record.before_bar), ("after", record.after_bar)):
        words = f"{bar:g} bar {when} the screed, about 3 bar ({low:g} to {high:g})"
        if bar < low and when == "after":
            words += ": find the damaged pipe before the screed sets"
        yield judged(low <= bar <= high, words, PRACTICE)


def flow_checks(record: FlowReading, on_file: OnFile) -> Iterator[Check]:
    """Measured flow against the design."""
    wanted = on_file.site.circuit(record.circuit).flow_l_min
    if wanted <= 0:
        fine = record.measured_l_min <= 0
        yield judged(fine, f"{record.measured_l_min:g} l/min measured, the design leaves it shut", OWN)
        return
    off = record.measured_l_min / wanted - 1
    words = f"{record.measured_l_min:.2f} l/min measured, {wanted:.2f} designed: {off:+.0%}"
    fine = abs(off) <= BALANCED + _HAIR
    yield judged(fine, words if fine else f"{words}, more than {BALANCED:.0%}", OWN)


def temperature_checks(record: TemperatureReading, _on_file: OnFile) -> Iterator[Check]:
    """Warm enough to say something, cool enough for the screed."""
    yield judged(
        record.flow_c <= GREATEST_C, f"flow at {record.flow_c:g} °C, at most {GREATEST_C:g} °C in screed", "DIN 18560-2"
    )
    fine = record.return_c < record.flow_c
    words = f"return {record.flow_c - record.return_c:.1f} K cooler than the flow"
    yield judged(fine, words if fine else "the return is not cooler than the flow: no heat, or swapped pipes", PRACTICE)
