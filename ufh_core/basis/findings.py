"""Findings: what a designer should know, one object for every reader of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ufh_core.basis.message import Message


class Severity(StrEnum):
    """How much a finding matters."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that was found, in one line that says which element, what, and what to do.

    `message` is English that can be said in another language. `code` is stable and dotted by room
    (`building.area-differs`); `ifc_guids` name the elements;
    `at` is a plan position in the local frame [m], on the storey of GlobalId `storey` where that is known;
    `source` names a standard or rule.
    """

    code: str
    severity: Severity
    message: Message
    ifc_guids: tuple[str, ...] = ()
    at: tuple[float, float] | None = None
    source: str = ""
    storey: str = ""
