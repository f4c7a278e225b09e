"""The calendar of a screed: figures of the trade by days, and dates that follow from the day of laying."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest

from ufh_core.section.calendar import MOISTURE_CM, WALKED_ON_DAYS, screed_calendar
from ufh_core.section.first_heating import heating_programme
from ufh_core.settings.floor_types import SCREEDS


def test_a_cement_screed_by_hand() -> None:
    """EN 1264-4, from memory: 21 days, 3 days at 25 °C, 4 days at the greatest; 10 K a day up and down between."""
    days = screed_calendar(
        heating_programme("cement", 40.0, rise_k_per_day=10.0, fall_k_per_day=10.0), date(2031, 5, 6)
    )
    told = [(round(d.day, 2), d.on, d.what.split(":")[0].split(",")[0]) for d in days]
    assert told == [
        (0.0, date(2031, 5, 6), "screed laid; pipes stay under test pressure of about 3 bar until it has set"),
        (3.0, date(2031, 5, 9), "may be walked on with care; still no load"),
        (21.0, date(2031, 5, 27), "first heating may begin"),
        (24.0, date(2031, 5, 30), "flow up to 40.0 °C"),
        (25.5, date(2031, 6, 1), "flow held at 40.0 °C for 4 days"),
        (29.5, date(2031, 6, 5), "flow down to 20 °C"),
        (31.5, date(2031, 6, 7), "moisture test at marked places"),
        (31.5, date(2031, 6, 7), "finish may follow a passed moisture test"),
    ]
    assert "at most 1.8 %" in days[-2].what


@pytest.mark.parametrize("screed", SCREEDS)
def test_every_screed_has_its_calendar_in_order(screed: str) -> None:
    days = screed_calendar(heating_programme(screed, 38.0))
    assert all(a.day <= b.day for a, b in pairwise(days))
    assert all(d.on is None and d.source for d in days)
    begin = next(d for d in days if d.what.startswith("first heating"))
    assert begin.day == (21.0 if screed == "cement" else 7.0)
    assert set(MOISTURE_CM) == set(WALKED_ON_DAYS) == set(SCREEDS)


def test_dates_never_come_before_their_day() -> None:
    """A step in the course of a day is due by the next date: nothing starts early."""
    poured = date(2032, 2, 27)
    for day in screed_calendar(heating_programme("cement", 45.0, rise_k_per_day=7.0), poured):
        assert day.on is not None
        assert 0 <= (day.on - poured).days - day.day < 1
