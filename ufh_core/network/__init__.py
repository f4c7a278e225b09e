"""A whole manifold as a network: what every circuit gets from a pump, with all circuits open or some shut.

`branches_of` and `pump_of` make the network from the circuits as balanced, `solve` finds its flows,
`network_table` compares balancing with self-limiting valves, and `network_findings` says what follows.
On site, `valve_advice` says from measured flows which valve to turn.
"""

from ufh_core.network.branches import branches_of, limited
from ufh_core.network.fitting import Round
from ufh_core.network.pump import pump_of
from ufh_core.network.rebalancing import Advice, ValveTurn, valve_advice
from ufh_core.network.remarks import network_findings
from ufh_core.network.solve import entry_of, solve, system_curve
from ufh_core.network.table import network_table
from ufh_core.network.types import Branch, Entry, NetworkTable, Operation, Pump

__all__ = [
    "Advice",
    "Branch",
    "Entry",
    "NetworkTable",
    "Operation",
    "Pump",
    "Round",
    "ValveTurn",
    "branches_of",
    "entry_of",
    "limited",
    "network_findings",
    "network_table",
    "pump_of",
    "solve",
    "system_curve",
    "valve_advice",
]
