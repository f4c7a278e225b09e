"""What stops a better field, measured on its floor and said in words."""

from __future__ import annotations

import shapely

from ufh_core.circuits.territory_fields import Joined
from ufh_core.fields.choice import CircuitChoice
from ufh_core.fields.heated import HAIR_M, REACH
from ufh_core.fields.types import FieldRequest, FieldResult
from ufh_core.zones.territories import Territory

WORTH_SAYING_M2 = 0.05
MANY_BENDS = 0.5  # right angles a metre: what a large plain room needs


def choice_of(joined: Joined) -> CircuitChoice:
    """How the field of a circuit was chosen."""
    return CircuitChoice(
        asked_pitch_m=joined.refusals[0].pitch_m if joined.refusals else joined.pitch_m,
        drawn=joined.result.drawn,
        candidates=joined.result.candidates,
        refusals=joined.refusals,
        limits=limits_of(joined.territory, joined.request, joined.result),
    )


def limits_of(territory: Territory, request: FieldRequest, result: FieldResult) -> tuple[str, ...]:
    """The limits of one field, those of the floor first; empty where nothing stands in the way."""
    tails = territory.floor.area - request.floor.area
    narrow = out_of_reach_m2(request)
    cold = max(0.0, float(request.floor.area - shapely.intersection(request.floor, result.heated).area) - narrow)
    turn = round(2000 * request.least_radius_m)
    bends = result.bends / max(shapely.LineString(result.corners).length, 1.0)
    corners = len(request.floor.simplify(0.02).exterior.coords) - 1
    outline, area = request.floor.exterior.length, request.floor.area
    said = [
        (tails, f"tails of circuits take {tails:.2f} m² of its floor"),
        (narrow, f"{narrow:.2f} m² lie where no turn of {turn} mm fits"),
        (cold, f"{cold:.2f} m² more stay cold: no run of whole turns was found that fills them"),
        (
            bends - MANY_BENDS,
            f"{area:.1f} m² within an outline of {outline:.1f} m and {corners} corners make runs short and bends many",
        ),
    ]
    return tuple(words for size, words in said if size > WORTH_SAYING_M2)


def out_of_reach_m2(request: FieldRequest) -> float:
    """Floor [m²] farther than 0.75 pitch, and a hair, from every place where a pipe can turn round."""
    radius = request.least_radius_m
    wide = request.axis_area.buffer(-radius).buffer(radius)
    return float(shapely.difference(request.floor, wide.buffer(REACH * request.pitch_m + HAIR_M)).area)
