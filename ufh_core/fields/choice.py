"""Why a circuit lies as it does: what was tried, how it was rated, what stops a better one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

SHOWN = 5
SAME_COST = 0.005  # loops that differ by less are shown once
LAID = "laid"
OTHER_LENGTH = "has a length less like that of the room's other circuits"


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One loop that was drawn and rated; the one of least `cost` that keeps the rules is laid.

    `missed` is the share of the floor within reach of a loop that lies beyond 0.75 pitch of the pipe,
    `gap` the greatest distance to the pipe [pitches], `unevenness` the standard deviation of the local
    water temperature (1 flow, 0 return), `bends_per_m` right angles of turning per metre. `verdict` is
    `LAID`, or in words why it is not.
    """

    cost: float
    missed: float
    gap: float
    unevenness: float
    bends_per_m: float
    verdict: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A whole field that could not be laid: its pitch [m], where the pair was to open, and why.

    `place` counts from 0, the end of the tails, back along them.
    """

    pitch_m: float
    place: int
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitChoice:
    """How the field of one circuit was chosen.

    `asked_pitch_m` is the pitch that the heat asks for; `drawn` counts the loops drawn and rated;
    `candidates` are the best of them, cheapest first; `limits` say what stops a better field.
    """

    asked_pitch_m: float
    drawn: int
    candidates: tuple[Candidate, ...]
    refusals: tuple[Refusal, ...]
    limits: tuple[str, ...]


class Rated(Protocol):
    """What a candidate is made from."""

    @property
    def missed(self) -> float:
        """Share of the floor in reach that is missed."""

    @property
    def gap(self) -> float:
        """Greatest distance to the pipe [pitches]."""

    @property
    def unevenness(self) -> float:
        """Standard deviation of the local water temperature."""

    @property
    def bends(self) -> int:
        """Right angles."""

    @property
    def length_m(self) -> float:
        """Length of the pipe [m]."""

    @property
    def off(self) -> float:
        """Share of pipe that there is too much; negative: missing."""


def candidates(rated: Sequence[tuple[float, Rated]], refused: Mapping[int, str], laid: int) -> tuple[Candidate, ...]:
    """The best loops by rising cost as candidates, the laid one and those refused before it always among them.

    `rated` holds costs with ratings, sorted; `refused` says by index which rule a loop breaks.
    """
    different = [k for k in range(len(rated)) if k == 0 or rated[k][0] - rated[k - 1][0] > SAME_COST]
    shown = sorted({laid, *list(refused)[:SHOWN], *different[:SHOWN]})
    return tuple(_candidate(rated[k][0], rated[k][1], _verdict(k, rated, refused, laid)) for k in shown)


def _verdict(k: int, rated: Sequence[tuple[float, Rated]], refused: Mapping[int, str], laid: int) -> str:
    if k == laid:
        return LAID
    if k in refused:
        return f"breaks a rule: {refused[k]}"
    return _why_dearer(rated[k][1], rated[laid][1]) if k > laid else OTHER_LENGTH


def _candidate(cost: float, of: Rated, verdict: str) -> Candidate:
    return Candidate(
        cost=cost,
        missed=of.missed,
        gap=of.gap,
        unevenness=of.unevenness,
        bends_per_m=of.bends / max(of.length_m, 1.0),
        verdict=verdict,
    )


def _why_dearer(one: Rated, laid: Rated) -> str:
    """Say in which figures a loop is worse than the laid one."""
    worse = [
        (one.missed - laid.missed > 0.0005, "leaves more floor cold"),
        (one.gap - laid.gap > 0.02, "leaves a place farther from the pipe"),
        (one.unevenness - laid.unevenness > 0.002, "warms less evenly"),
        (one.bends / max(one.length_m, 1.0) - laid.bends / max(laid.length_m, 1.0) > 0.005, "has more bends"),
        (abs(one.off) - abs(laid.off) > 0.01, "is farther from the length that the pitch asks for"),
    ]
    words = [text for holds, text in worse if holds]
    return ", ".join(words) or "is no better, and its pair of tails comes in less well"
