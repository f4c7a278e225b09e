"""A section through the heated floor at right angles to the pipes: conduction in two dimensions, steady and over time.

`section_of` makes the section of a designed floor, `steady` answers for it as it stays, `step_response` after a
change of its water, `lead_before_occupation` for a set-back, `heating_programme` and `screed_during` for the first
heating of the screed. It is the check on EN 1264-2's figures and takes what they do not know: what lies below, a pipe
that lies on its insulation, laminar water.
"""

from ufh_core.section.first_heating import HeatingProgramme, ScreedDuring, heating_programme, screed_during
from ufh_core.section.from_floor import section_of, section_of_floor_section
from ufh_core.section.response import (
    STANDING,
    Response,
    WaterAt,
    WaterFlowing,
    WaterHeated,
    step_response,
)
from ufh_core.section.set_back import ROOM_HEAT_CAPACITY, RoomStore, SetBack, lead_before_occupation
from ufh_core.section.steady import Around, steady
from ufh_core.section.types import TURBULENT, Layer, PipeInSection, Section, SteadyResult

__all__ = [
    "ROOM_HEAT_CAPACITY",
    "STANDING",
    "TURBULENT",
    "Around",
    "HeatingProgramme",
    "Layer",
    "PipeInSection",
    "Response",
    "RoomStore",
    "ScreedDuring",
    "Section",
    "SetBack",
    "SteadyResult",
    "WaterAt",
    "WaterFlowing",
    "WaterHeated",
    "heating_programme",
    "lead_before_occupation",
    "screed_during",
    "section_of",
    "section_of_floor_section",
    "steady",
    "step_response",
]
