"""Layout of random dwellings: `python tests/benchmarks/bench_layout.py [COUNT]`. Run by hand; asserts nothing.

Prints for each of 60 (or COUNT) dwellings: legal or the first fault, circuits, rooms reported as
failed, heated floor as a share of the free floor, seconds; then the totals.
"""

# ruff: noqa: E402 (the plans and the checks stand in the folder above)

import statistics
import sys
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

import layout_checks
import plan_sketch

from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import lay_level
from ufh_core.settings.types import Settings

PITCHES = (0.15, 0.20, 0.25, 0.30)
FIRST = 1000  # not the dwellings of the tests


def main() -> None:
    """Lay and check them."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    rows = [one(seed) for seed in range(FIRST, FIRST + count)]
    legal, failed, circuits, shares, seconds = zip(*rows, strict=True)
    print(f"legal {sum(legal)} of {count}; dwellings with a failed circuit {sum(f > 0 for f in failed)}")
    print(f"circuits {sum(circuits)}, rooms reported as failed {sum(failed)}")
    print(f"share of free floor heated: median {statistics.median(shares):.3f}, least {min(shares):.3f}")
    print(f"seconds: median {statistics.median(seconds):.2f}, most {max(seconds):.2f}, all {sum(seconds):.0f}")


def one(seed: int) -> tuple[bool, int, int, float, float]:
    """Lay one dwelling and say what came of it."""
    storey = plan_sketch.random_dwelling(seed)
    heated = [r.ifc_guid for r in storey.rooms]
    pitches = dict.fromkeys(heated, PITCHES[seed % len(PITCHES)])
    start = time.perf_counter()
    layout = lay_level(LevelBrief(level=plan_sketch.level(storey), pitches=pitches, settings=Settings()))
    seconds = time.perf_counter() - start
    faults = layout_checks.faults(storey, layout, heated)
    share = layout_checks.covered_share(storey, layout, heated)
    print(f"{seed:5d} {len(layout.circuits):3d} circuits {share:6.3f} {seconds:6.2f} s  {'; '.join(faults) or 'legal'}")
    for failure in layout.failed:
        print(f"      failed {failure.room}: {failure.reason}")
    return not faults, len(layout.failed), len(layout.circuits), share, seconds


if __name__ == "__main__":
    main()
