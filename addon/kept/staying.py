"""Circuits that the designer wants left as they lie: of which design, and as a file for the command line."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from ufh_core.basis.errors import UfhError
from ufh_core.basis.whole_file import write_whole
from ufh_core.returned.laid_rows import laid_rows
from ufh_core.settings import Settings
from ufh_core.settings.steering import KeptCircuits

from .memory import recall


def staying(record: Any) -> tuple[str, ...]:
    """Numbers of the circuits that stay as they lie."""
    return tuple(row.label for row in record.circuits if row.fixed)


def drawn(record: Any) -> dict[str, Any]:
    """Ways and fields of the circuits that stay as a hand has drawn them, by number.

    Raises: UfhError where a script has written something else there.
    """
    try:
        return {row.label: dict(json.loads(row.drawn)) for row in record.circuits if row.fixed and row.drawn}
    except (ValueError, TypeError):
        raise UfhError("a circuit's drawn way cannot be read; unpin it under Results and draw it again") from None


def design_before(record: Any) -> Any | None:
    """The design that the scene shows, None where it is of another session or of another building.

    Raises: UfhError where circuits of it shall stay.
    """
    made, reading = recall(record.design_id), recall(record.reading_id)
    if made is not None and made.reading is reading:
        return made.design
    if numbers := staying(record):
        raise UfhError(
            f"{', '.join(numbers)} shall stay, but the design that laid them is not at hand since this file was opened "
            "or the building was read again: take a settings file that was written before, or unpin them under Results"
        )
    return None


def with_staying(record: Any, settings: Settings, beside: Path) -> Settings:
    """The settings with the circuits that stay, which are written into a file beside the settings' own.

    Raises: UfhError where their design is not at hand, OutputError where it cannot be written.
    """
    design, numbers = design_before(record), staying(record)
    if design is None or not numbers:
        return settings
    file = beside.with_name(f"{beside.stem}-circuits.json")
    write_whole(file, json.dumps(laid_rows(design, drawn(record)), indent=1, ensure_ascii=False) + "\n")
    keep = tuple(KeptCircuits(file=str(file), circuit=number) for number in numbers)
    return replace(settings, circuits=replace(settings.circuits, keep=(*settings.circuits.keep, *keep)))
