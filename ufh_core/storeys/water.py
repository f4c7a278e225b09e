"""The water of a storey: flows, valve settings and pumps."""

from __future__ import annotations

from collections.abc import Iterable

from ufh_core.basis.pipe_axis import Arc
from ufh_core.circuits.types import LaidCircuit, LevelLayout
from ufh_core.design_result import CircuitDesign, ManifoldDesign
from ufh_core.hydraulics import balance, circuit_flow
from ufh_core.hydraulics.types import CircuitFlow
from ufh_core.settings.types import Settings
from ufh_core.thermal_output.types import LaidOutput


def water(
    layouts: Iterable[LevelLayout], outputs: LaidOutput, settings: Settings
) -> tuple[list[CircuitDesign], list[ManifoldDesign]]:
    """Flows, settings and pumps, manifold by manifold."""
    designs: list[CircuitDesign] = []
    manifolds: list[ManifoldDesign] = []
    for layout in layouts:
        for manifold in layout.manifolds:
            mine = [c for c in layout.circuits if c.manifold == manifold.name]
            if not mine:
                continue
            open_ = {c.number: _flow(c, outputs, settings) for c in mine}
            balanced, pump = balance(open_, {c.number: c.length_m for c in mine}, settings)
            designs += [_circuit(c, balanced[c.number], outputs) for c in mine]
            back = sum(outputs.circuits[c.number].return_c * balanced[c.number].mass_flow for c in mine)
            total = sum(f.mass_flow for f in balanced.values())
            return_c = back / total if total > 0 else outputs.flow_c
            manifolds.append(ManifoldDesign(manifold=manifold, flow_c=outputs.flow_c, return_c=return_c, pump=pump))
    return designs, manifolds


def _flow(circuit: LaidCircuit, outputs: LaidOutput, settings: Settings) -> CircuitFlow:
    output = outputs.circuits[circuit.number]
    arcs = [p for p in circuit.axis.pieces if isinstance(p, Arc)]
    mean_c = (output.flow_c + output.return_c) / 2
    return circuit_flow(output.mass_flow, mean_c, circuit.length_m, arcs, settings)


def _circuit(circuit: LaidCircuit, flow: CircuitFlow, outputs: LaidOutput) -> CircuitDesign:
    output = outputs.circuits[circuit.number]
    litres = flow.volume_flow * 60_000
    return CircuitDesign(
        laid=circuit,
        flow=flow,
        output_w=output.output_w,
        downward_w=output.downward_w,
        flow_c=output.flow_c,
        return_c=output.return_c,
        valve_setting=f"{litres:.2f} l/min",
    )
