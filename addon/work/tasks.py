"""What takes long, each as one call of the core. No host in here: the same runs in a process of its own."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

Progress = Callable[[str, float], None]
NOTHING_DRAWN: Mapping[str, Any] = {}


def read(tell: Progress, *, path: Path, settings: Any) -> tuple[Any, Any]:
    """(building, inspection report) of a model file."""
    from ufh_core.building.read import read_building
    from ufh_core.design import building_demand
    from ufh_core.documents.inspection import inspection_report
    from ufh_core.zones.selection import override_findings, select_rooms

    tell(f"reading {path.name}", 0.0)
    building = read_building(path, settings)
    tell("heat demand", 0.7)
    odd, demand = override_findings(building, settings), building_demand(building, settings)
    return building, inspection_report(building, select_rooms(building, settings), odd, demand)


def design(
    tell: Progress,
    *,
    building: Any,
    model: Path,
    settings: Any,
    storeys: Sequence[str] = (),
    earlier: Any = None,
    stay: Sequence[str] = (),
    drawn: Mapping[str, Any] = NOTHING_DRAWN,
) -> tuple[Any, Any]:
    """(design, its summary) of a building, or of some storeys, checked for clashes with all that `model` holds.

    Storeys of an `earlier` design that no moved manifold touches are taken over, and of the others the circuits
    whose numbers are in `stay`; `drawn` are the rows of those whose way a hand has changed.
    """
    from ufh_core.clash_check import with_clashes
    from ufh_core.design import design_building
    from ufh_core.documents.summary import summary
    from ufh_core.returned.laid_rows import laid_rows
    from ufh_core.settings.earlier_run import circuits_of

    before = circuits_of(laid_rows(earlier, drawn), "the design before") if stay else []
    kept = [circuit for circuit in before if circuit.number in stay]

    def told(what: str, share: float) -> None:
        tell(what, 0.95 * share)

    done = design_building(building, settings, told, tuple(storeys), earlier, kept)
    tell("looking for clashes", 0.95)
    done = with_clashes(done, model)
    return done, summary(done)


def write(tell: Progress, *, design: Any, model: Path, folder: Path, extras: Any) -> tuple[str, ...]:
    """Write all files of a design into a folder, whole or not at all; names of what was written."""
    from ufh_core.design_files import write_design
    from ufh_core.output_folder import whole_folder

    with whole_folder(folder) as workshop:
        write_design(design, model, workshop, tell, extras)
        names = tuple(sorted(path.name for path in workshop.iterdir() if path.is_file()))
    return names


TASKS: dict[str, Callable[..., Any]] = {"read": read, "design": design, "write": write}
"""Tasks by name."""
