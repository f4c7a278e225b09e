"""The hold points by name, as people read them."""

from __future__ import annotations

from ufh_core.basis.message import note
from ufh_core.records.kinds import Step
from ufh_core.words import say

TITLES = {
    Step.LAID: note("Circuits as laid"),
    Step.LEAK: note("Leak test"),
    Step.FROST: note("Frost"),
    Step.KEPT: note("Pressure kept while the screed is laid"),
    Step.POUR: note("Screed"),
    Step.HEATING: note("First heating"),
    Step.MOISTURE: note("Moisture before the finish"),
    Step.FLOWS: note("Balancing sheet"),
    Step.TEMPERATURES: note("Flow and return temperatures"),
    Step.SIGNED: note("Handover"),
}


def title_of(step: str) -> str:
    """The title of a hold point."""
    return say(TITLES[step])
