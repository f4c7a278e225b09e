"""Friction in a straight round pipe, and what bends add to it.

Laminar below Re 2000: 64/Re. Turbulent from Re 2300: Colebrook. Between the two the friction factor goes
on a straight line in Re, so that a small change of flow never makes a step. Water that has come through
valves and bends does not stay laminar for longer, and the higher pressure drop is the safe one for the pump.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import fluids

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.pipe_axis import Arc

LAMINAR_UP_TO = 2000.0
TURBULENT_FROM = 2300.0
_LEAST_BEND_REYNOLDS = 3000.0
_FIRST_ROOT, _STEPS = 5.0, 25
_TWO_FACTORS = (0.02, 0.06)
_LEAST_COLEBROOK_REYNOLDS = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionBounds:
    """Darcy friction factors f [-] of one flow by both laws."""

    laminar: float
    turbulent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BendLaw:
    """Loss factor K [-] of a circuit's bends over the friction of their arcs: `fixed` + `by_factor` · f."""

    fixed: float
    by_factor: float


def regime(reynolds: float) -> str:
    """Name the law that `friction_factor` uses: "laminar", "transition" or "turbulent"."""
    if reynolds <= LAMINAR_UP_TO:
        return "laminar"
    return "transition" if reynolds < TURBULENT_FROM else "turbulent"


def friction_factor(reynolds: float, relative_roughness: float) -> float:
    """Darcy friction factor f [-] by the law of this module.

    Source: Hagen-Poiseuille; Colebrook (1939).

    >>> friction_factor(1000.0, 0.0)
    0.064
    >>> round(friction_factor(3848.0, 7e-6 / 0.012), 5)
    0.04095
    """
    if reynolds <= 0:
        raise NoSolution("water that stands still has no friction factor")
    if reynolds <= LAMINAR_UP_TO:
        return 64 / reynolds
    if reynolds >= TURBULENT_FROM:
        return colebrook(reynolds, relative_roughness)
    share = (reynolds - LAMINAR_UP_TO) / (TURBULENT_FROM - LAMINAR_UP_TO)
    return 64 / LAMINAR_UP_TO * (1 - share) + colebrook(TURBULENT_FROM, relative_roughness) * share


def friction_bounds(reynolds: float, relative_roughness: float) -> FrictionBounds:
    """Both laws at one Re: what the pipe loses at least and at most where nobody knows which of them holds.

    At Re 2300, in a smooth pipe, they are 1.7 apart. Valid for: Re from 1000.
    Raises: NoSolution below.

    >>> bounds = friction_bounds(2300.0, 7e-6 / 0.012)
    >>> round(bounds.laminar, 4), round(bounds.turbulent, 4)
    (0.0278, 0.0478)
    """
    return FrictionBounds(laminar=64 / reynolds, turbulent=colebrook(reynolds, relative_roughness))


@lru_cache(maxsize=1024)  # bends ask for Re 3000 at every laminar flow, the transition for Re 2300
def colebrook(reynolds: float, relative_roughness: float) -> float:
    """Darcy friction factor f [-] of turbulent flow.

    1/√f = −2 lg(ε/(3.7 d) + 2.51/(Re √f)), put into itself: each step leaves less than a quarter of the error.
    Source: Colebrook (1939). Valid for: Re from 1000, where its use at low Re is only a bound.
    Raises: NoSolution below.
    """
    if reynolds < _LEAST_COLEBROOK_REYNOLDS:
        raise NoSolution(f"Colebrook's law says nothing of a Reynolds number of {reynolds:g}")
    rough, smooth = relative_roughness / 3.7, 2.51 / reynolds
    root = _FIRST_ROOT
    for _ in range(_STEPS):
        last, root = root, -2 * math.log10(rough + smooth * root)
        if root == last:
            break
    return 1 / root**2


def bend_losses(arcs: Iterable[Arc], inner_m: float, reynolds: float, relative_roughness: float) -> float:
    """Sum of the loss factors K [-] of bends, over the friction of the same length of straight pipe.

    The arcs are in the pipe's length already, so only the excess counts. At Re under 3000 the factors of
    Re 3000 are taken. Methods differ by half; bends make some hundredths of a circuit's pressure drop.
    Source: Rennels and Hudson (2012), by the library `fluids`.
    """
    return bend_loss(bend_law(arcs, inner_m), reynolds, relative_roughness)


def bend_loss(law: BendLaw, reynolds: float, relative_roughness: float) -> float:
    """K [-] of all bends of a circuit by their law, as `bend_losses`."""
    return law.fixed + law.by_factor * friction_factor(max(reynolds, _LEAST_BEND_REYNOLDS), relative_roughness)


def bend_law(arcs: Iterable[Arc], inner_m: float) -> BendLaw:
    """The law of a circuit's bends, which Rennels makes linear in f: read off at two factors.

    Source: Rennels and Hudson (2012), by the library `fluids`.
    """
    kinds = Counter((round(arc.radius_m, 4), round(math.degrees(abs(arc.sweep)), 0)) for arc in arcs)
    low, high = (
        sum(
            count * _excess(radius, min(angle, 180.0), inner_m, factor)
            for (radius, angle), count in kinds.items()
            if radius > 0 and angle > 0
        )
        for factor in _TWO_FACTORS
    )
    slope = (high - low) / (_TWO_FACTORS[1] - _TWO_FACTORS[0])
    return BendLaw(fixed=low - slope * _TWO_FACTORS[0], by_factor=slope)


def _excess(radius_m: float, angle_deg: float, inner_m: float, factor: float) -> float:
    """K [-] of one bend less f L/d of its arc."""
    whole = fluids.bend_rounded(Di=inner_m, angle=angle_deg, fd=factor, rc=radius_m, method="Rennels")
    return max(0.0, float(whole) - factor * radius_m * math.radians(angle_deg) / inner_m)
