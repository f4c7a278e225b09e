"""Flows and pressures: friction, bends, valves, balancing, pump.

`circuit_flow` for each circuit at its design flow, then `balance` for the circuits of one manifold, and
`flow_findings` for what is beyond the settings' limits. Laminar flow is normal in short circuits.
"""

from ufh_core.hydraulics.balancing import balance, flow_findings
from ufh_core.hydraulics.circuit import circuit_flow, inner_diameter, water_content

__all__ = ["balance", "circuit_flow", "flow_findings", "inner_diameter", "water_content"]
