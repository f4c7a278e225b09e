"""The heating in an architect's model that another program has open: added to it in place, and taken out again."""

from __future__ import annotations

from typing import Any

from ufh_core.building.earlier_additions import additions, take_out_additions
from ufh_core.design_result import Design
from ufh_core.exchange.coordinated_model import add_to_model


def earlier_in(model: Any) -> tuple[Any, ...]:
    """What an earlier run added to an open model and `write_into` would take out: its products."""
    return tuple(entity for entity in additions(model) if entity.is_a("IfcProduct"))


def write_into(design: Design, model: Any) -> tuple[str, ...]:
    """Add the design to an open model in place of an earlier one; GlobalIds of what was added.

    Nothing of the architect's is changed, the file's header neither. Raises `OutputError` where the model has no
    geometric context; then nothing was added.
    """
    take_out_additions(model)
    return add_to_model(design, model)
