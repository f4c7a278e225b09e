"""Rules for the screed: its laying, the first heating by days, the residual moisture."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, timedelta

from ufh_core.basis.message import Message, note
from ufh_core.records.kinds import HeatingDay, LeakTest, MoistureTest, ScreedPour
from ufh_core.records.pipe_rules import leak_checks
from ufh_core.records.site_design import SiteField
from ufh_core.records.verdicts import OWN, PRACTICE, Check, OnFile, Outcome, judged, missing, outcome_of
from ufh_core.section.calendar import MOISTURE_CM
from ufh_core.section.first_heating import DAY_S, FIRST_C, HeatingProgramme

LAID = note("EN 1264-4:2021, 4.2.2")
LEAST_C = 5.0
"""Least temperature of room and screed at laying [°C]. Source: EN 1264-4:2021, 4.2.2."""
LEAST_COVER_MM = 30.0
"""Least cover over the pipes [mm]. Source: EN 1264-4:2021, 4.2.2.9.2; special screeds less."""
MOST_THINNER_MM = 5.0
"""How much the thinnest place may be under the designed thickness [mm]. Own rule."""
HEATING = note("EN 1264-4, from memory")
TABLE = note("EN 1264-4:2021, table 2")
FIRST_LOW_C = 20.0
"""Least flow temperature of the first days [°C]. Source: EN 1264-4, from memory: 20 to 25 °C."""
READING_K = 2.0
"""How far a reading on a dial may miss the programme [K]. Own rule."""
_HAIR = 1e-6


def pour_checks(record: ScreedPour, on_file: OnFile) -> Iterator[Check]:
    """Kind, thickness, cold, and whether the pipes below were tested."""
    site, own = on_file.site, on_file.site.field(record.field)
    wanted = site.settings.floor.screed
    words = Message("{screed} screed, designed with {wanted}", screed=Message(record.screed), wanted=Message(wanted))
    yield judged(record.screed == wanted, words, note("the design"))
    yield from _thickness(record, own)
    words = Message("{cold:g} °C at laying, at least {least:g} °C, and kept", cold=record.ambient_c, least=LEAST_C)
    yield judged(record.ambient_c >= LEAST_C, words, LAID)
    for manifold in own.manifolds:
        yield _tested(on_file.find(LeakTest, manifold), manifold, record.on, on_file)


def _thickness(record: ScreedPour, own: SiteField) -> Iterator[Check]:
    designed = own.thickness_m * 1000
    enough = note("{thin:g} mm at the thinnest, {designed:.0f} mm designed")
    less = note("{thin:g} mm at the thinnest, {designed:.0f} mm designed: whoever designed the floor must decide")
    fine = record.thickness_mm >= designed - MOST_THINNER_MM - _HAIR
    yield judged(fine, Message(enough if fine else less, thin=record.thickness_mm, designed=designed), OWN)
    cover = record.thickness_mm - designed + own.cover_m * 1000
    words = Message("{cover:.0f} mm over the pipes, at least {least:g} mm", cover=cover, least=LEAST_COVER_MM)
    yield judged(cover >= LEAST_COVER_MM - _HAIR, words, note("EN 1264-4:2021, 4.2.2.9.2"))


def _tested(test: LeakTest | None, manifold: str, poured: date, on_file: OnFile) -> Check:
    if test is None:
        none = note("no leak test of {manifold} is on file: the screed lies over untested pipe")
        return missing(Message(none, manifold=manifold), PRACTICE)
    if test.on > poured:
        late = note("{manifold} was tested on {day}, after the screed was laid")
        return judged(False, Message(late, manifold=manifold, day=test.on), PRACTICE)
    if outcome_of(check.outcome for check in leak_checks(test, on_file)) is not Outcome.PASS:
        failed = note("the leak test of {manifold} has not passed: the screed lies over untested pipe")
        return judged(False, Message(failed, manifold=manifold), PRACTICE)
    return judged(True, Message("leak test of {manifold} passed before", manifold=manifold), PRACTICE)


def heating_checks(record: HeatingDay, on_file: OnFile) -> Iterator[Check]:
    """The screed's age at the start, the flow temperature of this day, and whether days and dates agree."""
    programme = on_file.site.programme
    if programme is None:
        yield missing(note("the design has no programme for the first heating of this screed"), HEATING)
        return
    start = record.on - timedelta(days=record.day - 1)
    if record.day == 1:
        yield _age(record.manifold, start, programme, on_file)
    first = on_file.find(HeatingDay, record.manifold, 1)
    if first is not None and first.on != start:
        words = Message("day {n} on {on} does not fit day 1 on {first}", n=record.day, on=record.on, first=first.on)
        yield judged(False, words, OWN)
    low, high = allowed_c(programme, record.day)
    fine = low - READING_K <= record.flow_c <= high + READING_K
    span = note("flow {flow:g} °C on day {n}, by the programme {low:.1f} to {high:.1f} °C")
    if high - low < 0.05:
        span = note("flow {flow:g} °C on day {n}, by the programme {low:.1f} °C")
    yield judged(fine, Message(span, flow=record.flow_c, n=record.day, low=low, high=high), HEATING)


