"""What holds the pipe: castellated panels, staples in the insulation, or clip rails on it; and how many of them.

Only panels are a layer of their own with a resistance and with studs that displace screed. A stapled pipe lies on the
foil; a railed one on the rails' seats, with screed under it.
"""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.settings.types import Settings

PANELS, STAPLES, RAILS = "castellated panels", "staples", "rails"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixing:
    """How the pipe is held. `name` is one of the three above.

    `base_m` and `base_r` are the panel under the pipe [m], [m² K/W]; `seat_m` is screed under the pipe [m];
    `stud_volume_m3_per_m2` is the screed that studs displace.
    """

    name: str
    base_m: float = 0.0
    base_r: float = 0.0
    seat_m: float = 0.0
    stud_volume_m3_per_m2: float = 0.0


def fixing_of(settings: Settings) -> Fixing:
    """The fixing that the settings ask for: panels where there is a stud grid, else what `floor.pipe_holder` says."""
    floor = settings.floor
    if settings.layout.stud_grid:
        return Fixing(
            name=PANELS,
            base_m=floor.panel_base_m,
            base_r=floor.panel_base_m / floor.panel_conductivity,
            stud_volume_m3_per_m2=floor.stud_volume_m3_per_m2,
        )
    return Fixing(name=floor.pipe_holder, seat_m=floor.rail_seat_m if floor.pipe_holder == RAILS else 0.0)


def staples(pipe_m: float, settings: Settings) -> float:
    """Staples for a length of pipe [m], none for other fixings. Common practice: a mean distance, bends included."""
    return pipe_m / settings.floor.staple_spacing_m if fixing_of(settings).name == STAPLES else 0.0


def rails_m(area_m2: float, settings: Settings) -> float:
    """Clip rail [m] for an area [m²] with pipe, none for other fixings. Common practice: rows across the pipes."""
    return area_m2 / settings.floor.rail_spacing_m if fixing_of(settings).name == RAILS else 0.0
