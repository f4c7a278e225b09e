"""U-values of what the model describes, and of what it leaves open.

Source: EN ISO 6946, thermal transmittance of plane layers; film resistances [m² K/W] R_si 0.13 level,
0.10 up, 0.17 down and R_se 0.04 (from memory, 0.17 also in EN 1264-2).
"""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.building.types import Construction

R_SI_LEVEL, R_SI_UP, R_SI_DOWN, R_SE = 0.13, 0.10, 0.17, 0.04
LEAST_U, GREATEST_U = 0.05, 7.0
BARE_WALL_U, BARE_LEVEL_U = 2.5, 1.5  # layers alone give more: the insulation was left out of the model
_LOAD_BEARING_CONDUCTIVITY = 0.5


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
    resistance = layers_r(construction)
    if resistance is not None and LEAST_U <= 1 / (resistance + films_r) <= bare_u:
        return UValue(1 / (resistance + films_r), "layers")
    return UValue(default, "default")


def layers_r(construction: Construction) -> float | None:
    """Add up the layers [m² K/W]; None where one has no conductivity or there are none.

    >>> from ufh_core.building.types import MaterialLayer
    >>> layers_r(Construction(layers=(MaterialLayer(name="brick", thickness_m=0.36, conductivity=0.72),)))
    0.5
    """
    total = 0.0
    for layer in construction.layers:
        if not layer.conductivity or layer.conductivity <= 0 or layer.thickness_m < 0:
            return None
        total += layer.thickness_m / layer.conductivity
    return total if total > 0 else None


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
