"""Fields in many random rooms: legal ones, and the figures of the layout by a second opinion.

By hand: `python tests/benchmarks/bench_fields.py [ROOMS]` (200 rectilinear rooms and half as many with
an oblique wall unless said otherwise).
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np
from shapely.geometry import LineString

sys.path[:0] = [str(Path(__file__).resolve().parents[n]) for n in (1, 2)]

import field_checks  # noqa: E402
import field_rooms  # noqa: E402

from ufh_core.fields.lay import lay_field  # noqa: E402
from ufh_core.fields.types import FieldFailure  # noqa: E402


def table(rooms: int, oblique: bool) -> None:
    """Lay, check and print percentiles."""
    rows, refused, illegal = [], [], []
    for seed in range(rooms):
        asked = field_rooms.random_request(seed, oblique)
        began = time.perf_counter()
        result = lay_field(asked)
        seconds = time.perf_counter() - began
        if isinstance(result, FieldFailure):
            refused.append(f"{seed}: {result.reason}")
            continue
        illegal += [f"{seed}: {words}" for words in field_checks.faults(asked, result)]
        length, pitch = LineString(result.corners).length, asked.pitch_m
        rows.append(
            (
                result.heated.area / asked.floor.area,
                result.coverage,
                field_checks.greatest_distance(asked, result) / pitch,
                result.unevenness,
                result.bends / length,
                length * pitch / result.heated.area,
                seconds,
            )
        )
    print(f"\n{rooms} {'rooms with an oblique wall' if oblique else 'rectilinear rooms'}: {len(rows)} laid")
    print(*(f"  refused {words}" for words in refused), *(f"  ILLEGAL {words}" for words in illegal), sep="\n")
    for name, values in zip(NAMES, np.array(rows).T, strict=True):
        figures = np.percentile(values, (0, 5, 50, 95, 100))
        print(f"{name:28s}" + "".join(f"{figure:8.3f}" for figure in figures))


NAMES = ("heated / floor", "coverage", "greatest gap / pitch", "unevenness", "bends / m", "length x pitch / area", "s")

if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    print(f"{'':28s}" + "".join(f"{word:>8s}" for word in ("least", "5 %", "median", "95 %", "most")))
    table(count, oblique=False)
    table(count // 2, oblique=True)
