"""Time of clash and clearance against one search tree of the IFC library over the same elements. Run by hand.

python tests/benchmarks/bench_clash.py MODEL.ifc HEATING.ifc [OTHER.ifc ...]

The tree is built once and asked once whether pipes meet anything (`geom.tree`, intersections and clearances),
which is a part of what the check finds. Both times begin with open files and end with answers.
"""

from __future__ import annotations

import multiprocessing
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.geom

from ufh_core.building.elements import choose_elements
from ufh_core.building.model_file import open_model
from ufh_core.building.other_models import _solid
from ufh_core.building.read import read_building
from ufh_core.clash_check import checked_heating
from ufh_core.settings.types import Settings

OUR_KINDS = ("IfcPipeSegment", "IfcBuildingElementProxy", "IfcCovering")


def timed(work: Callable[..., Any], *given: object) -> tuple[float, Any]:
    """(wall time [s], result) of one call."""
    start = time.perf_counter()
    result = work(*given)
    return time.perf_counter() - start, result


def of_architect(path: Path) -> tuple[Any, list[Any]]:
    """The architect's open file and the elements that the check looks at: no rooms, no slabs."""
    source = open_model(path)
    chosen = choose_elements(source)
    groups = (chosen.walls, chosen.columns, chosen.stairs, chosen.furniture, chosen.hearths)
    return source.model, [e for group in groups for e in group]


def of_kinds(path: Path, kinds: tuple[str, ...]) -> tuple[Any, list[Any]]:
    """An open file and its elements of some kinds."""
    model: Any = ifcopenshell.open(str(path))
    return model, [e for kind in kinds for e in model.by_type(kind) if e.Representation is not None]


def tree_clashes(sets: list[tuple[Any, list[Any]]], pipes: list[Any]) -> int:
    """Build one tree over everything and ask it for intersections and clearances of the pipes."""
    tree = ifcopenshell.geom.tree(backend="opencascade.trianglebvh")
    for model, elements in sets:
        if elements:
            settings = ifcopenshell.geom.settings()
            iterator = ifcopenshell.geom.iterator(settings, model, multiprocessing.cpu_count(), include=elements)
            going = iterator.initialize()
            while going:
                tree.add_element(iterator.get())
                going = iterator.next()
    rest = [e for _, elements in sets for e in elements if not e.is_a("IfcCovering") and e not in pipes]
    met = tree.clash_intersection_many(pipes, rest, tolerance=0.002, check_all=False)
    return len(met) + len(tree.clash_clearance_many(pipes, rest, clearance=0.05, check_all=False))


def main(paths: list[str]) -> None:
    """Both times and their ratio."""
    architect, heating, *others = map(Path, paths)
    settings = Settings()
    reading, building = timed(read_building, architect, settings)
    checking, found = timed(checked_heating, building, architect, heating, settings, others)
    sets = [of_architect(architect), of_kinds(heating, OUR_KINDS)]
    for path in others:
        model, elements = of_kinds(path, ("IfcElement",))
        sets.append((model, [e for e in elements if _solid(e)]))
    pipes = [e for e in sets[1][1] if e.is_a("IfcPipeSegment")]
    building_tree, met = timed(tree_clashes, sets, pipes)
    print(f"{architect.name}: {sum(len(e) for _, e in sets)} elements, {len(pipes)} pipes")
    print(f"  check {checking:6.2f} s, {len(found.findings)} findings (reading the building before it {reading:.2f} s)")
    print(f"  tree  {building_tree:6.2f} s, {met} pairs")
    print(f"  ratio {checking / building_tree:6.2f}, with the reading {(checking + reading) / building_tree:.2f}")


if __name__ == "__main__":
    main(sys.argv[1:])
