"""What the chapters are written from: the design, where the site stands, and the folder with the drawings."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ufh_core.design_result import Design
from ufh_core.documents.setting_out_text import short
from ufh_core.records.hold_points import SiteState
from ufh_core.records.site_design import SiteDesign
from ufh_core.words import number


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteSource:
    """What site knows: the design as site has it and its records; `folder` holds the drawings."""

    site: SiteDesign
    state: SiteState
    folder: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Source(SiteSource):
    """The whole design besides."""

    design: Design

    def room(self, guid: str) -> str:
        """The name of a room by its GlobalId, on one line."""
        return next((short(r.label) for s in self.design.building.storeys for r in s.rooms if r.ifc_guid == guid), "–")

    def rooms(self, guids: tuple[str, ...]) -> str:
        """The names of rooms."""
        return ", ".join(self.room(guid) for guid in guids)

    def storey(self, guid: str) -> str:
        """The name of a storey by its GlobalId."""
        return next((short(s.name) for s in self.design.building.storeys if s.ifc_guid == guid), "–")


def amount(quantity: float) -> str:
    """A number without needless digits."""
    return number(quantity, 0 if abs(quantity - round(quantity)) < 0.005 else 2)
