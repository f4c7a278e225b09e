"""Time and error of the steady section by the fineness of its grid, and time of a day after a step.

python tests/benchmarks/bench_section.py
"""

import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from section_cases import a_section  # noqa: E402

from ufh_core.section import WaterAt, steady, step_response  # noqa: E402
from ufh_core.section.steady import section_network  # noqa: E402


def main() -> None:
    for pitch, finish_r in ((0.15, 0.0), (0.30, 0.10)):
        section = a_section(pitch, finish_r)
        limit = steady(section, water_c=21.0, cells=48).heat_flux
        print(f"pitch {pitch:g} m, finish {finish_r:g} m²K/W")
        for cells in (4, 6, 8, 12, 16, 24):
            start = time.perf_counter()
            for _ in range(5):
                flux = steady(section, water_c=21.0, cells=cells).heat_flux
            spent = (time.perf_counter() - start) / 5
            nodes = section_network(section, cells).node_count
            print(f"  {cells:3} cells {nodes:6} nodes {1000 * spent:7.1f} ms {100 * (flux / limit - 1):+8.4f} %")
        start = time.perf_counter()
        response = step_response(section, WaterAt(celsius=35.0))
        spent = time.perf_counter() - start
        hours = (response.time_constant_s or 0.0) / 3600
        print(f"  a day in {response.times_s.size - 1} steps: {1000 * spent:.0f} ms, time constant {hours:.2f} h")


if __name__ == "__main__":
    main()
