"""What the schedules say: a row a circuit, a row a manifold, a row a line of the order.

Formulas stay where a reader would change a number: flow from heat and spread, totals of a manifold and its pump's
duty, packs from need, spare and pack. Source: EN 1264-3 for the flow; packs are common practice.
"""

from __future__ import annotations

import math

from ufh_core.design_result import CircuitDesign, Design, ManifoldDesign, StoreyDesign, TakeOffLine
from ufh_core.documents.schedule_cells import Cell, Live, Table, column_of
from ufh_core.exchange.pipe_run import circuit_run
from ufh_core.thermal_output.water_side import carried_heat

HAIR = 1e-9
LITRES_PER_MINUTE = 60_000  # in 1 m³/s
CIRCUITS, MANIFOLDS, ORDER = "Circuits", "Manifolds", "Order"
CIRCUIT_HEADS = (
    "circuit", "manifold", "port", "rooms", "pitch [mm]", "heated area [m²]", "length with tails [m]", "tails [m]",
    "heat up [W]", "heat down [W]", "spread [K]", "heat capacity [J/(kg K)]", "density [kg/m³]", "mass flow [kg/h]",
    "flow [l/min]", "pressure drop [kPa]", "valve setting", "coil", "coil length [m]", "cut [m]",
)  # fmt: skip
MANIFOLD_HEADS = (
    "manifold", "storey", "room", "circuits", "heated area [m²]", "length with tails [m]", "heat up [W]",
    "heat down [W]", "mass flow [kg/h]", "flow [l/min]", "flow temperature [°C]", "return temperature [°C]",
    "shared pressure drops [kPa]", "pump pressure [kPa]", "index circuit",
)  # fmt: skip
ORDER_HEADS = ("item", "net", "unit", "spare [%]", "pack holds", "packs", "to order", "note")


def tables(design: Design) -> tuple[Table, Table, Table]:
    """Circuits, manifolds and the order. Circuits stand by manifold and port."""
    circuits: list[tuple[Cell, ...]] = []
    manifolds: list[tuple[Cell, ...]] = []
    cuts = _cuts(design)
    for storey in design.storeys:
        for manifold in storey.manifolds:
            name = manifold.manifold.name
            mine = sorted((c for c in storey.circuits if c.laid.manifold == name), key=lambda c: c.laid.port)
            first = len(circuits) + 2
            for k, circuit in enumerate(mine):
                circuits.append(_circuit(design, storey, circuit, first + k, cuts))
            manifolds.append(_manifold(design, storey, manifold, first, circuits[first - 2 :], len(manifolds) + 2))
    order = tuple(_line(line, row) for row, line in enumerate(design.take_off, 2))
    return (
        Table(CIRCUITS, CIRCUIT_HEADS, tuple(circuits)),
        Table(MANIFOLDS, MANIFOLD_HEADS, tuple(manifolds)),
        Table(ORDER, ORDER_HEADS, order),
    )


def _cuts(design: Design) -> dict[str, tuple[int, float, float]]:
    """(coil counted from 1, its length [m], cut [m]) by circuit."""
    return {
        number: (k, coil.length_m, cut)
        for k, coil in enumerate(design.coils.coils if design.coils else (), 1)
        for number, cut in zip(coil.circuits, coil.cuts_m, strict=True)
    }


def _circuit(
    design: Design, storey: StoreyDesign, circuit: CircuitDesign, row: int, cuts: dict[str, tuple[int, float, float]]
) -> tuple[Cell, ...]:
    """One circuit in a row of the sheet."""
    laid, flow = circuit.laid, circuit.flow
    density = flow.mass_flow / flow.volume_flow if flow.volume_flow > 0 else None
    heat = carried_heat(design.settings.hydraulics.fluid, (circuit.flow_c + circuit.return_c) / 2)
    return (
        laid.number,
        laid.manifold,
        laid.port,
        ", ".join(design.building.room(room).label for room in laid.rooms),
        1000 * laid.pitch_m,
        laid.heated_area_m2,
        circuit_run(design, storey, circuit).length_m,
        laid.tail_length_m,
        circuit.output_w,
        circuit.downward_w,
        circuit.flow_c - circuit.return_c,
        heat,
        density,
        *_flows(circuit, row, heat, density),
        flow.pressure_drop_pa / 1000,
        circuit.valve_setting,
        *cuts.get(laid.number, (None, None, None)),
    )


