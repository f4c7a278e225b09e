"""Where tails do not fit by any door, from any place: closer tails, then sleeves through walls.

Every try is a whole layout; the one with the fewest circuits missing is kept.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ufh_core.basis.message import Message, joined, note
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.types import LevelLayout
from ufh_core.zones.level_plan import Level
from ufh_core.zones.relief_ways import ways_past

SLEEVE_ROUNDS = 3

Lay = Callable[[LevelBrief], LevelLayout]


def relieved(laid: LevelLayout, brief: LevelBrief, lay: Lay) -> LevelLayout:
    """A layout, or a better one where tails do not fit; `lay` lays a level by its brief."""
    best = laid
    if _lacking(best) and brief.level.rooms_unknown:
        brief = replace(brief, close_tails=True)
        closer = _told(
            laid,
            [
                Message(
                    "more fit with tails {spacing:.0f} mm apart",
                    spacing=1000 * brief.settings.layout.tail_spacing_m,
                )
            ],
        ).notes
        again = lay(brief)
        best = _better(best, replace(again, notes=(*again.notes, *closer)))
    for _ in range(SLEEVE_ROUNDS):
        if not _lacking(best):
            break
        if not brief.settings.layout.wall_sleeves:
            return _told(best, [Message("the settings allow no sleeves through walls")])
        level, refused = _with_ways(brief, best)
        if level.sleeve_ways == brief.level.sleeve_ways:
            return _told(best, [Message("{why}, so it is not drilled", why=why) for why in refused])
        brief = replace(brief, level=level)
        best = _better(best, lay(brief))
    return best


def _lacking(laid: LevelLayout) -> bool:
    return bool(laid.failed and laid.bottlenecks)


def _better(one: LevelLayout, other: LevelLayout) -> LevelLayout:
    return other if len(other.failed) < len(one.failed) else one


def _told(laid: LevelLayout, reasons: list[str]) -> LevelLayout:
    """A layout that says why no sleeves help where tails do not fit."""
    words = joined(dict.fromkeys(place.words for place in laid.bottlenecks), note(" and "))
    return replace(laid, notes=(*laid.notes, *(joined([words, why], "; ") for why in dict.fromkeys(reasons))))


def _with_ways(brief: LevelBrief, laid: LevelLayout) -> tuple[Level, list[str]]:
    """The level with a way through a wall for each pair of tails that does not fit, and walls that are not drilled."""
    level, refused = brief.level, []
    for place in laid.bottlenecks:
        ways, why = ways_past(level, place.before, place.behind, place.at, place.missing, place.words, brief.settings)
        level = replace(level, sleeve_ways=(*level.sleeve_ways, *ways))
        refused += [why] if why else []
    return level, refused
