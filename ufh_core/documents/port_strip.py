"""A strip of cells under the ports of a manifold: whose circuit, how long, its flow and the setting of its valve."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ufh_core.circuits.types import Port
from ufh_core.design_result import CircuitDesign, ManifoldDesign, StoreyDesign
from ufh_core.documents.lettering import wrapped
from ufh_core.documents.pen import Pen
from ufh_core.documents.plan_writing import LITRES_PER_MINUTE, turns_text
from ufh_core.documents.storey_view import StoreyView
from ufh_core.words import mark, number, say

ROW_MM, LINE_MM, MOST_LINES = 4.6, 2.6, 4
HEADS_MM = 24.0
TEXT_MM, ROOM_MM = 1.8, 1.6
NO_CIRCUIT = mark("spare")


@dataclass(frozen=True, slots=True, kw_only=True)
class PortCells:
    """What is written under one port, a text for each row."""

    port: Port
    circuit: CircuitDesign | None
    texts: tuple[str, ...]


HEADS = (
    mark("port"), mark("circuit"), mark("rooms"), mark("pipe, m"), mark("flow, l/min"), mark("valve, turns"),
    mark("drop, kPa"),
)  # fmt: skip
_ROOMS = HEADS.index("rooms")


def port_cells(view: StoreyView, storey: StoreyDesign, manifold: ManifoldDesign) -> tuple[PortCells, ...]:
    """The cells of every port in the order of the ports."""
    by_port = {c.laid.port: c for c in storey.circuits if c.laid.manifold == manifold.manifold.name}
    cells = []
    for port in sorted(manifold.manifold.ports, key=lambda port: port.number):
        circuit = by_port.get(port.number)
        cells.append(PortCells(port=port, circuit=circuit, texts=_texts(view, port, circuit)))
    return tuple(cells)


def _texts(view: StoreyView, port: Port, circuit: CircuitDesign | None) -> tuple[str, ...]:
    if circuit is None:
        return (str(port.number), say(NO_CIRCUIT), "", "", "", "", "")
    return (
        str(port.number),
        circuit.laid.number,
        ", ".join(view.label_of(room) for room in circuit.laid.rooms),
        number(circuit.laid.length_m, 1),
        number(circuit.flow.volume_flow * LITRES_PER_MINUTE, 2),
        turns_text(circuit.flow),
        number(circuit.flow.pressure_drop_pa / 1000, 1),
    )


def strip_mm() -> float:
    """Height of a strip on paper."""
    return sum(_heights())


def draw_strip(
    pen: Pen, cells: tuple[PortCells, ...], x_of: Callable[[PortCells], float], width: float, top: float
) -> None:
    """Draw the strip with its upper edge at `top`; each cell's middle at `x_of` [m], its `width` [m]."""
    if not cells:
        return
    left = min(x_of(cell) for cell in cells) - width / 2
    right = max(x_of(cell) for cell in cells) + width / 2
    start, at = left - pen.mm(HEADS_MM), top
    pen.line([(start, at), (right, at)], "SHEET", weight_mm=0.25)
    for row, height in enumerate(_heights()):
        middle = at - pen.mm(height / 2 + TEXT_MM / 2)
        pen.text((left - pen.mm(1.5), middle), say(HEADS[row]), TEXT_MM, "SHEET", align="right")
        for cell in cells:
            _write(pen, cell.texts[row], (x_of(cell), at - pen.mm(height / 2)), width, row)
        at -= pen.mm(height)
        pen.line([(start, at), (right, at)], "SHEET", weight_mm=0.13)
    for cell in cells:
        x = x_of(cell) - width / 2
        pen.line([(x, top), (x, at)], "SHEET", weight_mm=0.13)
    pen.line([(right, top), (right, at)], "SHEET", weight_mm=0.13)


def _write(pen: Pen, text: str, middle: tuple[float, float], width: float, row: int) -> None:
    """A text in the middle of its cell, rooms in as many lines as they need."""
    height, bold = (ROOM_MM, False) if row == _ROOMS else (2.2 if row == 0 else TEXT_MM, row < _ROOMS)
    lines = wrapped(text, width / pen.mm(1.0) - 1.2, height, MOST_LINES if row == _ROOMS else 1, bold=bold)
    for k, line in enumerate(lines):
        up = ((len(lines) - 1) / 2 - k) * LINE_MM - height / 2
        pen.text((middle[0], middle[1] + pen.mm(up)), line, height, "SHEET", align="middle", bold=bold)


def _heights() -> tuple[float, ...]:
    rooms = LINE_MM * MOST_LINES + 1.6
    return tuple(rooms if row == _ROOMS else ROW_MM + (1.0 if row == 0 else 0.0) for row in range(len(HEADS)))
