"""Percentiles of the quality bench beside the aims, in all and by kind and pitch."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

ENOUGH = 0.95
"""Share of the cases that should meet an aim."""
WORST = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """A figure, what is aimed at in words, whether a value meets it, and how bad a value is."""

    name: str
    words: str
    aim: str
    met: Callable[[float], bool]
    badness: Callable[[float], float]
    of: str = "room"


def _most(name: str, words: str, most: float, of: str = "room") -> Aim:
    return Aim(name=name, words=words, aim=f"<= {most:g}", met=lambda v: v <= most, badness=lambda v: v, of=of)


def _least(name: str, words: str, least: float, of: str = "room") -> Aim:
    return Aim(name=name, words=words, aim=f">= {least:g}", met=lambda v: v >= least, badness=lambda v: -v, of=of)


def _told(name: str, words: str, of: str) -> Aim:
    """A figure without an aim."""
    return Aim(name=name, words=words, aim="-", met=lambda _: True, badness=lambda v: v, of=of)


AIMS = (
    _least("covered", "floor within 0.75 pitch (of reachable)", 0.99),
    _most("greatest", "greatest distance / pitch (reachable)", 0.85),
    Aim(
        name="length",
        words="length / (area / pitch)",
        aim="0.97-1.03",
        met=lambda v: 0.97 <= v <= 1.03,
        badness=lambda v: abs(v - 1),
    ),
    Aim(
        name="length_wide",
        words="  the same, pitches wider than a turn",
        aim="0.97-1.03",
        met=lambda v: 0.97 <= v <= 1.03,
        badness=lambda v: abs(v - 1),
    ),
    _least("radius_mm", "smallest bend radius [mm]", 74.99),
    _least("separation", "least distance of runs / pitch", 0.745),
    _least("on_grid", "share of length on the stud grid", 0.999),
    _most("bends", "right angles per metre", 0.5),
    _most("bends_200", "  the same, pitch 200 only", 0.5),
    _most("uneven", "unevenness of the water", 0.07),
    _most("seconds", "seconds a room", 0.05),
    _least("dwelling_covered", "dwelling: floor within 0.75 pitch", 0.99, "dwelling"),
    _least("dwelling_separation", "dwelling: least distance of runs / pitch", 0.745, "dwelling"),
    _most("spread", "dwelling: spread of lengths in a room", 0.03, "dwelling"),
    _told("cut_spread", "  the same, rooms that others' tails cut", "dwelling"),
    _most("dwelling_seconds", "seconds a dwelling", 1.0, "dwelling"),
    _most("seconds_8", "  a dwelling of 6 to 10 rooms", 1.0, "dwelling"),
    _least("hall_covered", "large room: floor within 0.75 pitch", 0.99, "hall"),
    _least("hall_separation", "large room: least distance of runs / pitch", 0.745, "hall"),
    _most("hall_spread", "large room: spread of lengths", 0.03, "hall"),
    _told("hall_cut_spread", "  the same, cut by others' tails", "hall"),
    _most("hall_seconds", "seconds a large room", 1.0, "hall"),
)


def values_of(outcome: Any, aim: Aim) -> float:
    """The figure of a case, NaN where it has none."""
    figures = outcome.figures
    if aim.name == "bends_200":
        return figures.get("bends", math.nan) if "200 mm" in outcome.tags else math.nan
    if aim.name == "length_wide":  # a turn of 150 mm leaves no gap narrower than 150 mm, so that some pipe is missing
        return figures.get("length", math.nan) if not {"100 mm", "150 mm"} & set(outcome.tags) else math.nan
    if aim.name == "seconds_8":
        return figures["dwelling_seconds"] if 6 <= figures.get("rooms", 0) <= 10 else math.nan
    name = {"hall_spread": "spread", "hall_cut_spread": "cut_spread"}.get(
        aim.name, aim.name.replace("hall_", "dwelling_")
    )
    return float(figures.get(name, math.nan))


def metric(outcomes: Sequence[Any], aim: Aim) -> dict[str, Any] | None:
    """median, p05, p95, worst, share that meets the aim, and the names of the worst that do not."""
    found = [(v, o.name) for o in outcomes if not math.isnan(v := values_of(o, aim))]
    if not found:
        return None
    values = np.array([v for v, _ in found])
    bad = sorted(((v, n) for v, n in found if not aim.met(v)), key=lambda vn: -aim.badness(vn[0]))
    p05, median, p95 = (float(v) for v in np.percentile(values, (5, 50, 95)))
    return {
        "median": median,
        "p05": p05,
        "p95": p95,
        "worst": float(max(values, key=aim.badness)),
        "aim": aim.aim,
        "meets": 1 - len(bad) / len(values),
        "count": len(values),
        "missed_by": [{"case": n, "value": v} for v, n in bad[:WORST]],
    }


def report(rooms: Sequence[Any], dwellings: Sequence[Any], halls: Sequence[Any] = ()) -> dict[str, Any]:
    """Everything that is written as JSON."""
    groups = {"room": rooms, "dwelling": dwellings, "hall": halls}
    cases = [(of, o) for of, group in groups.items() for o in group]
    metrics = {a.name: metric(groups[a.of], a) for a in AIMS}
    return {
        "rooms": len(rooms),
        "dwellings": len(dwellings),
        "large_rooms": len(halls),
        "hard_rule_breaks": sum(len(o.breaks) for _, o in cases),
        "failed_rooms": sum(bool(o.failed) for o in rooms),
        "failed_plain_rooms": sum(bool(o.failed) and o.plain for o in rooms),
        "failed_rooms_in_dwellings": sum(len(o.failed) for o in dwellings),
        "failed_large_rooms": sum(bool(o.failed) for o in halls),
        "rooms_in_dwellings": sum(int(o.figures["rooms"]) for o in dwellings),
        "growth": growth(rooms, dwellings),
        "metrics": {name: m for name, m in metrics.items() if m},
        "breaks": [{"of": of, "case": o.name, "tags": o.tags, "rule": b} for of, o in cases for b in o.breaks],
        "failed": [{"of": of, "case": o.name, "tags": o.tags, "reason": f} for of, o in cases for f in o.failed],
    }


def growth(rooms: Sequence[Any], dwellings: Sequence[Any]) -> dict[str, float]:
    """Exponents of the time over area and over rooms, by least squares on logarithms."""
    pairs = {
        "the area of a room": [(o.figures["area_m2"], o.figures["seconds"]) for o in rooms if "seconds" in o.figures],
        "the rooms of a dwelling": [(o.figures["rooms"], o.figures["dwelling_seconds"]) for o in dwellings],
    }
    return {
        what: float(np.polyfit(*np.log(np.maximum(values, 1e-3)).T, 1)[0])
        for what, values in pairs.items()
        if len({size for size, _ in values}) > 2
    }


def lines(rooms: Sequence[Any], dwellings: Sequence[Any], found: dict[str, Any]) -> Iterator[str]:
    """The report for people."""
    yield f"{'':42s}{'median':>8s}{'5 %':>8s}{'95 %':>8s}{'worst':>8s}  {'aim':10s}{'met by':>7s}"
    for aim in AIMS:
        if m := found["metrics"].get(aim.name):
            row = "".join(f"{m[k]:8.3f}" for k in ("median", "p05", "p95", "worst"))
            short = "" if m["meets"] >= ENOUGH else "  short"
            yield f"{aim.words:42s}{row}  {m['aim']:10s}{m['meets']:7.1%}{short}"
    yield from _possible(rooms)
    yield from _hard(found)
    yield from _by_tag(rooms, 0, "kind")
    yield from _by_tag(rooms, 1, "pitch")
    yield from _by_tag(rooms, 2, "panel")
    yield from _by_tag(rooms, 3, "size")
    yield from ("", *(f"time grows with {what} to the power {power:.2f}" for what, power in found["growth"].items()))
    yield from _missed(found)


def _possible(rooms: Sequence[Any]) -> Iterator[str]:
    """How many rooms can meet the aim for bends at all: small ones cannot, however their pipe lies."""
    aim = next(a for a in AIMS if a.name == "bends")
    least = [o.figures["least_bends"] for o in rooms if "least_bends" in o.figures]
    if least:
        share = sum(map(aim.met, least)) / len(least)
        yield f"right angles per metre: {share:.1%} of the rooms are large enough for the aim (path_judge.least_turned)"


def _hard(found: dict[str, Any]) -> Iterator[str]:
    yield ""
    yield f"hard rules broken: {found['hard_rule_breaks']}"
    yield from (f"  {b['of']} {b['case']} ({', '.join(b['tags'])}): {b['rule']}" for b in found["breaks"][: 3 * WORST])
    share = found["failed_rooms"] / max(found["rooms"], 1)
    yield f"rooms reported as failed: {found['failed_rooms']} of {found['rooms']} ({share:.1%}, aim <= 1 %)"
    yield f"  of them rectangles, L, T or U: {found['failed_plain_rooms']} (aim: none)"
    yield f"  in dwellings: {found['failed_rooms_in_dwellings']} of {found['rooms_in_dwellings']}"
    yield f"  large rooms: {found['failed_large_rooms']} of {found['large_rooms']}"
    reasons: dict[str, list[str]] = defaultdict(list)
    for case in found["failed"]:
        reasons[case["reason"].split(": ", 1)[-1]].append(f"{case['of']} {case['case']} {' '.join(case['tags'][:2])}")
    for reason, names in sorted(reasons.items(), key=lambda item: -len(item[1])):
        yield f"  {len(names)} x {reason}: {', '.join(names[:WORST])}{' ...' if len(names) > WORST else ''}"


COLUMNS = (
    ("covered", "covered", (50, 5)),
    ("greatest", "greatest", (50, 95)),
    ("length", "length", (5, 50, 95)),
    ("bends", "bends/m", (50, 95)),
    ("uneven", "uneven", (50, 95)),
    ("seconds", "s", (50, 95)),
)


def _by_tag(rooms: Sequence[Any], place: int, title: str) -> Iterator[str]:
    tags = sorted({o.tags[place] for o in rooms}, key=lambda t: (len(t), t))
    if len(tags) < 2:
        return
    heads = [f"{words} {'/'.join(map(str, at))} %" for _, words, at in COLUMNS]
    yield ""
    yield f"{title:10s}{'rooms':>6s}{'failed':>7s}{'broken':>7s}" + "".join(f"{h:>{_width(h)}s}" for h in heads)
    for tag in tags:
        mine = [o for o in rooms if o.tags[place] == tag]
        row = f"{tag:10s}{len(mine):6d}{sum(bool(o.failed) for o in mine):7d}{sum(bool(o.breaks) for o in mine):7d}"
        for (name, _, at), head in zip(COLUMNS, heads, strict=True):
            values = [v for o in mine if not math.isnan(v := o.figures.get(name, math.nan))]
            digits = 3 if name == "covered" else 2
            cells = [f"{v:.{digits}f}" for v in np.percentile(values, at)] if values else []
            row += f"{' '.join(cells):>{_width(head)}s}"
        yield row


def _width(head: str) -> int:
    return max(len(head), 15) + 2


def _missed(found: dict[str, Any]) -> Iterator[str]:
    yield ""
    yield "farthest from the aims:"
    for aim in AIMS:
        m = found["metrics"].get(aim.name)
        if m and m["missed_by"]:
            worst = ", ".join(f"{w['case']} ({w['value']:.3f})" for w in m["missed_by"])
            yield f"  {aim.words.strip()}: {worst}"
