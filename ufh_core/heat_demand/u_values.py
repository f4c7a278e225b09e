"""U-values of what the model describes, and of what it leaves open.

Source: EN ISO 6946, thermal transmittance of plane layers; film resistances [m² K/W] R_si 0.13 level,
0.10 up, 0.17 down and R_se 0.04 (from memory, 0.17 also in EN 1264-2).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ufh_core.building.types import Construction, MaterialLayer

R_SI_LEVEL, R_SI_UP, R_SI_DOWN, R_SE = 0.13, 0.10, 0.17, 0.04
LEAST_U, GREATEST_U = 0.05, 7.0
BARE_WALL_U, BARE_LEVEL_U = 2.5, 1.5  # layers alone give more: the insulation was left out of the model
_LOAD_BEARING_CONDUCTIVITY = 0.5
_AIR_M = (0.0, 0.005, 0.007, 0.010, 0.015, 0.025, 0.050, 0.100, 0.300)
_AIR_UP = (0.0, 0.11, 0.13, 0.15, 0.16, 0.16, 0.16, 0.16, 0.16)
_AIR_LEVEL = (0.0, 0.11, 0.13, 0.15, 0.17, 0.18, 0.18, 0.18, 0.18)
_AIR_DOWN = (0.0, 0.11, 0.13, 0.15, 0.17, 0.19, 0.21, 0.22, 0.23)
_AIR_BY_FILMS = tuple(
    (inside + other, row)
    for inside, row in ((R_SI_LEVEL, _AIR_LEVEL), (R_SI_UP, _AIR_UP), (R_SI_DOWN, _AIR_DOWN))
    for other in (R_SE, inside)
)


@dataclass(frozen=True, slots=True)
class UValue:
    """A U-value [W/(m² K)] with where it comes from: "model", "layers" or "default"."""

    value: float
    basis: str


def u_value(construction: Construction, films_r: float, default: float, bare_u: float = GREATEST_U) -> UValue:
    """Take the model's own U-value, else the one of its layers, else `default` [W/(m² K)].

    `films_r` is the sum of both film resistances [m² K/W]. Figures outside 0.05 to 7 are not believed,
    nor layers that give more than `bare_u`: architects often draw the bare structure alone.
    Source: EN ISO 6946.
    """
    own = construction.u_value
    if own is not None and LEAST_U <= own <= GREATEST_U:
        return UValue(own, "model")
    resistance = layers_r(construction, films_r)
    if resistance is not None and LEAST_U <= 1 / (resistance + films_r) <= bare_u:
        return UValue(1 / (resistance + films_r), "layers")
    return UValue(default, "default")


def layers_r(construction: Construction, films_r: float = R_SI_LEVEL + R_SE) -> float | None:
    """Add up the layers [m² K/W]; None where one that is no air has no conductivity or there are none.

    Still air resists by its thickness and by the way of the heat, which the films [m² K/W] tell. Where a layer is well
    ventilated, only the better side of it counts, with a film as inside in place of the outer one: what lies beyond
    stands in outdoor air, and models list layers from either side.
    Source: EN ISO 6946, table 8 (unventilated air layers) and 6.9.4 (well ventilated ones), from memory.

    >>> from ufh_core.building.types import MaterialLayer
    >>> layers_r(Construction(layers=(MaterialLayer(name="brick", thickness_m=0.36, conductivity=0.72),)))
    0.5
    """
    parts: list[list[MaterialLayer]] = [[]]
    for layer in construction.layers:
        if layer.ventilated:
            parts.append([])
        else:
            parts[-1].append(layer)
    sums = [total for part in parts if (total := _sum_r(part, films_r)) is not None]
    if len(parts) == 1:
        return sums[0] if sums else None
    return max(sums) + R_SI_LEVEL - R_SE if sums else None


def _sum_r(layers: Sequence[MaterialLayer], films_r: float) -> float | None:
    """Sum of layers without ventilation [m² K/W]; None where one is not known, or nothing resists."""
    total = 0.0
    for layer in layers:
        if layer.air:
            total += air_r(layer.thickness_m, films_r)
            continue
        if not layer.conductivity or layer.conductivity <= 0 or layer.thickness_m < 0:
            return None
        total += layer.thickness_m / layer.conductivity
    return total if total > 0 else None


def air_r(thickness_m: float, films_r: float) -> float:
    """Resistance [m² K/W] of a still layer of air; heat goes up, level or down as the films [m² K/W] say.

    Source: EN ISO 6946, table 8, from memory, linear between its thicknesses. Valid to 0.3 m; thicker ones as that.

    >>> [round(air_r(0.025, films), 3) for films in (R_SI_UP + R_SE, R_SI_LEVEL + R_SE, R_SI_DOWN + R_SE)]
    [0.16, 0.18, 0.19]
    """
    _, row = min(_AIR_BY_FILMS, key=lambda way: abs(way[0] - films_r))
    return float(np.interp(thickness_m, _AIR_M, row))


def load_bearing_r(construction: Construction) -> float:
    """Resistance [m² K/W] of a slab's heavy layers only (0.5 W/(m K) and more); 0 where unknown.

    The architect's own insulation and screed on the slab are what our build-up replaces, so
    nothing light is counted a second time.
    """
    return sum(
        layer.thickness_m / layer.conductivity
        for layer in construction.layers
        if layer.conductivity and layer.conductivity >= _LOAD_BEARING_CONDUCTIVITY and layer.thickness_m > 0
    )
