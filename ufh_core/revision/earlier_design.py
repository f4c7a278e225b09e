"""The earlier design as its folder holds it: settings and circuits, from design.json."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ufh_core.basis.errors import UfhError
from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import Building
from ufh_core.order_differences import RESULTS, read_results
from ufh_core.settings.earlier_run import EarlierCircuit, circuits_of, earlier_frame
from ufh_core.settings.reading import settings_from_table
from ufh_core.settings.types import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierDesign:
    """A design of the old state. `file` is its design.json, `results` what that holds."""

    file: Path
    settings: Settings
    circuits: tuple[EarlierCircuit, ...]
    results: Mapping[str, Any]

    @property
    def frame(self) -> LocalFrame | None:
        """The plan frame in which it was laid, in the world of the old state; None where it does not say."""
        return earlier_frame(str(self.file))

    @property
    def lengths_m(self) -> dict[str, float]:
        """Pipe of every circuit by its number [m]."""
        return {str(c["number"]): float(c["length_m"]) for s in self.results["storeys"] for c in s["circuits"]}

    @property
    def settings_digest(self) -> str:
        """The digest that names its settings."""
        return str(self.results["settings"].get("digest", ""))

    @property
    def with_panels(self) -> frozenset[str]:
        """GlobalIds of storeys whose panels have a laying plan."""
        return frozenset(str(s["ifc_guid"]) for s in self.results["storeys"] if (s.get("panels") or {}).get("count"))


def read_earlier_design(where: Path, old: Building) -> EarlierDesign:
    """The design in a folder. Raises: UfhError, one line, where there is none or it is of another state than `old`."""
    results = read_results(where)
    file = where / RESULTS if where.is_dir() else where
    try:
        digest = results["model"]["file_digest"]
        table = {key: value for key, value in results["settings"].items() if key != "digest"}
        circuits = circuits_of(results, str(file))
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        raise UfhError(f"{file}: lacks a value ({error}); design the old model again with this version") from error
    if digest != old.file_digest:
        raise UfhError(f"{file}: is the design of another model, or state of it, than the old one; name its own folder")
    return EarlierDesign(
        file=file, settings=settings_from_table(table, str(file)), circuits=tuple(circuits), results=results
    )
