"""The first heating that a design asks for, and the day on which its screed is laid."""

from __future__ import annotations

from datetime import date, timedelta

from ufh_core.basis.errors import NoSolution
from ufh_core.design_result import Design
from ufh_core.section.calendar import ScreedDay, screed_calendar
from ufh_core.section.first_heating import HeatingProgramme, heating_programme

RISE_K_PER_DAY = 10.0  # common practice, 5 to 10 K a day


def first_heating(design: Design) -> HeatingProgramme | None:
    """The programme up to the warmest manifold; None where no water runs or the screed bears no such water."""
    flows = [manifold.flow_c for storey in design.storeys for manifold in storey.manifolds]
    if not flows:
        return None
    try:
        return heating_programme(
            design.settings.floor.screed, max(flows), rise_k_per_day=RISE_K_PER_DAY, fall_k_per_day=RISE_K_PER_DAY
        )
    except NoSolution:
        return None


def pouring_day(design: Design) -> date | None:
    """The day on which the last of the screed is laid, where the settings say when the first is.

    One programme heats all fields, so it waits for the youngest. Days off between two days of pouring are not known.
    """
    told = design.settings.floor.poured_on
    last = max((day.day for day in design.pour_days), default=1)
    return date.fromisoformat(told) + timedelta(days=last - 1) if told else None


def calendar_of(design: Design) -> tuple[ScreedDay, ...]:
    """The calendar of a design's screed; nothing without a first heating."""
    programme = first_heating(design)
    return () if programme is None else screed_calendar(programme, pouring_day(design))
