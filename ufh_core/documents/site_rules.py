"""What each hold point asks for, in words, with the figures that the checks use and their sources."""

from __future__ import annotations

from ufh_core.basis.message import Message, note
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

_WATER, _AIR = TEST_BAR["water"], TEST_BAR["air"]
RULES = {
    Step.LAID: Message(
        "Each circuit as it lies, by the metre marks printed on the pipe at both ports: within {share:.0%} of the "
        "drawing (own rule). Draw in red what lies otherwise.",
        share=LENGTH_SHARE,
    ),
    Step.LEAK: Message(
        "Shut off the mixing station and whatever does not stand the pressure. Water {low:g} to {high:g} bar or air "
        "{air_low:g} to {air_high:g} bar ({source}), for at least {hours:g} h (common practice), changing by at most "
        "{change:g} bar (common practice, from memory), and every connection looked at and dry.",
        low=_WATER[0],
        high=_WATER[1],
        air_low=_AIR[0],
        air_high=_AIR[1],
        source=TEST_SOURCE,
        hours=LEAST_HOURS,
        change=MOST_CHANGE_BAR,
    ),
    Step.FROST: Message(
        "Where the building can get colder than {cold:g} °C while pipes are filled: antifreeze, heating, or drained "
        "pipes (common practice).",
        cold=FROST_C,
    ),
    Step.KEPT: Message(
        "About 3 bar before the screed comes and when it lies (common practice; {low:g} to {high:g} bar passes). "
        "Where the pressure falls, find the pipe before the screed sets.",
        low=KEPT_BAR[0],
        high=KEPT_BAR[1],
    ),
    Step.POUR: Message(
        "Only over tested pipes. Room and screed at {cold:g} °C at least, and kept so ({source}); at least {cover:g} "
        "mm over the pipes (EN 1264-4:2021, 4.2.2.9.2); the thinnest place not more than {thinner:g} mm under the "
        "design (own rule).",
        cold=LEAST_C,
        source=LAID,
        cover=LEAST_COVER_MM,
        thinner=MOST_THINNER_MM,
    ),
    Step.HEATING: Message(
        "Not before the screed's age in the calendar. Read the flow temperature every day; it may miss the programme "
        "by {off:g} K (own rule). The screed maker's programme comes first.",
        off=READING_K,
    ),
    Step.MOISTURE: Message(
        "By the carbide method, after the first heating: at most {cement:g} % in cement, {sulphate:g} % in calcium "
        "sulphate screed (EN 1264-4:2021, table 2). The finish may want less.",
        cement=MOISTURE_CM["cement"],
        sulphate=MOISTURE_CM["calcium sulphate"],
    ),
    Step.FLOWS: Message(
        "All circuits open, pump at its setting, air out. Read every circuit, then ask warmloom balance which valve to "
        "turn; all within {share:.0%} of the design (own rule). Turns are counted from shut.",
        share=BALANCED,
    ),
    Step.TEMPERATURES: Message(
        "At steady heating, when temperatures no longer change. Flow at most {most:g} °C (DIN 18560-2), each return "
        "cooler than its flow.",
        most=GREATEST_C,
    ),
    Step.SIGNED: note("Everything before it passes and is signed."),
}
