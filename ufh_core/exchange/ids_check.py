"""Checks a model against one of the two bundled specifications in IDS 1.0, and says in plain words what is missing.

`architect.ids` asks for what a design needs from a building model, `heating.ids` for what a heating model owes the
trades that receive it. Both may be handed to others, whose own checker reads them.

Source: buildingSMART, Information Delivery Specification 1.0 (2024).
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

import ifcopenshell
from ifctester import ids

Which = Literal["architect", "heating"]
_MOST_NAMED = 5


@dataclass(frozen=True)
class Gap:
    """One requirement that some elements miss: what asks for it, what to do, and which elements (name, GlobalId)."""

    specification: str
    remedy: str
    elements: tuple[str, ...]

    def line(self) -> str:
        """One line for people; at most five elements are named, the rest counted."""
        named = ", ".join(self.elements[:_MOST_NAMED])
        rest = len(self.elements) - _MOST_NAMED
        return f"{self.specification}: {self.remedy}" + (f" ({named}{f' and {rest} more' if rest > 0 else ''})")


def specification_path(which: Which) -> Path:
    """Where the bundled specification is: `architect` or `heating`."""
    return Path(__file__).with_name(f"{which}.ids")


def ids_gaps(model: ifcopenshell.file, which: Which) -> tuple[Gap, ...]:
    """Everything that the specification asks for and `model` lacks, in the specification's order."""
    document = ids.open(str(specification_path(which)))
    document.validate(model)
    if not any(part.is_ifc_version for part in document.specifications):
        remedy = f"none of it can be checked on {model.schema}; send IFC4 or IFC4X3"
        return (Gap(document.info["title"], remedy, ("the whole file",)),)
    return tuple(gap for part in document.specifications for gap in _gaps_of(part))


def ids_lines(model: ifcopenshell.file, which: Which) -> list[str]:
    """Report for people: one line for each gap, or one that says there is none."""
    gaps = ids_gaps(model, which)
    return [gap.line() for gap in gaps] or ["The model holds everything that the specification asks for."]


def gaps_json(model: ifcopenshell.file, which: Which) -> list[dict[str, Any]]:
    """The gaps for programs: `specification`, `remedy`, `elements` of each."""
    return [asdict(gap) for gap in ids_gaps(model, which)]


def _gaps_of(part: Any) -> list[Gap]:
    """The gaps of one specification; a kind of element that must be there and is not is a gap of its own."""
    if part.is_ifc_version is False:
        return []
    if part.minOccurs and not part.applicable_entities:
        return [Gap(part.name, f"there are none in the model. {part.description}", ("no element",))]
    return [
        Gap(part.name, need.instructions, tuple(_called(failure["element"]) for failure in need.failures))
        for need in part.requirements
        if need.failures
    ]


def _called(element: Any) -> str:
    """Name and GlobalId of an element."""
    name = getattr(element, "Name", None) or element.is_a()
    return f"{name} {getattr(element, 'GlobalId', '')}".strip()
