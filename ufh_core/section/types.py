"""A section through the heated floor, and what the solver says of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.errors import NoSolution

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Mask = NDArray[np.bool_]

ROOM_FILM_R = 1 / 10.8  # 1/α of a heated floor [m² K/W]. Source: EN 1264-2
TURBULENT = float("inf")  # film coefficient that EN 1264-2 presumes: the pipe's inner wall is as warm as the water


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One solid layer: thickness [m], λ [W/(m K)], volumetric heat capacity ρ c [J/(m³ K)].

    Raises: NoSolution where one of them is not a positive number.
    """

    thickness_m: float
    conductivity: float
    heat_capacity_volumetric: float

    def __post_init__(self) -> None:
        _demand_positive("thickness of a layer", self.thickness_m)
        _demand_positive("conductivity of a layer", self.conductivity)
        _demand_positive("heat capacity of a layer", self.heat_capacity_volumetric)


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeInSection:
    """The pipe: d_a [m], s_R [m], λ_R [W/(m K)], height of its centre over the underside of the lowest layer [m].

    `film` is the film coefficient inside [W/(m² K)]; `TURBULENT` leaves its resistance out, as EN 1264-2 does.
    `heat_capacity_volumetric` is the wall's ρ c [J/(m³ K)] (2.2e6: polyethylene 950 kg/m³, 2300 J/(kg K),
    EN ISO 10456 to two digits, from memory).
    Raises: NoSolution for a pipe that cannot be.
    """

    outside_m: float
    wall_m: float
    conductivity: float
    centre_m: float
    film: float = TURBULENT
    heat_capacity_volumetric: float = 2.2e6

    def __post_init__(self) -> None:
        _demand_positive("outside diameter of the pipe", self.outside_m)
        _demand_positive("wall of the pipe", self.wall_m)
        _demand_positive("conductivity of the pipe wall", self.conductivity)
        _demand_positive("film coefficient in the pipe", self.film, infinite=True)
        if self.wall_m >= self.outside_m / 2:
            raise NoSolution(
                f"a pipe of {self.outside_m * 1000:g} mm with a wall of {self.wall_m * 1000:g} mm has no bore"
            )

    @property
    def radius_m(self) -> float:
        """Outside radius [m]."""
        return self.outside_m / 2

    @property
    def bore_radius_m(self) -> float:
        """Inside radius [m]."""
        return self.outside_m / 2 - self.wall_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Half a pitch of heated floor at right angles to the pipes; all that is beside it repeats.

    `layers` lie from below to above; the pipe may lie in any of them or across two. `below_r` [m² K/W] leads
    from the lowest layer to the temperature below, its film (0.17) included; None: no heat goes down.
    `finish_r` [m² K/W] is a covering that stores nothing and conducts only upward, 0 where the covering is a layer.
    `room_film_r` is 1/α [m² K/W].
    Raises: NoSolution for a section that cannot be.
    """

    pitch_m: float
    layers: tuple[Layer, ...]
    pipe: PipeInSection
    below_r: float | None
    finish_r: float = 0.0
    room_film_r: float = ROOM_FILM_R

    def __post_init__(self) -> None:
        _demand_positive("pitch", self.pitch_m)
        _demand_positive("resistance of the film to the room", self.room_film_r)
        if self.below_r is not None:
            _demand_positive("resistance below", self.below_r)
        if not 0 <= self.finish_r < float("inf"):
            raise NoSolution(f"resistance of the finish must be 0 or more, not {self.finish_r:g} m²K/W")
        lowest, highest = self.pipe.centre_m - self.pipe.radius_m, self.pipe.centre_m + self.pipe.radius_m
        if not (lowest > -1e-9 and highest < self.height_m + 1e-9):
            raise NoSolution("the pipe does not lie within the layers of the section")
        if self.pitch_m <= self.pipe.outside_m:
            raise NoSolution(f"pipes of {self.pipe.outside_m * 1000:g} mm cannot lie {self.pitch_m * 1000:g} mm apart")

    @property
    def height_m(self) -> float:
        """Height of all layers [m]."""
        return sum(layer.thickness_m for layer in self.layers)

    @property
    def half_pitch_m(self) -> float:
        """Width of the section [m]."""
        return self.pitch_m / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class SteadyResult:
    """The floor in the steady state.

    `heat_flux` q [W/m²] upward and `downward_flux` q_u [W/m²], both over the floor's area; `characteristic` K_H
    [W/(m² K)]: q by kelvin of water over room where the temperature below is the room's; `linear_output`
    [W/(m K)]: all heat of a metre of pipe by the same kelvin. `surface_x_m` [m] from over the pipe to midway
    between two, `surface_c` θ_F there, of which `peak_surface_c` θ_F,max, `mean_surface_c` θ_F,m and
    `least_surface_c`. `water_c` is the water's mean temperature in this section, which a pipe that gives a
    known power takes by itself.
    """

    heat_flux: float
    downward_flux: float
    characteristic: float
    linear_output: float
    surface_x_m: Array
    surface_c: Array
    peak_surface_c: float
    mean_surface_c: float
    least_surface_c: float
    screed_peak_c: float  # the warmest point of the layers: that at the pipe
    water_c: float


def _demand_positive(what: str, value: float, *, infinite: bool = False) -> None:
    if not (0 < value < float("inf") or (infinite and value == float("inf"))):
        raise NoSolution(f"{what} must be more than 0, not {value:g}")
