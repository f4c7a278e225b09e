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

SIGNS = (
    ("flow", "flow to a circuit, arrow with the water"),
    ("return", "return from a circuit"),
    ("towards", "the pipe goes on in the floor, towards the reader"),
    ("shut-off", "shut-off valve"),
    ("setting", "balancing valve: set to the turns from shut, or by the flow meter"),
    ("driven", "circuit's valve with its actuator, wired to the room's thermostat"),
    ("mixing", "mixing valve, its bypass from the return"),
    ("pump", "pump, triangle with the water"),
    ("meter", "flow meter (FI)"),
    ("thermometer", "thermometer (TI)"),
    ("stat", "safety limit stat (TZ): switches the pump off"),
    ("vent", "air vent"),
    ("drain", "cock to fill, flush and drain, capped"),
)
CAUTIONS = (
    "Designed by calculation. A competent person checks it against local codes, the makers' instructions and the site"
    " before work starts.",
    "Parts differ by make: the widths of bars, station and cabinet are settings. Check that all fits before the"
    " cabinet is set.",
    "A pressure test stores energy: step by step, with the mixing station shut off, nobody close to open ends.",
    "Water can scald: set the safety stat before first heating. Wiring is for licensed electricians.",
)


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
        f"pump, {water.pump}: {pump.volume_flow * LITRES_PER_MINUTE:.1f} l/min at {pump.pressure_pa / 1000:.1f} kPa, "
        f"of which {pump.entry_pa / 1000:.1f} kPa for bars, entry and mixing station; circuit "
        f"{pump.index_circuit or '–'} needs most",
        f"mixing valve: {manifold.flow_c:.1f} °C flow on the coldest day, return then {manifold.return_c:.1f} °C",
        f"safety stat: {limit:.0f} °C",
        "balancing valves: turns from shut under each port; the flow meter decides where both differ",
        f"water: {'no antifreeze' if water.antifreeze == 'none' else water.antifreeze}",
    )


def _drawn(view: StoreyView, manifold: ManifoldDesign) -> tuple[str, ...]:
    room = view.label_of(manifold.manifold.room)
    side = manifold.manifold.station_side
    return (
        f"as seen from {room}; ports count from left to right, mixing station on the {side} ({side}-handed)",
        "bars, ports, cabinet and heights to scale, in mm over the finished floor; valves are signs, turned into the "
        "picture",
        f"cabinet {1000 * manifold.manifold.width_m:.0f} wide, "
        f"{1000 * view.design.settings.manifold.cabinet_height_m:.0f} high, "
        f"{1000 * manifold.manifold.depth_m:.0f} deep",
        "signs after ISO 14617 and EN 1861; letters T, F, I and Z as in ISO 3511",
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
