"""What each hold point asks for, in words, with the figures that the checks use and their sources."""

from __future__ import annotations

from ufh_core.network.rebalancing import BALANCED
from ufh_core.records.kinds import Step
from ufh_core.records.pipe_rules import (
    FROST_C,
    GREATEST_C,
    KEPT_BAR,
    LEAST_HOURS,
    LENGTH_SHARE,
    MOST_CHANGE_BAR,
    TEST_BAR,
    TEST_SOURCE,
)
from ufh_core.records.screed_rules import LAID, LEAST_C, LEAST_COVER_MM, MOST_THINNER_MM, READING_K
from ufh_core.section.calendar import MOISTURE_CM


def _bars(low_high: tuple[float, float]) -> str:
    return f"{low_high[0]:g} to {low_high[1]:g} bar"


RULES = {
    Step.LAID: (
        "Each circuit as it lies, by the metre marks printed on the pipe at both ports: within "
        f"{LENGTH_SHARE:.0%} of the drawing (own rule). Draw in red what lies otherwise."
    ),
    Step.LEAK: (
        "Shut off the mixing station and whatever does not stand the pressure. "
        f"Water {_bars(TEST_BAR['water'])} or air {_bars(TEST_BAR['air'])} ({TEST_SOURCE}), "
        f"for at least {LEAST_HOURS:g} h (common practice), changing by at most {MOST_CHANGE_BAR:g} bar "
        "(common practice, from memory), and every connection looked at and dry."
    ),
    Step.FROST: (
        f"Where the building can get colder than {FROST_C:g} °C while pipes are filled: antifreeze, heating, "
        "or drained pipes (common practice)."
    ),
    Step.KEPT: (
        f"About 3 bar before the screed comes and when it lies (common practice; {_bars(KEPT_BAR)} passes). "
        "Where the pressure falls, find the pipe before the screed sets."
    ),
    Step.POUR: (
        f"Only over tested pipes. Room and screed at {LEAST_C:g} °C at least, and kept so ({LAID}); "
        f"at least {LEAST_COVER_MM:g} mm over the pipes (EN 1264-4:2021, 4.2.2.9.2); the thinnest place not more "
        f"than {MOST_THINNER_MM:g} mm under the design (own rule)."
    ),
    Step.HEATING: (
        "Not before the screed's age in the calendar. Read the flow temperature every day; it may miss the programme "
        f"by {READING_K:g} K (own rule). The screed maker's programme comes first."
    ),
    Step.MOISTURE: (
        f"By the carbide method, after the first heating: at most {MOISTURE_CM['cement']:g} % in cement, "
        f"{MOISTURE_CM['calcium sulphate']:g} % in calcium sulphate screed (EN 1264-4:2021, table 2). "
        "The finish may want less."
    ),
    Step.FLOWS: (
        "All circuits open, pump at its setting, air out. Read every circuit, then ask warmloom balance "
        "which valve to turn; "
        f"all within {BALANCED:.0%} of the design (own rule). Turns are counted from shut."
    ),
    Step.TEMPERATURES: (
        f"At steady heating, when temperatures no longer change. Flow at most {GREATEST_C:g} °C (DIN 18560-2), "
        "each return cooler than its flow."
    ),
}
