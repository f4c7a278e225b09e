"""Other trades' bodies against pipes, cabinets, the space for service, and the screed.

Pipes lie level and cabinets stand upright, so what a body covers of the plan between two heights decides
exactly (`bands`); a search tree over the plan finds the few bodies that come near.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import box

from ufh_core.basis.areas import Area
from ufh_core.basis.findings import Finding
from ufh_core.basis.message import Message, joined, note
from ufh_core.building.other_models import UNSTATED, TradeBody
from ufh_core.coordination.bands import band_area
from ufh_core.coordination.pipe_runs import PipeRuns
from ufh_core.coordination.pipes import Book
from ufh_core.coordination.rules import Place, broken, middle_of
from ufh_core.coordination.types import CabinetPart, ScreedPart

CLEAR_M = 0.05  # from a pipe's axis to drains and ducts that come through the floor; own rule
CLOSE_M = 0.002  # bodies that overlap by less only touch
LEAST_M2 = 0.0005
STANDING_M2 = 0.01
UNDER_M = 0.1  # of a pipe that lies under a body for less only touches it
STANDS_OVER_M = 0.12  # over a pipe's axis, within which a body stands on the floor above it
LYING_M = 0.5  # a body in the screed is lying there from this length on
UPRIGHT_M = 0.5  # a body as high as this comes through the floor
STAND_LOW_M, STAND_HIGH_M = 0.05, 2.0  # heights over the floor between which somebody stands
WORDS = {
    "drain": note("drain"),
    "duct": note("duct"),
    "pipe": note("pipe"),
    "cable": note("cable"),
    "structure": note("structure"),
    "other": note("body"),
    "unstated": note("body of no stated kind"),
}
RULES = {
    "drain": "pipe-on-drain", "duct": "pipe-on-duct", "pipe": "pipe-on-pipe", "cable": "pipe-on-cable",
    "structure": "pipe-in-structure", "other": "pipe-on-other", "unstated": "pipe-on-unstated",
}  # fmt: skip
NEAR = {"drain": "pipe-near-drain", "duct": "pipe-near-duct"}
WANTED_M = dict.fromkeys(NEAR.values(), CLEAR_M)


class TradeBodies:
    """All bodies with a search tree over the plan; what each covers between two heights is remembered."""

    def __init__(self, bodies: Sequence[TradeBody]) -> None:
        """Take the bodies of all models."""
        self.bodies = tuple(bodies)
        self._bands: dict[tuple[int, float, float], Area] = {}

    @cached_property
    def _heights(self) -> np.ndarray:
        return np.array([[b.vertices[:, 2].min(), b.vertices[:, 2].max()] for b in self.bodies]).reshape(-1, 2)

    @cached_property
    def _tree(self) -> shapely.STRtree:
        return shapely.STRtree(
            [box(*b.vertices[:, :2].min(axis=0), *b.vertices[:, :2].max(axis=0)) for b in self.bodies]
        )

    def near(
        self, shape: shapely.Geometry, low_m: float, high_m: float, reach_m: float = 0.0
    ) -> Iterator[tuple[TradeBody, Area]]:
        """(body, what it covers) of the bodies near a shape between two heights [m]."""
        if not self.bodies or shape.is_empty:
            return
        found = self._tree.query(shape, predicate="dwithin", distance=reach_m)
        for k in sorted(int(k) for k in found):
            if self._heights[k][0] < high_m and self._heights[k][1] > low_m:
                area = self._band(k, round(low_m, 4), round(high_m, 4))
                if not area.is_empty:
                    yield self.bodies[k], area

    def _band(self, k: int, low_m: float, high_m: float) -> Area:
        key = (k, low_m, high_m)
        if key not in self._bands:
            self._bands[key] = band_area(self.bodies[k].vertices, self.bodies[k].faces, low_m, high_m)
        return self._bands[key]

    def height(self, body: TradeBody) -> float:
        """Height of a body [m]."""
        return float(np.ptp(body.vertices[:, 2]))


def trade_called(body: TradeBody) -> str:
    """A body for people: trade, name, GlobalId and model."""
    name = f'"{body.name}" ' if body.name else ""
    which = f"{name}({body.ifc_class} {body.ifc_guid})"
    what = joined([Message(WORDS[body.trade]), which], " ")
    return Message("{what} of {model}", what=what, model=body.model) if body.model else what


def pipe_trade_findings(pipes: Sequence[PipeRuns], bodies: TradeBodies, storey: str) -> Iterator[Finding]:
    """Pipes that meet bodies of other trades, or leave drains and ducts no room."""
    book = Book(storey)
    for runs in pipes:
        radius = runs.part.radius_m
        stretches = [(runs.line, runs.level_m, runs.level_m), *runs.rises]
        for line, low, high in stretches:
            for body, area in bodies.near(line, low - radius + CLOSE_M, high + radius - CLOSE_M, CLEAR_M):
                _meet(book, runs, line, body, area)
        for body, area in bodies.near(runs.line, runs.level_m + radius, runs.level_m + STANDS_OVER_M):
            if body.trade == UNSTATED and body.vertices[:, 2].min() > runs.level_m + radius:
                under = runs.line.intersection(area)
                if under.length > UNDER_M:
                    book.met("pipe-under-unstated", body.ifc_guid, trade_called(body)).add(runs, under, 0.0)
    yield from book.findings(WANTED_M)


def _meet(book: Book, runs: PipeRuns, line: shapely.Geometry, body: TradeBody, area: Area) -> None:
    """A pipe's stretch and what a body covers at its height."""
    gap, radius = float(line.distance(area)), runs.part.radius_m
    if gap < radius - CLOSE_M:
        where = line.intersection(area.buffer(radius))
        book.met(RULES[body.trade], body.ifc_guid, trade_called(body)).add(runs, where, gap)
    elif body.trade in NEAR and gap < CLEAR_M - CLOSE_M:
        where = line.intersection(area.buffer(CLEAR_M))
        book.met(NEAR[body.trade], body.ifc_guid, trade_called(body)).add(runs, where, gap)


