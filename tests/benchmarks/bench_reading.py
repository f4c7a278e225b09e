"""Time of reading a model against the geometry iterator's for the same elements. Run by hand.

python tests/benchmarks/bench_reading.py MODEL.ifc [...]
"""

from __future__ import annotations

import multiprocessing
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ifcopenshell.geom

from ufh_core.building.bodies import geometry_settings
from ufh_core.building.elements import choose_elements
from ufh_core.building.model_file import open_model
from ufh_core.building.read import read_building
from ufh_core.settings.types import Settings


def seconds(work: Callable[..., object], *given: object) -> float:
    """Wall time of one call [s]."""
    start = time.perf_counter()
    work(*given)
    return time.perf_counter() - start


def iterate(model: Any, elements: list[Any]) -> None:
    """The library's own pass over all the elements."""
    settings = geometry_settings()
    settings.set("use-world-coords", True)
    iterator = ifcopenshell.geom.iterator(settings, model, multiprocessing.cpu_count(), include=elements)
    going = iterator.initialize()
    while going:
        going = iterator.next()


def main(paths: list[str]) -> None:
    """One line for each model."""
    for path in map(Path, paths):
        source = open_model(path)
        elements = choose_elements(source)
        wanted = [*elements.built(), *elements.furnishing()]
        iterating = seconds(iterate, source.model, wanted)
        reading = seconds(read_building, path, Settings())
        print(f"{path.name:32} reading {reading:6.2f} s, iterator {iterating:6.2f} s, ratio {reading / iterating:5.2f}")


if __name__ == "__main__":
    main(sys.argv[1:])
