"""How well rooms and dwellings are laid, over many random ones, judged by code that knows nothing of the layout.

`python tests/benchmarks/layout_quality.py --rooms N --dwellings N [--large N] --seed S [--from K] [--json FILE]
[--draw DIR] [--jobs J]`. Case k is drawn from the seed text `S/k`, whatever else is run; `--from K --rooms 1`
lays one again. Hard rules and figures: `path_judge.py` (rooms), `layout_checks.py` (dwellings); times are
process times.
"""

# ruff: noqa: E402 (the cases and the judges stand in the folder above)

from __future__ import annotations

import argparse
import json
import multiprocessing
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).resolve().parents[n]) for n in (0, 1, 2)]

import quality_table
from quality_cases import drawing, dwelling_outcome, hall_outcome, room_outcome

RENEW = 200
"""Cases after which a worker is replaced, so that memory stays bounded."""
DRAWN = 4
"""Worst cases drawn per figure."""


def main(arguments: list[str] | None = None) -> int:
    """Run the bench; 1 if a hard rule is broken."""
    asked = _parser().parse_args(arguments)
    rooms = list(_outcomes(room_outcome, asked, asked.rooms))
    dwellings = list(_outcomes(dwelling_outcome, asked, asked.dwellings))
    halls = list(_outcomes(hall_outcome, asked, asked.large))
    found = {"seed": asked.seed, **quality_table.report(rooms, dwellings, halls)}
    print(f"{asked.rooms} rooms, {asked.dwellings} dwellings and {asked.large} large rooms, seed {asked.seed}")
    print("\n".join(quality_table.lines(rooms, dwellings, found)))
    if asked.json:
        asked.json.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    if asked.draw:
        asked.draw.mkdir(parents=True, exist_ok=True)
        for kind, seed in _worth_drawing(found):
            file = asked.draw / f"{kind}-{seed.split('/')[-1]}.svg"
            file.write_text(drawing(kind, seed), encoding="utf-8")
    return 1 if found["hard_rule_breaks"] else 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(description=str(__doc__).split("\n", 1)[0])
    parser.add_argument("--rooms", type=int, default=100, help="random rooms")
    parser.add_argument("--dwellings", type=int, default=5, help="random dwellings")
    parser.add_argument("--large", type=int, default=5, help="random rooms that take several circuits")
    parser.add_argument("--seed", default="1", help="any text")
    parser.add_argument("--from", dest="first", type=int, default=0, help="number of the first case")
    parser.add_argument("--json", type=Path, help="write all figures to this file")
    parser.add_argument("--draw", type=Path, help="draw the worst cases into this folder")
    parser.add_argument("--jobs", type=int, default=1, help="processes")
    return parser


def _outcomes(lay: Callable[[str], Any], asked: argparse.Namespace, count: int) -> Iterator[Any]:
    """Outcomes of cases in order."""
    seeds = [f"{asked.seed}/{k}" for k in range(asked.first, asked.first + count)]
    if asked.jobs < 2:
        yield from map(lay, seeds)
        return
    with multiprocessing.get_context("spawn").Pool(asked.jobs, maxtasksperchild=RENEW) as pool:
        yield from pool.imap(lay, seeds)


def _worth_drawing(found: dict[str, Any]) -> list[tuple[str, str]]:
    """Broken and failed cases, and the worst of every figure but the time."""
    names: list[tuple[str, str]] = []
    for case in [*found["breaks"][:DRAWN], *found["failed"][:DRAWN]]:
        names.append((case["of"], case["case"]))
    for aim in quality_table.AIMS:
        if "seconds" not in aim.name and (m := found["metrics"].get(aim.name)):
            names += [(aim.of, worst["case"]) for worst in m["missed_by"][:DRAWN]]
    return list(dict.fromkeys(names))


if __name__ == "__main__":
    sys.exit(main())
