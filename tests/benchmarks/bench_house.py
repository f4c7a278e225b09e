"""Times of the parts of a run: `python tests/benchmarks/bench_house.py [MODEL.ifc]`. Run by hand; asserts nothing.

Without MODEL: house-ifc4-m.ifc from WARMLOOM_MODELS (default ../shared/models), else the bungalow.
The measure for reading is what the geometry iterator alone needs, in the same run, for the same
elements: spaces, walls, slabs, columns, furniture, sanitary ware and stairs, openings not subtracted.
"""

import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.geom

from ufh_core.building.read import read_building
from ufh_core.design import design_building
from ufh_core.documents.drawing_files import write_sheet
from ufh_core.documents.plan_drawing import drawn_plan
from ufh_core.exchange.design_json import write_json
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.settings.types import Settings

ROOT = Path(__file__).resolve().parents[2]
ELEMENTS = (
    "IfcSpace",
    "IfcWall",
    "IfcSlab",
    "IfcColumn",
    "IfcFurnishingElement",
    "IfcFlowTerminal",
    "IfcStair",
    "IfcStairFlight",
)


def timed(what: str, work: Callable[[], Any]) -> tuple[Any, float]:
    """Run `work`, print its time, return both."""
    start = time.perf_counter()
    result = work()
    seconds = time.perf_counter() - start
    print(f"{what:<34}{seconds:8.2f} s")
    return result, seconds


def iterate(path: Path) -> int:
    """Open the file and let the geometry iterator make the bodies of the elements."""
    model = ifcopenshell.open(str(path))
    wanted = [element for name in ELEMENTS for element in model.by_type(name)]
    settings = ifcopenshell.geom.settings()
    settings.set("disable-opening-subtractions", True)
    iterator = ifcopenshell.geom.iterator(settings, model, 1, include=wanted)
    count = 0
    if iterator.initialize():
        while True:
            count += 1
            if not iterator.next():
                break
    return count


def steps() -> Callable[[str, float], None]:
    """Print how long each step of the design took, when the next one begins."""
    last = ("", time.perf_counter())

    def report(what: str, _share: float) -> None:
        nonlocal last
        now = time.perf_counter()
        if last[0] and what != last[0]:
            print(f"    {last[0]:<30}{now - last[1]:8.2f} s")
        if what != last[0]:
            last = (what, now)

    return report


def main() -> None:
    """Time one model."""
    there = Path(os.environ.get("WARMLOOM_MODELS", ROOT.parent / "shared" / "models")) / "house-ifc4-m.ifc"
    default = there if there.exists() else ROOT / "sample_models" / "bungalow.ifc"
    path = Path(sys.argv[1]) if len(sys.argv) > 1 else default
    settings = Settings()
    print(path.name)
    _, alone = timed("geometry iterator alone", lambda: iterate(path))
    building, reading = timed("reading", lambda: read_building(path, settings))
    design, designing = timed("design", lambda: design_building(building, settings, steps(), ()))
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder)
        _, model = timed("heating.ifc", lambda: write_heating_model(design, path, out / "heating.ifc"))
        _, results = timed("design.json", lambda: write_json(design, out / "design.json"))
        draw = lambda: [write_sheet(drawn_plan(design, s), out / s.storey, (".svg",)) for s in design.storeys]  # noqa: E731
        _, plans = timed("plans", draw)
    print(f"all {reading + designing + model + results + plans:.2f} s; reading is {reading / alone:.2f} x the iterator")


if __name__ == "__main__":
    main()
