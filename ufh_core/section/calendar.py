"""From the day the screed is laid to the day its finish may follow: what is due when, by days and by dates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from ufh_core.section.first_heating import DAY_S, HeatingProgramme

WALKED_ON_DAYS = {"cement": 3.0, "calcium sulphate": 2.0, "flowing calcium sulphate": 2.0}
"""Days after which a screed bears careful feet. Source: common practice; the maker's data sheet rules."""

MOISTURE_CM = {"cement": 1.8, "calcium sulphate": 0.5, "flowing calcium sulphate": 0.5}
"""Most residual moisture of a heated screed before its covering, carbide method [% by mass].

Source: EN 1264-4:2021, 4.2.5, table 2. Finishes have figures of their own: 0.3 % on calcium sulphate is common.
"""

_PRACTICE, _STANDARD, _MOISTURE = "common practice", "EN 1264-4, from memory", "EN 1264-4:2021, table 2"


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
    yield 0.0, "screed laid; pipes stay under test pressure of about 3 bar until it has set", _PRACTICE
    yield WALKED_ON_DAYS[screed], "may be walked on with care; still no load, no draught, no sun on it", _PRACTICE
    first = next(flow for time, flow in reversed(programme.points) if time <= 0)
    yield begin, f"first heating may begin: flow {first:.0f} °C; write down date and temperature every day", _STANDARD
    for (time, flow), (after, next_flow) in pairwise(programme.points):
        if time > 0 and next_flow > flow:
            yield begin + time / DAY_S, f"flow up to {next_flow:.1f} °C{_slowly(time, after)}", _STANDARD
        if time > 0 and next_flow < flow:
            yield begin + time / DAY_S, f"flow down to {next_flow:.0f} °C{_slowly(time, after)}", _STANDARD
        if time > 0 and next_flow == flow and after > time:
            yield begin + time / DAY_S, f"flow held at {flow:.1f} °C for {(after - time) / DAY_S:.0f} days", _STANDARD
    most = MOISTURE_CM[screed]
    end = begin + programme.days
    test = f"moisture test at marked places, at most {most:g} % by the carbide method; heat on until it is dry enough"
    yield end, test, _MOISTURE
    yield end, "finish may follow a passed moisture test, within its maker's limits", _PRACTICE


def _slowly(time: float, after: float) -> str:
    days = (after - time) / DAY_S
    return f", over {days:.1f} days" if days > 0 else ", at once"
