"""Flows and pressures: friction, bends, valves, balancing, expansion, the pump's duty.

`circuit_flow` for each circuit at its design flow, then `balance` for the circuits of one manifold, `in_turns` for
the positions of its valves, and `flow_findings` for what is beyond the settings' limits. Laminar flow is normal in
short circuits. `circuit_pipe` and `flow_at` answer the other way round: which flow a pressure drives.
"""

from ufh_core.hydraulics.balancing import balance, in_turns
from ufh_core.hydraulics.circuit import circuit_flow, fixed_kvs, water_content
from ufh_core.hydraulics.expansion import vessel
from ufh_core.hydraulics.pipe import circuit_pipe, flow_at, inner_diameter
from ufh_core.hydraulics.remarks import fill_findings, flow_findings

__all__ = [
    "balance",
    "circuit_flow",
    "circuit_pipe",
    "fill_findings",
    "fixed_kvs",
    "flow_at",
    "flow_findings",
    "in_turns",
    "inner_diameter",
    "vessel",
    "water_content",
]
