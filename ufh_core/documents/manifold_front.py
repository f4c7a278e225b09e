"""The front of one manifold, as somebody in the room sees it: true sizes and heights, valves turned into the picture.

Bars, ports and mixing station stand where the heating model has them (`exchange/manifold_plan.py`), so that drawing
and model agree. Coordinates are metres: to the right from the cabinet's middle, up from the finished floor.
"""

from __future__ import annotations

from itertools import pairwise

import shapely

from ufh_core.basis.message import Message
from ufh_core.basis.pipe_axis import Point
from ufh_core.design_result import Design, ManifoldDesign, StoreyDesign
from ufh_core.documents.framed_page import Page, Plan, drawn
from ufh_core.documents.key_plan import manifold_key
from ufh_core.documents.labels import Label
from ufh_core.documents.manifold_layout import BESIDE_M, STRIP_GAP_M, Front
from ufh_core.documents.manifold_words import draw_front_sign, front_blocks
from ufh_core.documents.pen import PAPER, Pen
from ufh_core.documents.plan_pipes import FLOW_SHADES, RETURN_SHADES
from ufh_core.documents.plan_svg import safe_stem
from ufh_core.documents.port_strip import PortCells, draw_strip
from ufh_core.documents.sheet import DETAIL, Sheet
from ufh_core.documents.storey_view import storey_view
from ufh_core.documents.water_signs import RIGHT, UP, SignPen
from ufh_core.exchange.manifold_plan import BAR_RADIUS_M
from ufh_core.words import number, say

END_M = 0.05
PIPE_MM = 0.5
LEAST_BESIDE_M = 0.03


def drawn_front(design: Design, storey: StoreyDesign, manifold: ManifoldDesign, *, date: str = "") -> Plan:
    """The front of a manifold on its sheet. Raises: OutputError where the storey is not in the building."""
    view = storey_view(design, storey)
    front = Front(view=view, storey=storey, manifold=manifold)

    def draw(pen: Pen, sheet: Sheet) -> tuple[Label, ...]:
        FrontDrawing(pen, front).draw()
        return ()

    names = [m.manifold.name for s in design.storeys for m in s.manifolds]
    name = manifold.manifold.name
    page = Page(
        design=design,
        heading=say("Manifold {name}, front: {storey}", name=name, storey=view.storey.name),
        bounds=front.bounds,
        written=front_blocks(view, manifold),
        draw=draw,
        draw_sign=draw_front_sign,
        sheet_of=Message("{number} of {count}", number=names.index(name) + 1, count=len(names)),
        date=date,
        choices=DETAIL,
        north=False,
        draw_key=manifold_key(view, manifold),
    )
    return drawn(page)


def front_stems(design: Design) -> dict[str, str]:
    """File names `manifold-<name>` without an ending, by the name of the manifold."""
    names = [m.manifold.name for storey in design.storeys for m in storey.manifolds]
    return {name: f"manifold-{safe_stem(name)}" for name in names}


