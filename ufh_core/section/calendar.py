"""From the day the screed is laid to the day its finish may follow: what is due when, by days and by dates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from ufh_core.basis.message import Message, note
from ufh_core.section.first_heating import DAY_S, HeatingProgramme

WALKED_ON_DAYS = {"cement": 3.0, "calcium sulphate": 2.0, "flowing calcium sulphate": 2.0}
"""Days after which a screed bears careful feet. Source: common practice; the maker's data sheet rules."""

MOISTURE_CM = {"cement": 1.8, "calcium sulphate": 0.5, "flowing calcium sulphate": 0.5}
"""Most residual moisture of a heated screed before its covering, carbide method [% by mass].

Source: EN 1264-4:2021, 4.2.5, table 2. Finishes have figures of their own: 0.3 % on calcium sulphate is common.
"""

_PRACTICE, _STANDARD, _MOISTURE = (
    note("common practice"),
    note("EN 1264-4, from memory"),
    note("EN 1264-4:2021, table 2"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ScreedDay:
    """What is due so many days after the screed was laid; `on` is its date where that day is known."""

    day: float
    what: str
    source: str
    on: date | None = None


def screed_calendar(programme: HeatingProgramme, poured_on: date | None = None) -> tuple[ScreedDay, ...]:
    """Every day on which something is due, in order. Dates are the earliest; each waits for the one before it."""
    rows = sorted(_rows(programme), key=lambda row: row[0])
    return tuple(
        ScreedDay(
            day=day,
            what=what,
            source=source,
            on=None if poured_on is None else poured_on + timedelta(days=-(-day // 1)),
        )
        for day, what, source in rows
    )


def _rows(programme: HeatingProgramme) -> Iterator[tuple[float, str, str]]:
    """(days after laying, what, source)."""
    screed, begin = programme.screed, programme.earliest_days
    yield 0.0, note("screed laid; pipes stay under test pressure of about 3 bar until it has set"), _PRACTICE
    careful = note("may be walked on with care; still no load, no draught, no sun on it")
    yield WALKED_ON_DAYS[screed], careful, _PRACTICE
    first = next(flow for time, flow in reversed(programme.points) if time <= 0)
    words = note("first heating may begin: flow {flow:.0f} °C; write down date and temperature every day")
    yield begin, Message(words, flow=first), _STANDARD
    for (time, flow), (after, next_flow) in pairwise(programme.points):
        if time > 0:
            texts = _change(flow, next_flow, (after - time) / DAY_S)
            yield from ((begin + time / DAY_S, text, _STANDARD) for text in texts)
    most = MOISTURE_CM[screed]
    end = begin + programme.days
    test = note(
        "moisture test at marked places, at most {most:g} % by the carbide method; heat on until it is dry enough"
    )
    yield end, Message(test, most=most), _MOISTURE
    yield end, note("finish may follow a passed moisture test, within its maker's limits"), _PRACTICE


def _change(flow: float, next_flow: float, days: float) -> Iterator[str]:
    """What happens between two points of the programme [°C], [days]."""
    if next_flow == flow:
        if days > 0:
            yield Message("flow held at {flow:.1f} °C for {days:.0f} days", flow=flow, days=days)
    elif next_flow > flow and days > 0:
        yield Message("flow up to {flow:.1f} °C, over {days:.1f} days", flow=next_flow, days=days)
    elif next_flow > flow:
        yield Message("flow up to {flow:.1f} °C, at once", flow=next_flow)
    elif days > 0:
        yield Message("flow down to {flow:.0f} °C, over {days:.1f} days", flow=next_flow, days=days)
    else:
        yield Message("flow down to {flow:.0f} °C, at once", flow=next_flow)