def _age(manifold: str, start: date, programme: HeatingProgramme, on_file: OnFile) -> Check:
    """Whether the youngest screed over this manifold's pipes was old enough."""
    own = [f.name for f in on_file.site.fields if manifold in f.manifolds]
    poured = [p.on for name in own if (p := on_file.find(ScreedPour, name)) is not None]
    least = programme.earliest_days
    if poured and (start - max(poured)).days < least:
        age = (start - max(poured)).days
        words = Message("begun {age} days after the screed, not before {least:g} days", age=age, least=least)
        return judged(False, words, HEATING)
    if len(poured) < len(own):
        lack = note("the screed of {lack} of {all} fields is not on file: its age")
        return missing(Message(lack, lack=len(own) - len(poured), all=len(own)), HEATING)
    if not own:
        return missing(note("no pour field belongs to this manifold"), HEATING)
    old = note("begun {age} days after the last screed, at least {least:g}")
    return judged(True, Message(old, age=(start - max(poured)).days, least=least), HEATING)


def allowed_c(programme: HeatingProgramme, day: int) -> tuple[float, float]:
    """Least and greatest flow temperature [°C] of the programme within a day, 1 the first.

    >>> from ufh_core.section.first_heating import heating_programme
    >>> curve = heating_programme("cement", 40.0)
    >>> [allowed_c(curve, day) for day in (1, 3, 4, 7)]
    [(20.0, 25.0), (20.0, 25.0), (40.0, 40.0), (40.0, 40.0)]
    """
    begin, end = (day - 1) * DAY_S, day * DAY_S
    inside = [flow for time, flow in programme.points if begin < time < end]
    flows = [programme.flow_c(begin), programme.flow_c(end - _HAIR), *inside]
    low, high = min(flows), max(flows)
    return (min(low, FIRST_LOW_C) if high <= FIRST_C else low), high


def days_of(programme: HeatingProgramme) -> int:
    """How many days the programme touches."""
    return math.ceil(programme.days - _HAIR)


def moisture_checks(record: MoistureTest, on_file: OnFile) -> Iterator[Check]:
    """Dry enough for a finish, and measured after the first heating."""
    screed = on_file.site.settings.floor.screed
    poured = on_file.find(ScreedPour, record.field)
    most = MOISTURE_CM[poured.screed if poured else screed]
    if record.method != "carbide":
        yield missing(Message("the limit of {most:g} % is by the carbide method: measure so", most=most), TABLE)
    else:
        words = note("{percent:g} % residual moisture, at most {most:g} %; the finish may want less")
        yield judged(record.percent <= most, Message(words, percent=record.percent, most=most), TABLE)
    programme = on_file.site.programme
    for manifold in on_file.site.field(record.field).manifolds:
        days = [day for day in on_file.of(HeatingDay) if day.manifold == manifold]
        if programme is None or len(days) < days_of(programme):
            words = note("the first heating of {manifold} is not wholly on file")
            yield missing(Message(words, manifold=manifold), PRACTICE)
        elif record.on < max(day.on for day in days):
            words = note("measured on {on}, before the first heating of {manifold} ended")
            yield judged(False, Message(words, on=record.on, manifold=manifold), PRACTICE)
