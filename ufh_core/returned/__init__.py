"""A heating model that was edited elsewhere comes back: what of it the design goes on from, and what it cannot."""

from ufh_core.returned.reading_back import read_back
from ufh_core.returned.types import Returned, ReturnedCircuit, ReturnedManifold, State

__all__ = ["Returned", "ReturnedCircuit", "ReturnedManifold", "State", "read_back"]
