"""What would make a floor fit the height that the model leaves: thinner layers that the rules still allow.

Every set of the few changes is tried, the smallest set that fits wins; of equals the one that is easier to agree.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.message import Message, note
from ufh_core.floor.levels import height_below_pipe, height_over_pipe
from ufh_core.floor.strength import least_cover
from ufh_core.floor.types import BuildUp, HeightChange, HeightRemedy
from ufh_core.settings.floor_types import FloorSettings
from ufh_core.settings.types import Settings

FINE_INSULATION = 0.025
"""Conductivity of rigid foam boards, W/(m K), common practice; ask for the board's own figure."""
STRONGER, FLOWING = "F5", "flowing calcium sulphate"
HAIR_M = 5e-4


def height_remedy(build_ups: Sequence[BuildUp], settings: Settings) -> HeightRemedy | None:
    """The changes that bring the floors lowest with least ado; None where nothing helps.

    `build_ups` are those that lack height; others are left out.
    """
    short = [b for b in build_ups if b.available_m is not None and b.missing_height_m > HAIR_M]
    changes = [c for c in _changes(settings.floor) if _saves(short, settings, (c,)) > HAIR_M]
    sets = [s for n in range(1, len(changes) + 1) for s in itertools.combinations(changes, n)]
    if not short or not sets:
        return None
    left = {s: _missing(short, settings, s) for s in sets}
    best = min(sets, key=lambda s: (max(0.0, round(left[s] - HAIR_M, 6)), len(s), [changes.index(c) for c in s]))
    return HeightRemedy(changes=best, saves_m=_saves(short, settings, best), left_m=left[best])


def with_changes(settings: Settings, changes: Sequence[HeightChange]) -> Settings:
    """The settings with the changes of a remedy made, the screed as thin as the rules allow where it is changed."""
    floor = settings.floor
    for change in changes:
        floor = replace(floor, **dict(change.floor))
    return replace(settings, floor=floor)


def _changes(floor: FloorSettings) -> list[HeightChange]:
    """The single changes that there are, in the order in which they are easier to agree."""
    found = [_screed(floor, note("cover of {mm:.0f} mm, enough for its load"))]
    if floor.insulation_conductivity > FINE_INSULATION:
        words = Message("insulation boards of {conductivity:g} W/(m K)", conductivity=FINE_INSULATION)
        found.append(HeightChange(words=words, floor=(("insulation_conductivity", FINE_INSULATION),)))
    if floor.screed_strength == "F4":
        found.append(
            _screed(
                floor,
                note("screed of class {strength}, cover {mm:.0f} mm"),
                screed_strength=STRONGER,
            )
        )
    if floor.screed != FLOWING:
        found.append(_screed(floor, note("{screed} screed, cover {mm:.0f} mm"), screed=FLOWING))
    return [change for change in found if change is not None]


def _screed(floor: FloorSettings, words: str, **change: Any) -> HeightChange | None:
    """A change of the screed with the cover that it then needs; None where the tables give none."""
    changed = replace(floor, **change)
    try:
        cover = least_cover(
            changed.screed, changed.screed_strength, changed.load_kn_m2, changed.insulation_deflection_m
        )
    except NoSolution:
        return None
    settings = (*change.items(), ("screed_cover_m", cover))
    return HeightChange(
        words=Message(words, mm=1000 * cover, strength=changed.screed_strength, screed=Message(changed.screed)),
        floor=settings,
    )


def _missing(short: Sequence[BuildUp], settings: Settings, changes: Sequence[HeightChange]) -> float:
    """What the worst floor still lacks [m]."""
    changed = with_changes(settings, changes)
    return max(max(0.0, _needed(b, changed) - (b.available_m or 0.0)) for b in short)


def _saves(short: Sequence[BuildUp], settings: Settings, changes: Sequence[HeightChange]) -> float:
    """What the changes take off the floors at least [m]."""
    changed = with_changes(settings, changes)
    return min((_needed(b, settings) - _needed(b, changed) for b in short), default=0.0)


def _needed(build_up: BuildUp, settings: Settings) -> float:
    return height_below_pipe(build_up.below, settings) + height_over_pipe(settings)
