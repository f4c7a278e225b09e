"""What coordination needs of the architect's file beyond the building: door swings, services, other models."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from ufh_core.basis.progress import Progress, silent
from ufh_core.building.door_swings import DoorSwing, door_swings
from ufh_core.building.map_place import map_place
from ufh_core.building.model_file import open_model
from ufh_core.building.other_models import OtherModel, TradeBody, architects_services, read_other_model
from ufh_core.building.types import Building


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surroundings:
    """Door swings by GlobalId, services in the architect's model, other trades' models, the architect's map system.

    `system` is None where the architect's model is not georeferenced; `project` is its GlobalId.
    """

    swings: Mapping[str, DoorSwing] = field(default_factory=dict)
    services: tuple[TradeBody, ...] = ()
    others: tuple[OtherModel, ...] = ()
    system: str | None = None
    project: str = ""


def read_surroundings(
    architect: Path, building: Building, others: Sequence[Path] = (), progress: Progress = silent
) -> Surroundings:
    """Read what surrounds the heating.

    Raises `ModelReadError` where a file cannot be read.
    """
    source = open_model(architect)
    place = map_place(source)
    models = []
    for k, path in enumerate(others):
        progress(f"reading {path.name}", k / len(others))
        models.append(read_other_model(path, source, building.frame))
    return Surroundings(
        swings=door_swings(source, building.frame, building.storeys),
        services=architects_services(source, building.frame),
        others=tuple(models),
        system=place.system if place is not None else None,
        project=source.model.by_type("IfcProject")[0].GlobalId,
    )
