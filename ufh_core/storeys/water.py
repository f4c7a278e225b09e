"""The water of a storey: flows, valve settings, pumps, and every manifold as a network."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message
from ufh_core.basis.pipe_axis import Arc
from ufh_core.circuits.types import LaidCircuit, LevelLayout
from ufh_core.design_result import CircuitDesign, ManifoldDesign, StoreyDesign
from ufh_core.hydraulics import balance, circuit_flow, circuit_pipe, fill_findings, in_turns, vessel
from ufh_core.hydraulics.pipe import CircuitPipe
from ufh_core.hydraulics.types import CircuitFlow, ExpansionVessel
from ufh_core.network import branches_of, network_findings, network_table
from ufh_core.settings.types import Settings
from ufh_core.thermal_output.types import LaidOutput

_OWN = "own network solution"


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
            pipes = {c.number: _pipe(c, outputs.flow_c, outputs.circuits[c.number].return_c, settings) for c in mine}
            balanced = {n: in_turns(f, pipes[n], pump.circuits_pa, settings) for n, f in balanced.items()}
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


def _pipe(circuit: LaidCircuit, flow_c: float, return_c: float, settings: Settings) -> CircuitPipe:
    arcs = [p for p in circuit.axis.pieces if isinstance(p, Arc)]
    return circuit_pipe((flow_c + return_c) / 2, circuit.length_m, arcs, settings)


def with_networks(
    manifolds: Iterable[ManifoldDesign], circuits: Iterable[CircuitDesign], settings: Settings
) -> tuple[tuple[ManifoldDesign, ...], tuple[Finding, ...]]:
    """The manifolds with what their circuits get from the pump, all open and some shut, and what there is to say.

    A pump whose curve ends before it meets the network leaves a remark and no table.
    """
    done: list[ManifoldDesign] = []
    findings: list[Finding] = []
    all_circuits = list(circuits)
    for each in manifolds:
        mine = {c.laid.number: c for c in all_circuits if c.laid.manifold == each.manifold.name}
        pipes = {n: _pipe(c.laid, c.flow_c, c.return_c, settings) for n, c in mine.items()}
        branches = branches_of({n: c.flow for n, c in mine.items()}, pipes, settings.hydraulics)
        if not branches:
            done.append(each)
            continue
        try:
            table = network_table(branches, each.pump, settings.hydraulics)
        except NoSolution as error:
            text = Message("manifold {name}: {error}", name=each.manifold.name, error=error.message)
            findings.append(
                Finding(code="network.pump-too-small", severity=Severity.WARNING, message=text, source=_OWN)
            )
            done.append(each)
            continue
        done.append(replace(each, network=table))
        findings += network_findings(each.manifold.name, table)
    return tuple(done), tuple(findings)


def whole_water(
    storeys: Iterable[StoreyDesign], settings: Settings
) -> tuple[ExpansionVessel | None, tuple[Finding, ...]]:
    """The least vessel for the water of all circuits, and what there is to say of it; nothing without water."""
    content = sum(manifold.pump.water_content_m3 for storey in storeys for manifold in storey.manifolds)
    if content <= 0:
        return None, ()
    least = vessel(content, settings)
    return least, fill_findings(least, settings.hydraulics)


def _setting(flow: CircuitFlow) -> str:
    """What the fitter sets: the flow on the meter, and the turns of the valve where its table has them."""
    litres = f"{flow.volume_flow * 60_000:.2f} l/min"
    return litres if flow.valve_turns is None else f"{litres}, {flow.valve_turns:g} turns"


def _circuit(circuit: LaidCircuit, flow: CircuitFlow, outputs: LaidOutput) -> CircuitDesign:
    output = outputs.circuits[circuit.number]
    return CircuitDesign(
        laid=circuit,
        flow=flow,
        output_w=output.output_w,
        downward_w=output.downward_w,
        flow_c=output.flow_c,
        return_c=output.return_c,
        valve_setting=_setting(flow),
    )
