"""Heat demand of rooms by EN 12831-1, simplified, with every term kept."""

from ufh_core.heat_demand.demand import heat_demand, outdoor_temperature
from ufh_core.heat_demand.surroundings import slab_below
from ufh_core.heat_demand.types import DemandBasis, DemandTerm, Envelope, HeatDemand, RoomCondition, RoomDemand

__all__ = [
    "DemandBasis",
    "DemandTerm",
    "Envelope",
    "HeatDemand",
    "RoomCondition",
    "RoomDemand",
    "heat_demand",
    "outdoor_temperature",
    "slab_below",
]
