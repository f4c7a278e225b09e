"""Clash and clearance of a design, or of a heating model in a file, against the building and other trades."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ufh_core.basis.errors import SettingsError
from ufh_core.basis.findings import Finding
from ufh_core.basis.progress import Progress, silent
from ufh_core.building.coordination_inputs import read_surroundings
from ufh_core.building.types import Building
from ufh_core.coordination.check import coordination_findings
from ufh_core.coordination.types import HeatingParts
from ufh_core.design_result import Design
from ufh_core.exchange.heating_parts import design_parts
from ufh_core.exchange.heating_reader import read_heating
from ufh_core.settings import Settings
from ufh_core.settings.reading import settings_from_table
from ufh_core.zones.floor_answers import with_floor_answers
from ufh_core.zones.selection import select_rooms


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Checked:
    """What was checked, as bodies, and what was found."""

    building: Building
    parts: HeatingParts
    findings: tuple[Finding, ...]


def with_clashes(design: Design, architect: Path, others: Sequence[Path] = (), progress: Progress = silent) -> Design:
    """The design with what it clashes with among its findings.

    Raises: ModelReadError where the architect's model or another trade's cannot be read.
    """
    return replace(design, findings=(*design.findings, *clashes_of(design, architect, others, progress)))


def clashes_of(
    design: Design, architect: Path, others: Sequence[Path] = (), progress: Progress = silent
) -> tuple[Finding, ...]:
    """What a design clashes with.

    Raises: as `with_clashes`.
    """
    return checked_design(design, architect, others, progress).findings


def checked_design(
    design: Design, architect: Path, others: Sequence[Path] = (), progress: Progress = silent
) -> Checked:
    """A design, checked.

    Raises: as `with_clashes`.
    """
    around = read_surroundings(architect, design.building, others, progress)
    parts = design_parts(design, around.project)
    found = coordination_findings(design.building, parts, around, design.settings)
    return Checked(building=design.building, parts=parts, findings=found)


def checked_heating(
    building: Building,
    architect: Path,
    heating: Path,
    settings: Settings,
    others: Sequence[Path] = (),
    progress: Progress = silent,
) -> Checked:
    """A heating model in a file, checked.

    Raises: ModelReadError where a file cannot be read.
    """
    answered, _ = with_floor_answers(building, select_rooms(building, settings))
    around = read_surroundings(architect, answered, others, progress)
    parts = read_heating(heating, building.frame)
    return Checked(building=answered, parts=parts, findings=coordination_findings(answered, parts, around, settings))


def settings_of(results: Path) -> Settings:
    """The settings with which a design was made, from its design.json.

    Raises: SettingsError where they cannot be read.
    """
    try:
        table = dict(json.loads(results.read_text(encoding="utf-8"))["settings"])
    except (OSError, ValueError, KeyError, TypeError):
        raise SettingsError(f"{results}: its settings cannot be read; give them with --settings") from None
    table.pop("digest", None)
    return settings_from_table(table, str(results))
