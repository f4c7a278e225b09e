"""Two states of one building side by side: what the architect changed, and what of a design it touches."""

from ufh_core.revision.compare import compare_models
from ufh_core.revision.earlier_design import EarlierDesign, read_earlier_design
from ufh_core.revision.types import Change, Effect, Revision, TouchedCircuit

__all__ = [
    "Change",
    "EarlierDesign",
    "Effect",
    "Revision",
    "TouchedCircuit",
    "compare_models",
    "read_earlier_design",
]
