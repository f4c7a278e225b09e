"""The whole check: every rule on every storey, from finished bodies alone.

It knows nothing of how a layout was found, so that it finds the layout's mistakes and those of others.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

from ufh_core.basis.areas import Area
from ufh_core.basis.findings import Finding
from ufh_core.building.coordination_inputs import Surroundings
from ufh_core.building.other_models import OtherModel, TradeBody
from ufh_core.building.types import Building, Storey
from ufh_core.coordination.cabinets import cabinet_findings, cabinets_meet, off_storey
from ufh_core.coordination.drilling import drilling_findings
from ufh_core.coordination.pipe_runs import PipeRuns, pipe_runs
from ufh_core.coordination.pipes import pipe_findings
from ufh_core.coordination.rules import Place, broken, listed, middle_of
from ufh_core.coordination.scene import FloorScene, called, floor_scene, floor_under, sound, storey_of
from ufh_core.coordination.screeds import screed_findings
from ufh_core.coordination.service_space import service_findings
from ufh_core.coordination.trades import (
    TradeBodies,
    cabinet_trade_findings,
    pipe_trade_findings,
    screed_trade_findings,
)
from ufh_core.coordination.types import CabinetPart, HeatingParts
from ufh_core.settings.types import Settings

FAR_M = 50.0  # a model whose nearest body is further from the building lies elsewhere


def coordination_findings(
    building: Building, heating: HeatingParts, around: Surroundings, settings: Settings
) -> tuple[Finding, ...]:
    """Everything that clashes, or leaves too little room, in the order of storeys."""
    building = sound(building)
    extent = _extent(building)
    near = [m for m in around.others if _away(m, extent) <= FAR_M]
    bodies = TradeBodies([*around.services, *(b for m in near for b in m.bodies)])
    found = [*_models(around, extent), *cabinets_meet(heating.cabinets), *_unread(heating)]
    runs = [pipe_runs(p) for p in heating.pipes]
    found += _strangers(building, heating, runs)
    for floor in _floors(building, heating, runs):
        found += _floor(floor, heating, around, bodies, settings)
    for storey in building.storeys:
        found += drilling_findings([r for r in runs if r.part.storey == storey.ifc_guid], storey, around.swings)
    for screed in heating.screeds:
        found += screed_trade_findings(screed, bodies)
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Floor:
    """What of the heating lies on one floor of a storey."""

    storey: Storey
    floor_m: float
    pipes: tuple[PipeRuns, ...]
    cabinets: tuple[CabinetPart, ...]


def _floor(
    floor: _Floor, heating: HeatingParts, around: Surroundings, bodies: TradeBodies, settings: Settings
) -> Iterator[Finding]:
    """Every rule on one floor."""
    scene: FloorScene = floor_scene(floor.storey, floor.floor_m, around.swings)
    guid = floor.storey.ifc_guid
    for cabinet in floor.cabinets:
        yield from cabinet_findings(cabinet, scene)
        yield from service_findings(cabinet, scene)
        yield from cabinet_trade_findings(cabinet, bodies)
    sleeves = [s for s in heating.sleeves if s.storey in (guid, "")]
    homes = [c for c in heating.cabinets if any(p.part.manifold == c.manifold for p in floor.pipes)]
    yield from pipe_findings(floor.pipes, scene, sleeves, homes, settings.layout)
    screeds = [s for s in heating.screeds if s.storey in (guid, "") and abs(s.top_m - floor.floor_m) < 0.25]
    yield from screed_findings(floor.pipes, screeds, scene, settings.floor.screed_cover_m)
    yield from pipe_trade_findings(floor.pipes, bodies, guid)


# --- storeys ------------------------------------------------------------------------------------


def _floors(building: Building, heating: HeatingParts, runs: Sequence[PipeRuns]) -> list[_Floor]:
    """The floors on which something of the heating lies."""
    pipes: dict[tuple[str, float], list[PipeRuns]] = {}
    cabinets: dict[tuple[str, float], list[CabinetPart]] = {}
    for run in runs:
        storey = storey_of(building, run.part.storey, run.level_m)
        floor = floor_under(storey, run.line, run.level_m)
        if floor is not None:
            pipes.setdefault((storey.ifc_guid, round(floor, 2)), []).append(run)
    for cabinet in heating.cabinets:
        storey = _home(building, cabinet)
        cabinets.setdefault((storey.ifc_guid, round(cabinet.bottom_m, 2)), []).append(cabinet)
    by_guid = {s.ifc_guid: s for s in building.storeys}
    return [
        _Floor(
            storey=by_guid[key[0]],
            floor_m=key[1],
            pipes=tuple(pipes.get(key, ())),
            cabinets=tuple(cabinets.get(key, ())),
        )
        for key in dict.fromkeys([*pipes, *cabinets])
    ]


def _home(building: Building, cabinet: CabinetPart) -> Storey:
    """The storey on whose floor a cabinet stands, by the model's word or else by its place."""
    given = storey_of(building, cabinet.storey, cabinet.bottom_m)
    return next((s for s in (given, *building.storeys) if off_storey(cabinet, s) is None), given)


