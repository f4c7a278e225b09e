"""Steps, distances and marks of a setting-out card in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ufh_core.documents.lettering import clean
from ufh_core.documents.setting_out_words import say
from ufh_core.setting_out.types import CircuitCard, Step, StepKind, WallGap
from ufh_core.words import number

MOST_STUDS = 30  # nobody counts more
FAR_M = 6.0
LONGEST_NAME = 80
_ISOLATE, _END = "\u2068", "\u2069"


def short(name: str) -> str:
    """A name on one line of bearable length."""
    line = clean(name)
    return line if len(line) <= LONGEST_NAME else line[: LONGEST_NAME - 1] + "…"


def isolated(name: str) -> str:
    """A name within a sentence, its direction of writing kept to itself."""
    return f"{_ISOLATE}{short(name)}{_END}"


def metres(length_m: float) -> str:
    """A mark or a length of pipe."""
    return f"{number(length_m, 2)} m"


def millimetres(length_m: float) -> str:
    """A distance to measure, to 5 mm."""
    return f"{5 * round(length_m * 200):.0f} mm"


def studs(count: int | None) -> str:
    """A number of studs that can be counted, else nothing."""
    if count is None or count > MOST_STUDS:
        return ""
    return say("one stud") if count == 1 else say("studs", count=count)


def measured(gap_m: float, count: int | None) -> str:
    """A distance in mm, with its studs where there are any."""
    counted = studs(count)
    return millimetres(gap_m) + (f" ({counted})" if counted else "")


def wall_texts(walls: Sequence[WallGap]) -> list[str]:
    """Distances to the walls."""
    return [
        say("gap to", gap=measured(wall.gap_m, wall.studs), side=say(wall.side)) for wall in walls if wall.gap_m < FAR_M
    ]


def step_text(step: Step, card: CircuitCard, names: Mapping[str, str]) -> str:
    """What a fitter does at a step; `names` are those of the rooms by GlobalId."""
    walls = say("and").join(wall_texts(step.walls))
    values = {
        "manifold": short(card.manifold),
        "port": card.port,
        "room": _room(step.room, names),
        "to": _room(step.to_room, names),
        "walls": f", {walls}" if walls else "",
        "jambs": _jambs(step),
        "run": "" if step.run_m is None else metres(step.run_m),
        "pitch": "" if step.pitch_m is None else measured(step.pitch_m, step.studs if _same_pitch(step) else None),
        "gap": "" if step.gap_m is None else measured(step.gap_m, step.studs),
        "bend": _then(step),
        "turn": "" if step.gap_m is None else say("turn", gap=measured(step.gap_m, step.studs)),
    }
    if step.kind is StepKind.GAP and step.gap_m is None:
        return say("gap differs")
    return say(step.kind.value, **values)


def bend_text(turn_deg: float) -> str:
    """Which way a bend goes, and by how much [degrees, left positive]."""
    return say("bend left" if turn_deg > 0 else "bend right", degrees=f"{abs(turn_deg):.0f}")


def _then(step: Step) -> str:
    """The bend at the end of a run."""
    if step.turn_deg is None:
        return ""
    bend = bend_text(step.turn_deg)
    return say("then against", bend=bend, studs=studs(step.studs)) if step.studs else say("then", bend=bend)


def _same_pitch(step: Step) -> bool:
    """Whether the studs were counted over the pitch itself."""
    return step.gap_m is not None and step.pitch_m is not None and abs(step.gap_m - step.pitch_m) < 0.003


def _jambs(step: Step) -> str:
    if step.left_m is None or step.right_m is None:
        return ""
    return say("jambs", left=millimetres(step.left_m), right=millimetres(step.right_m))


def _room(guid: str, names: Mapping[str, str]) -> str:
    return isolated(names[guid]) if guid in names else say("unknown")