def _flows(circuit: CircuitDesign, row: int, heat: float, density: float | None) -> tuple[Cell, Cell]:
    """Mass flow [kg/h] that carries heat up and down at the spread, and the same in l/min."""
    spread = circuit.flow_c - circuit.return_c
    if spread <= 0 or density is None:
        return circuit.flow.mass_flow * 3600, circuit.flow.volume_flow * LITRES_PER_MINUTE
    up, down, by, carried, dense, mass = (
        f"{column_of(CIRCUIT_HEADS, head)}{row}"
        for head in ("heat up [W]", "heat down [W]", "spread [K]", "heat capacity [J/(kg K)]", "density [kg/m³]",
                     "mass flow [kg/h]")
    )  # fmt: skip
    flow = 3600 * (circuit.output_w + circuit.downward_w) / (heat * spread)
    return Live(f"=3600*({up}+{down})/({carried}*{by})", flow), Live(
        f"={mass}/60/{dense}*1000", flow / 60 / density * 1000
    )


def _manifold(
    design: Design,
    storey: StoreyDesign,
    result: ManifoldDesign,
    first: int,
    rows: list[tuple[Cell, ...]],
    row: int,
) -> tuple[Cell, ...]:
    """One manifold: sums over its circuits, which stand from row `first` of their sheet."""
    manifold, pump = result.manifold, result.pump
    own = next(s for s in design.building.storeys if s.ifc_guid == storey.storey)
    room = next((r.label for r in own.rooms if r.ifc_guid == manifold.room), "")

    def of(function: str, head: str) -> Live | None:
        values = [_value(cells[CIRCUIT_HEADS.index(head)]) for cells in rows]
        at = column_of(CIRCUIT_HEADS, head)
        result = float(max(values, default=0.0) if function == "MAX" else sum(values))
        return Live(f"={function}({CIRCUITS}!{at}{first}:{at}{first + len(rows) - 1})", result) if rows else None

    sums = [of("SUM", head) for head in MANIFOLD_HEADS[4:10]]
    return (
        manifold.name,
        own.name,
        room,
        len(rows),
        *sums,
        result.flow_c,
        result.return_c,
        pump.entry_pa / 1000,
        _duty(of("MAX", "pressure drop [kPa]"), pump.entry_pa / 1000, row),
        pump.index_circuit,
    )


def _duty(greatest: Live | None, shared_kpa: float, row: int) -> Live | None:
    """Pump pressure [kPa]: the circuit that needs most, and what all share."""
    if greatest is None:
        return None
    shared = f"{column_of(MANIFOLD_HEADS, 'shared pressure drops [kPa]')}{row}"
    return Live(f"{greatest.formula}+{shared}", greatest.value + shared_kpa)


def _value(cell: Cell) -> float:
    if isinstance(cell, Live):
        return cell.value
    return cell if isinstance(cell, (int, float)) else 0.0


def _line(line: TakeOffLine, row: int) -> tuple[Cell, ...]:
    """One line of the order; where packs are not simply rounded up once, they stay the numbers of the design."""
    packs: Cell = line.packs
    quantity: Cell = line.quantity
    if line.net is not None:
        need = f"B{row}*(1+D{row}/100)"
        whole = math.ceil(line.net * (1 + line.spare) / (line.pack or 1) - HAIR)
        if not line.pack and whole == line.quantity:
            quantity = Live(f"=ROUNDUP({need}-{HAIR:.9f},0)", whole)
        elif line.pack and whole == line.packs:
            packs = Live(f"=ROUNDUP({need}/E{row}-{HAIR:.9f},0)", whole)
            quantity = Live(f"=F{row}*E{row}", line.quantity)
    spare = None if line.net is None else 100 * line.spare
    return line.item, line.net, line.unit, spare, line.pack, packs, quantity, line.note