def _strangers(building: Building, heating: HeatingParts, runs: Sequence[PipeRuns]) -> Iterator[Finding]:
    """Pipes and cabinets that do not belong to the storey that the model gives them."""
    storeys = {s.ifc_guid: s for s in building.storeys}
    for cabinet in heating.cabinets:
        given = storey_of(building, cabinet.storey, cabinet.bottom_m)
        if (finding := off_storey(cabinet, given)) is not None:
            yield finding
    lost: dict[str, list[PipeRuns]] = {}
    for run in runs:
        storey = storey_of(building, run.part.storey, run.level_m)
        if floor_under(storey, run.line, run.level_m) is None:
            lost.setdefault(storey.ifc_guid, []).append(run)
    for guid, here in lost.items():
        yield _pipes_say("pipe-off-storey", storeys[guid], here)
    home = {c.manifold: c for c in heating.cabinets}
    away: dict[tuple[str, str], list[PipeRuns]] = {}
    for run in runs:
        own = home.get(run.part.manifold)
        if own is not None and own.storey != run.part.storey and run.part.storey in storeys:
            away.setdefault((own.manifold, run.part.storey), []).append(run)
    for (manifold, guid), here in away.items():
        yield _pipes_say("manifold-of-other-storey", storeys[guid], here, manifold, home[manifold].ifc_guid)


def _pipes_say(rule: str, storey: Storey, here: Sequence[PipeRuns], manifold: str = "", first: str = "") -> Finding:
    """The finding for pipes and a storey."""
    guids = (first, storey.ifc_guid, *sorted(r.part.ifc_guid for r in here))
    place = Place(ifc_guids=guids, storey=storey.ifc_guid, at=middle_of(here[0].line))
    name = called("storey", storey.name, storey.ifc_guid)
    return broken(rule, place, pipes=listed(r.part.number for r in here), what=name, manifold=manifold)


# --- models -------------------------------------------------------------------------------------


def _extent(building: Building) -> shapely.Geometry:
    """The plan box of the building."""
    shapes: list[Area] = [r.outline for s in building.storeys for r in s.rooms]
    shapes += [w.outline for s in building.storeys for w in s.walls]
    return shapely.box(*shapely.total_bounds(shapes)) if shapes else shapely.Polygon()


def _away(model: OtherModel, extent: shapely.Geometry) -> float:
    """Plan distance of a model's nearest body from the building [m]; 0 for one without bodies."""
    gaps = [_box(b).distance(extent) for b in model.bodies]
    return float(min(gaps, default=0.0))


def _box(body: TradeBody) -> shapely.Geometry:
    """Plan box of a body."""
    return shapely.box(*body.vertices[:, :2].min(axis=0), *body.vertices[:, :2].max(axis=0))


def _models(around: Surroundings, extent: shapely.Geometry) -> Iterator[Finding]:
    """What is to be said of the other models as a whole."""
    for model in around.others:
        if not model.bodies:
            yield broken("nothing-to-check", Place(), what=model.name)
        if (away := _away(model, extent)) > FAR_M:
            yield broken("model-elsewhere", Place(), what=model.name, away_m=away)
        if model.georeferenced != (around.system is not None):
            yield broken("one-georeferenced", Place(), what=model.name)
        elif around.system is not None and model.system.casefold() != around.system.casefold():
            theirs, ours = (repr(s) if s else "an unnamed system" for s in (model.system, around.system))
            yield broken("other-map-system", Place(), what=model.name, theirs=theirs, ours=ours)
        if model.unread:
            place = Place(ifc_guids=model.unread)
            yield broken("shapes-unread", place, count=len(model.unread), what=model.name)


def _unread(heating: HeatingParts) -> Iterator[Finding]:
    """Elements of the heating model that could not be checked."""
    if heating.unread:
        place = Place(ifc_guids=heating.unread)
        yield broken("shapes-unread", place, count=len(heating.unread), what="the heating model")
