"""What is written beside the front of a manifold: what to set, how it is meant, signs, cautions."""

from __future__ import annotations

import shapely

from ufh_core.design_result import ManifoldDesign
from ufh_core.documents.pen import PAPER, Pen
from ufh_core.documents.plan_pipes import FLOW_SHADES, RETURN_SHADES
from ufh_core.documents.plan_writing import LITRES_PER_MINUTE
from ufh_core.documents.sheet import Sheet
from ufh_core.documents.storey_view import StoreyView
from ufh_core.documents.water_signs import UP, SignPen
from ufh_core.documents.writing import Block, legend, paragraphs
from ufh_core.words import mark, said, say

SIGNS = (
    ("flow", mark("flow to a circuit, arrow with the water")),
    ("return", mark("return from a circuit")),
    ("towards", mark("the pipe goes on in the floor, towards the reader")),
    ("shut-off", mark("shut-off valve")),
    ("setting", mark("balancing valve: set to the turns from shut, or by the flow meter")),
    ("driven", mark("circuit's valve with its actuator, wired to the room's thermostat")),
    ("mixing", mark("mixing valve, its bypass from the return")),
    ("pump", mark("pump, triangle with the water")),
    ("meter", mark("flow meter (FI)")),
    ("thermometer", mark("thermometer (TI)")),
    ("stat", mark("safety limit stat (TZ): switches the pump off")),
    ("vent", mark("air vent")),
    ("drain", mark("cock to fill, flush and drain, capped")),
)
CAUTIONS = (
    mark(
        "Designed by calculation. A competent person checks it against local codes, the makers' instructions and the "
        "site before work starts."
    ),
    mark(
        "Parts differ by make: the widths of bars, station and cabinet are settings. Check that all fits before the"
        " cabinet is set."
    ),
    mark("A pressure test stores energy: step by step, with the mixing station shut off, nobody close to open ends."),
    mark("Water can scald: set the safety stat before first heating. Wiring is for licensed electricians."),
)
SIGNS_AFTER = mark("signs after ISO 14617 and EN 1861; letters T, F, I and Z as in ISO 3511")
HANDED = {
    "left": mark("as seen from {room}; ports count from left to right, mixing station on the left (left-handed)"),
    "right": mark("as seen from {room}; ports count from left to right, mixing station on the right (right-handed)"),
}
"""By the side of the mixing station."""


def front_blocks(view: StoreyView, manifold: ManifoldDesign) -> tuple[Block, ...]:
    """All blocks above the title, in reading order."""
    return (
        paragraphs("To be set here", _settings(view, manifold)),
        paragraphs("How it is drawn", _drawn(view, manifold)),
        legend(SIGNS),
        paragraphs("Cautions", CAUTIONS),
    )


def _settings(view: StoreyView, manifold: ManifoldDesign) -> tuple[str, ...]:
    water, pump = view.design.settings.hydraulics, manifold.pump
    limit = max(water.hottest_c, view.design.settings.output.greatest_flow_c)
    return (
        say(
            "pump, {kind}: {flow:.1f} l/min at {pressure:.1f} kPa, of which {entry:.1f} kPa for bars, entry and mixing "
            "station; circuit {circuit} needs most",
            kind=said(water.pump),
            flow=pump.volume_flow * LITRES_PER_MINUTE,
            pressure=pump.pressure_pa / 1000,
            entry=pump.entry_pa / 1000,
            circuit=pump.index_circuit or "–",
        ),
        say(
            "mixing valve: {flow:.1f} °C flow on the coldest day, return then {back:.1f} °C",
            flow=manifold.flow_c,
            back=manifold.return_c,
        ),
        say("safety stat: {limit:.0f} °C", limit=limit),
        say("balancing valves: turns from shut under each port; the flow meter decides where both differ"),
        say("water: {kind}", kind=say("no antifreeze") if water.antifreeze == "none" else said(water.antifreeze)),
    )


def _drawn(view: StoreyView, manifold: ManifoldDesign) -> tuple[str, ...]:
    room = view.label_of(manifold.manifold.room)
    seen = HANDED[manifold.manifold.station_side]
    return (
        say(seen, room=room),
        say(
            "bars, ports, cabinet and heights to scale, in mm over the finished floor; valves are signs, turned into "
            "the picture"
        ),
        say(
            "cabinet {wide:.0f} wide, {high:.0f} high, {deep:.0f} deep",
            wide=1000 * manifold.manifold.width_m,
            high=1000 * view.design.settings.manifold.cabinet_height_m,
            deep=1000 * manifold.manifold.depth_m,
        ),
        say(SIGNS_AFTER),
    )


def draw_front_sign(pen: Pen, sheet: Sheet, sign: str, x: float, middle: float) -> None:
    """Draw the legend's `sign` from `x`, about the height `middle` [mm on the sheet]."""
    signs = SignPen(pen)
    left, at, right = (sheet.at(x + shift, middle) for shift in (2.0, 8.5, 15.0))
    size = 3.0
    if sign in ("flow", "return"):
        layer, shade = ("PIPE-FLOW", FLOW_SHADES[0]) if sign == "flow" else ("PIPE-RETURN", RETURN_SHADES[0])
        pen.line([left, right], layer, colour=shade, weight_mm=0.5)
        signs.arrow(at, 0.0 if sign == "flow" else 2 * UP)
    elif sign == "bar":
        box = shapely.box(*sheet.at(x + 2.0, middle - 1.2), *sheet.at(x + 15.0, middle + 1.2))
        pen.fill(box, "MANIFOLD", PAPER)
        pen.outline(box, "MANIFOLD", weight_mm=0.35)
    elif sign in ("meter", "thermometer", "stat", "boundary"):
        signs.instrument(at, {"meter": "FI", "thermometer": "TI", "stat": "TZ"}[sign], 3.6)
    elif sign == "vent":
        signs.vent(sheet.at(x + 8.5, middle - 1.7), 1.4)
    elif sign == "drain":
        signs.drain(sheet.at(x + 8.5, middle + 1.4), 1.5)
    elif sign == "vessel":
        signs.vessel(at, 3.6)
    elif sign == "safety valve":
        signs.safety_valve(sheet.at(x + 8.5, middle - 0.4), 2.6)
    else:
        {
            "towards": lambda: signs.towards(at),
            "shut-off": lambda: signs.valve(at, 0.0, size),
            "setting": lambda: signs.setting_valve(at, 0.0, size),
            "driven": lambda: signs.driven_valve(sheet.at(x + 8.5, middle - 0.8), 0.0, size),
            "mixing": lambda: signs.mixing_valve(sheet.at(x + 8.5, middle + 0.4), 0.0, size),
            "pump": lambda: signs.pump(at, 0.0, 3.6),
        }[sign]()
