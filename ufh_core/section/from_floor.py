"""The section of a floor as designed, for the solver."""

from __future__ import annotations

from ufh_core.floor.types import BuildUp, FloorSection
from ufh_core.floor.types import Layer as FloorLayer
from ufh_core.section.types import TURBULENT, Layer, PipeInSection, Section
from ufh_core.settings.types import Settings

SCREED_SPECIFIC_HEAT = 1000.0  # [J/(kg K)]. Source: EN ISO 10456, concrete and mortar
LIGHT_HEAT_CAPACITY = 25.0 * 1450.0  # expanded polystyrene [J/(m³ K)]. Source: EN ISO 10456 (1450 J/(kg K))
FINISH_HEAT_CAPACITY = 1.5e6  # between wood (0.8e6) and ceramic tiles (1.9e6) [J/(m³ K)]. Source: EN ISO 10456
_HARDLY_A_LAYER_R = 1e-6  # [m² K/W] below which foils and membranes are left out


def section_of(
    build_up: BuildUp,
    settings: Settings,
    pitch_m: float,
    *,
    film: float = TURBULENT,
    finish_heat_capacity: float = FINISH_HEAT_CAPACITY,
) -> Section:
    """The section of a room's floor at a pitch T [m], with pipe and screed of the settings.

    Layers that resist (insulation, panel, screed, finish) are solid; what `build_up.r_below` holds beside
    insulation and panel (the slab, the film of 0.17) is a resistance below; the panel's studs are taken as screed.
    `film` [W/(m² K)] is the water's in the pipe, `finish_heat_capacity` [J/(m³ K)] that of the covering.
    Raises: NoSolution for a floor that cannot be.
    """
    layers = [layer for layer in build_up.layers if layer.r_value > _HARDLY_A_LAYER_R and layer.thickness_m > 0]
    under = [layer for layer in layers if layer.role in {"insulation", "panel"}]
    over = [layer for layer in layers if layer.role in {"screed", "finish"}]
    base = sum(layer.thickness_m for layer in under)
    screed = next(layer for layer in over if layer.role == "screed")
    capacities = {"screed": settings.floor.screed_density * SCREED_SPECIFIC_HEAT, "finish": finish_heat_capacity}
    return Section(
        pitch_m=pitch_m,
        layers=tuple(_solid(layer, capacities.get(layer.role, LIGHT_HEAT_CAPACITY)) for layer in [*under, *over]),
        pipe=PipeInSection(
            outside_m=settings.pipe.outside_diameter_m,
            wall_m=settings.pipe.wall_m,
            conductivity=settings.pipe.conductivity,
            centre_m=base + build_up.pipe_axis_m - screed.bottom_m,
            film=film,
        ),
        below_r=build_up.r_below - sum(layer.r_value for layer in under),
    )


def section_of_floor_section(
    floor: FloorSection, *, gap_m: float = 0.0, film: float = TURBULENT, screed_heat_capacity: float = 2.0e6
) -> Section:
    """The section that EN 1264-2's figures describe: insulation and finish only resist.

    `gap_m` [m] is the screed under the pipe, 0 where it lies on the panel; `screed_heat_capacity` [J/(m³ K)].
    Raises: NoSolution for a floor that cannot be.
    """
    screed = Layer(
        thickness_m=gap_m + floor.pipe_diameter_m + floor.cover_m,
        conductivity=floor.screed_conductivity,
        heat_capacity_volumetric=screed_heat_capacity,
    )
    pipe = PipeInSection(
        outside_m=floor.pipe_diameter_m,
        wall_m=floor.pipe_wall_m,
        conductivity=floor.pipe_conductivity,
        centre_m=gap_m + floor.pipe_diameter_m / 2,
        film=film,
    )
    return Section(pitch_m=floor.pitch_m, layers=(screed,), pipe=pipe, below_r=floor.r_below, finish_r=floor.finish_r)


def _solid(layer: FloorLayer, heat_capacity: float) -> Layer:
    return Layer(
        thickness_m=layer.thickness_m,
        conductivity=layer.thickness_m / layer.r_value,
        heat_capacity_volumetric=heat_capacity,
    )
