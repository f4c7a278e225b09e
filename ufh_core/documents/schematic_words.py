"""What is written on and beside the hydraulic schematic: the source by others, values, signs, cautions."""

from __future__ import annotations

from ufh_core.design_result import Design
from ufh_core.documents.manifold_words import SIGNS as FRONT_SIGNS
from ufh_core.documents.manifold_words import SIGNS_AFTER, draw_front_sign
from ufh_core.documents.pen import Pen
from ufh_core.documents.plan_writing import LITRES_PER_MINUTE
from ufh_core.documents.sheet import Sheet
from ufh_core.documents.writing import Block, TableColumn, legend, paragraphs, table
from ufh_core.words import mark, number, say

_LEFT_OUT = frozenset({"towards", "meter", "drain"})
SIGNS = tuple((sign, meaning) for sign, meaning in FRONT_SIGNS if sign not in _LEFT_OUT)
CAUTIONS = (
    mark(
        "Designed by calculation. A competent person checks it against local codes, the makers' instructions and the "
        "site before work starts."
    ),
    mark(
        "Source, its pump, expansion vessel, safety valve and filling are by others; vessel and safety valve are always"
        " open to the water, with no valve that could shut them off."
    ),
    mark(
        "Water can scald: the safety stat is set before first heating. Gas and electrical work is for licensed trades."
    ),
)


def source_lines(design: Design) -> tuple[str, ...]:
    """What the floor heating asks of the source, line by line."""
    manifolds = [m for storey in design.storeys for m in storey.manifolds]
    litres = sum(m.pump.volume_flow for m in manifolds) * LITRES_PER_MINUTE
    heat = sum(c.output_w + c.downward_w for storey in design.storeys for c in storey.circuits)
    flow = max((m.flow_c for m in manifolds), default=0.0)
    lines = [
        say("Source of heat, by others"),
        say(
            "at least {flow:.1f} °C flow; {heat:.1f} kW; circuits {litres:.1f} l/min in all",
            flow=flow,
            heat=heat / 1000,
            litres=litres,
        ),
    ]
    if design.vessel is not None:
        vessel = design.vessel
        lines.append(
            say(
                "expansion vessel for the circuits alone: {litres:.0f} l at {before:.1f} bar; safety valve "
                "{most:.1f} bar",
                litres=1000 * vessel.vessel_m3,
                before=vessel.pre_pressure_pa / 1e5,
                most=design.settings.hydraulics.safety_valve_pa / 1e5,
            )
        )
    return tuple(lines)


def schematic_blocks(design: Design) -> tuple[Block, ...]:
    """All blocks above the title, in reading order."""
    return (_pumps(design), paragraphs("How it is drawn", _drawn()), legend(SIGNS), paragraphs("Cautions", CAUTIONS))


def _pumps(design: Design) -> Block:
    """One row for each manifold."""
    columns = (
        TableColumn("manifold", 17), TableColumn("ports", 11, "right"), TableColumn("flow °C", 12, "right"),
        TableColumn("back °C", 12, "right"), TableColumn("l/min", 12, "right"), TableColumn("kPa", 11, "right"),
        TableColumn("litres", 14, "right"),
    )  # fmt: skip
    rows = [
        (
            m.manifold.name,
            f"{len(m.manifold.ports)}",
            number(m.flow_c, 1),
            number(m.return_c, 1),
            number(m.pump.volume_flow * LITRES_PER_MINUTE, 1),
            number(m.pump.pressure_pa / 1000, 1),
            number(1000 * m.pump.water_content_m3, 1),
        )
        for storey in design.storeys
        for m in storey.manifolds
    ]
    return table("Pumps and water of the manifolds", columns, rows)


def _drawn() -> tuple[str, ...]:
    return (
        say("not to scale; flow solid, return dashed; F is the flow bar, R the return bar"),
        say("turns are those of the balancing valve from shut; the drop is that of the circuit with its valve open"),
        say(SIGNS_AFTER),
    )


def draw_schematic_sign(pen: Pen, sheet: Sheet, sign: str, x: float, middle: float) -> None:
    """Draw the legend's `sign` from `x`, about the height `middle` [mm on the sheet]."""
    draw_front_sign(pen, sheet, sign, x, middle)