def cabinet_trade_findings(cabinet: CabinetPart, bodies: TradeBodies) -> Iterator[Finding]:
    """Bodies in a cabinet, and in the space in front of it."""
    inner = cabinet.outline.buffer(-CLOSE_M, join_style="mitre")
    met = set()
    for body, area in bodies.near(inner, cabinet.bottom_m + CLOSE_M, cabinet.top_m - CLOSE_M):
        if area.intersection(inner).area > LEAST_M2:
            met.add(body.ifc_guid)
            yield _at_cabinet("cabinet-at-unstated" if body.trade == UNSTATED else "cabinet-other-trade", cabinet, body)
    if cabinet.service is None:
        return
    for body, area in bodies.near(cabinet.service, cabinet.bottom_m + STAND_LOW_M, cabinet.bottom_m + STAND_HIGH_M):
        if body.ifc_guid not in met and area.intersection(cabinet.service).area > STANDING_M2:
            yield _at_cabinet("service-at-unstated" if body.trade == UNSTATED else "service-other-trade", cabinet, body)


def _at_cabinet(rule: str, cabinet: CabinetPart, body: TradeBody) -> Finding:
    """The finding for a body at a cabinet."""
    guids = (body.ifc_guid, cabinet.ifc_guid)
    place = Place(ifc_guids=guids, storey=cabinet.storey, at=middle_of(cabinet.outline))
    return broken(rule, place, manifold=cabinet.manifold, what=trade_called(body))


def screed_trade_findings(screed: ScreedPart, bodies: TradeBodies) -> Iterator[Finding]:
    """Bodies that lie in the screed of a room."""
    for body, area in bodies.near(screed.outline, screed.bottom_m + CLOSE_M, screed.top_m - CLOSE_M):
        inside = area.intersection(screed.outline)
        if body.trade != UNSTATED and bodies.height(body) < UPRIGHT_M and _long(inside) > LYING_M:
            place = Place(ifc_guids=(body.ifc_guid, screed.ifc_guid), storey=screed.storey, at=middle_of(inside))
            yield broken("body-in-screed", place, what=trade_called(body), room=screed.label)


def _long(area: Area) -> float:
    """The longest extent of an area [m]."""
    if area.is_empty:
        return 0.0
    corners = shapely.get_coordinates(area.minimum_rotated_rectangle)
    return float(max(np.hypot(*np.diff(corners[:3], axis=0).T), default=0.0)) if len(corners) > 2 else 0.0
