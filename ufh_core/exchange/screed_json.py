"""Rows of design.json for the screed: its calendar, and the flow temperature by day of the first heating."""

from __future__ import annotations

from typing import Any

from ufh_core.design_result import Design
from ufh_core.section.calendar import ScreedDay
from ufh_core.section.first_heating import DAY_S
from ufh_core.storeys.screed_days import calendar_of, first_heating


def screed_rows(design: Design) -> dict[str, Any]:
    """Both; `first_heating` is null without a programme, and two of its points on one day are a jump."""
    programme = first_heating(design)
    heating = None
    if programme is not None:
        points = [{"day": time / DAY_S, "flow_c": flow} for time, flow in programme.points]
        heating = {"screed": programme.screed, "earliest_days": programme.earliest_days, "points": points}
    return {"screed_calendar": [_screed_day(day) for day in calendar_of(design)], "first_heating": heating}


def _screed_day(day: ScreedDay) -> dict[str, Any]:
    """One day of the screed's calendar."""
    return {
        "day": day.day,
        "date": None if day.on is None else day.on.isoformat(),
        "what": day.what,
        "source": day.source,
    }
