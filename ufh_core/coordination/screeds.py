"""Pipes in their screed: enough of it over them, none below, and screed wherever they lie in a room."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely

from ufh_core.basis.findings import Finding
from ufh_core.coordination.pipe_runs import PipeRuns
from ufh_core.coordination.rules import Place, broken, listed, middle_of
from ufh_core.coordination.scene import FloorScene
from ufh_core.coordination.types import ScreedPart

LEAST_M = 0.10  # of a pipe in a room before its screed is looked at
BARE_M = 0.30
SLACK_M = 0.002
STRIP_M = 0.03  # screed ends at the edge strip; a pipe under the strip is the clearance's matter


def screed_findings(
    pipes: Sequence[PipeRuns], screeds: Sequence[ScreedPart], scene: FloorScene, cover_m: float
) -> Iterator[Finding]:
    """What is wrong with screed and pipes of one floor; `cover_m` is the least screed over pipes [m]."""
    for screed in screeds:
        here = [(p, p.line.intersection(screed.outline)) for p in pipes]
        here = [(p, part) for p, part in here if part.length > LEAST_M]
        yield from _cover(screed, here, cover_m)
        yield from _below(screed, here)
    if screeds:
        yield from _bare(pipes, screeds, scene)


Inside = Sequence[tuple[PipeRuns, shapely.Geometry]]


def _over(pipe: PipeRuns, screed: ScreedPart) -> float:
    """Screed over a pipe [m]."""
    return screed.top_m - (pipe.level_m + pipe.part.radius_m)


def _cover(screed: ScreedPart, here: Inside, cover_m: float) -> Iterator[Finding]:
    """Pipes with too little screed over them."""
    thin = [(p, part) for p, part in here if _over(p, screed) < cover_m - SLACK_M]
    if thin:
        least = min(_over(p, screed) for p, _ in thin)
        sizes = {"cover_mm": 1000 * max(0.0, least), "wanted_mm": 1000 * cover_m}
        yield _say("cover-too-thin", screed, thin, **sizes)


def _below(screed: ScreedPart, here: Inside) -> Iterator[Finding]:
    """Pipes that reach below their screed."""
    deep = [(p, part) for p, part in here if p.level_m - p.part.radius_m < screed.bottom_m - SLACK_M]
    if deep:
        most = max(screed.bottom_m - (p.level_m - p.part.radius_m) for p, _ in deep)
        yield _say("pipe-below-screed", screed, deep, deep_mm=1000 * most)


def _say(rule: str, screed: ScreedPart, met: Inside, **values: object) -> Finding:
    """The finding for a screed and the pipes in it."""
    guids = (screed.ifc_guid, *sorted(p.part.ifc_guid for p, _ in met))
    place = Place(ifc_guids=guids, storey=screed.storey, at=middle_of(met[0][1]))
    return broken(rule, place, pipes=listed(p.part.number for p, _ in met), what=screed.label, **values)


def _bare(pipes: Sequence[PipeRuns], screeds: Sequence[ScreedPart], scene: FloorScene) -> Iterator[Finding]:
    """Pipes in rooms where no screed is modelled."""
    covered = shapely.union_all([s.outline.buffer(STRIP_M) for s in screeds])
    for room in scene.rooms:
        open_floor = room.outline.difference(covered)
        met = [(p, p.line.intersection(open_floor)) for p in pipes]
        met = [(p, part) for p, part in met if part.length > BARE_M]
        if met:
            guids = (room.ifc_guid, *sorted(p.part.ifc_guid for p, _ in met))
            place = Place(ifc_guids=guids, storey=scene.storey.ifc_guid, at=middle_of(met[0][1]))
            long = sum(float(part.length) for _, part in met)
            numbers = listed(p.part.number for p, _ in met)
            yield broken("pipe-without-screed", place, pipes=numbers, what=room.label, long_mm=1000 * long)