class FrontDrawing:
    """Draws one front with `pen`."""

    def __init__(self, pen: Pen, front: Front) -> None:
        self.pen, self.front, self.signs = pen, front, SignPen(pen)
        self.plan = front.plan

    def draw(self) -> None:
        """Floor, cabinet, bars, station, pipes with their valves, heights and widths, and the strip of ports."""
        self._floor()
        self._cabinet()
        self._bars()
        for cell in self.front.cells:
            self._pipes(cell)
        self._ends()
        self._station()
        self._heights()
        self._widths()
        foot = -self.front.depth - STRIP_GAP_M
        draw_strip(self.pen, self.front.cells, self.front.port_x, self.front.cell_m, foot)

    def x(self, along: float) -> float:
        """Place of a distance along the bars towards the station."""
        return along * self.front.side

    def _floor(self) -> None:
        """The finished floor as a line, hatched down to the pipes."""
        left, right = -self.front.half - END_M, self.front.half + END_M
        band = shapely.box(left, -self.front.depth - 0.015, right, 0.0)
        self.pen.hatch(band, "FLOOR", angles_deg=(45.0,), gap_mm=3.0)
        self.pen.line([(left - 0.02, 0.0), (right + 0.02, 0.0)], "SHEET", weight_mm=0.5)

    def _cabinet(self) -> None:
        box = shapely.box(-self.front.half, 0.0, self.front.half, self.front.top)
        self.pen.fill(box, "MANIFOLD", PAPER)
        self.pen.outline(box, "MANIFOLD", weight_mm=0.35)

    def _bars(self) -> None:
        """The flow bar up to the pump, the return bar up to under the mixing valve."""
        plan = self.plan
        far = {plan.flow_z: plan.last_m, plan.return_z: plan.station("mixing")[1]}
        for name, z in (("flow", plan.flow_z), ("return", plan.return_z)):
            ends = sorted((self.x(plan.first_m), self.x(far[z])))
            bar = shapely.box(ends[0], z - BAR_RADIUS_M, ends[1], z + BAR_RADIUS_M)
            self.pen.fill(bar, "MANIFOLD", (236, 236, 236) if name == "flow" else PAPER)
            self.pen.outline(bar, "MANIFOLD", weight_mm=0.35)

    def _pipes(self, cell: PortCells) -> None:
        """Both pipes of a port: down from the flow bar, up to the return bar, with valve, meter and drive."""
        flow_x, back_x = self.front.across(cell.port.flow), self.front.across(cell.port.return_)
        flow_z, back_z = self.plan.flow_z - BAR_RADIUS_M, self.plan.return_z - BAR_RADIUS_M
        mm, signs = self.pen.mm, self.signs
        if cell.circuit is not None:
            self._run([(flow_x, flow_z - mm(6.0)), (flow_x, -self.front.depth)], "PIPE-FLOW", FLOW_SHADES[0])
            self._run([(back_x, -self.front.depth), (back_x, back_z)], "PIPE-RETURN", RETURN_SHADES[0])
            for x in (flow_x, back_x):
                signs.towards((x, -self.front.depth))
            signs.arrow((flow_x, 0.13), -UP)
            signs.arrow((back_x, 0.13), UP)
        signs.instrument((flow_x, flow_z - mm(3.6)), "FI", 4.8)
        signs.setting_valve((flow_x, flow_z - mm(9.4)), UP, 4.4)
        signs.driven_valve((back_x, back_z - mm(4.0)), UP, 4.4, side=-1.0 if back_x >= flow_x else 1.0)
        middle = self.front.port_x(cell)
        self.pen.text(
            (middle, self.plan.flow_z - mm(1.0)), str(cell.port.number), 2.2, "SIGN", align="middle", bold=True
        )
        self.pen.text(
            (middle, self.plan.return_z - mm(1.0)), str(cell.port.number), 2.2, "SIGN", align="middle", bold=True
        )

    def _run(self, points: list[Point], layer: str, shade: tuple[int, int, int]) -> None:
        self.pen.line(points, layer, colour=shade, weight_mm=PIPE_MM)

    def _ends(self) -> None:
        """Air vent on the far end of each bar, a cock to drain under one end, the safety stat's pocket at the near one.

        The cock goes to the near end where a pipe comes out beside the far one.
        """
        plan = self.plan
        far, near = self.x(plan.first_m + 0.012), self.x(plan.last_m - 0.012)
        ports = [cell.port for cell in self.front.cells]
        pipes = {plan.flow_z: [p.flow for p in ports], plan.return_z: [p.return_ for p in ports]}
        for z, below in pipes.items():
            beside = min((abs(self.front.across(at) - far) for at in below), default=1.0)
            self.signs.vent((far, z + BAR_RADIUS_M))
            self.signs.drain((far if beside > LEAST_BESIDE_M else near, z - BAR_RADIUS_M))
        pocket = self.x(plan.last_m - 0.012)
        foot = plan.flow_z + BAR_RADIUS_M
        self.pen.line([(pocket, foot), (pocket, foot + self.pen.mm(2.0))], "SIGN")
        self.signs.instrument((pocket, foot + self.pen.mm(4.5)), "TZ")

    def _station(self) -> None:
        """From the source to the bars: shut-off, thermometer, mixing valve with bypass, pump; and the way back."""
        plan, signs = self.plan, self.signs
        inward = RIGHT if self.front.side < 0 else UP * 2
        middle = {part: self.x(sum(plan.station(part)) / 2) for part in ("pump", "mixing", "thermometer", "shut-off")}
        edge = self.x(plan.station("shut-off")[1]) + self.front.side * 0.03
        to_meter, gap = middle["thermometer"], self.front.side * self.pen.mm(2.4)
        for start, end in ((edge, to_meter + gap), (to_meter - gap, self.x(plan.last_m))):
            self._run([(start, plan.flow_z), (end, plan.flow_z)], "PIPE-FLOW", FLOW_SHADES[0])
        self._run([(to_meter + gap, plan.return_z), (edge, plan.return_z)], "PIPE-RETURN", RETURN_SHADES[0])
        up = [(middle["mixing"], plan.return_z + BAR_RADIUS_M), (middle["mixing"], plan.flow_z)]
        self._run(up, "PIPE-RETURN", RETURN_SHADES[0])
        signs.arrow((middle["mixing"], (plan.flow_z + plan.return_z) / 2), UP)
        signs.pump((middle["pump"], plan.flow_z), inward)
        below = 1.0 if self.front.side > 0 else -1.0
        signs.mixing_valve((middle["mixing"], plan.flow_z), inward, third=below)
        for z in (plan.flow_z, plan.return_z):
            signs.instrument((middle["thermometer"], z), "TI", 4.8)
            signs.valve((middle["shut-off"], z), inward, 4.4)
        signs.arrow((edge, plan.flow_z), inward)
        signs.arrow((edge, plan.return_z), inward + 2 * UP)
        self._say(middle)

    def _say(self, middle: dict[str, float]) -> None:
        """Temperatures at the thermometers and the pump's duty, clear of lines."""
        own, plan, mm = self.front.manifold, self.plan, self.pen.mm
        for z, c in ((plan.flow_z, f"≥ {number(own.flow_c, 1)} °C"), (plan.return_z, f"{number(own.return_c, 1)} °C")):
            self._text((middle["thermometer"], z - mm(5.6)), c)
        self._text((middle["pump"], plan.flow_z - mm(6.4)), f"{number(own.flow_c, 1)} °C")
        self._text((middle["pump"], plan.flow_z + mm(8.6)), f"{number(own.pump.volume_flow * 60_000, 1)} l/min")
        self._text((middle["pump"], plan.flow_z + mm(5.4)), f"{number(own.pump.pressure_pa / 1000, 1)} kPa")

    def _text(self, at: Point, words: str) -> None:
        self.pen.text(at, words, 1.8, "SIGN", align="middle")

    def _heights(self) -> None:
        """Heights over the finished floor [mm] left of the cabinet."""
        x = -self.front.half - BESIDE_M
        marks = [self.plan.return_z, self.plan.flow_z, self.front.top, -self.front.depth]
        marks = sorted({0.0, *marks})
        self.pen.line([(x, marks[0]), (x, marks[-1])], "SHEET", weight_mm=0.13)
        for z in marks:
            self._tick((x, z))
            self.pen.line([(x - self.pen.mm(2.0), z), (-self.front.half, z)], "SHEET", weight_mm=0.09)
            said = say("±0 finished floor") if z == 0.0 else f"{1000 * z:+.0f}"
            self.pen.text((x - self.pen.mm(2.6), z - self.pen.mm(0.9)), said, 1.8, "SHEET", align="right")

    def _widths(self) -> None:
        """The cabinet's width, and where first and last port stand in it [mm]."""
        low, high = self.front.top + self.pen.mm(7.0), self.front.top + self.pen.mm(14.0)
        ports = sorted(self.front.port_x(cell) for cell in self.front.cells)
        self._chain([-self.front.half, *ports, self.front.half], low)
        self._chain([-self.front.half, self.front.half], high)

    def _chain(self, xs: list[float], y: float) -> None:
        """A chain of dimensions; each in its middle, where it has room."""
        self.pen.line([(xs[0], y), (xs[-1], y)], "SHEET", weight_mm=0.13)
        for x in xs:
            self._tick((x, y))
        for a, b in pairwise(xs):
            if b - a >= self.pen.mm(6.0):
                self.pen.text(
                    ((a + b) / 2, y + self.pen.mm(1.0)), f"{1000 * (b - a):.0f}", 1.8, "SHEET", align="middle"
                )

    def _tick(self, at: Point) -> None:
        d = self.pen.mm(0.8)
        self.pen.line([(at[0] - d, at[1] - d), (at[0] + d, at[1] + d)], "SHEET", weight_mm=0.25)
