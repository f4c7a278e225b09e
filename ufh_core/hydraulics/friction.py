"""Friction in a straight round pipe, and what bends add to it.

Laminar below Re 2000: 64/Re. Turbulent from Re 2300: Colebrook. Between the two the friction factor goes
on a straight line in Re, so that a small change of flow never makes a step. Water that has come through
valves and bends does not stay laminar for longer, and the higher pressure drop is the safe one for the pump.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable

import fluids

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.pipe_axis import Arc

LAMINAR_UP_TO = 2000.0
TURBULENT_FROM = 2300.0
_LEAST_BEND_REYNOLDS = 3000.0


def regime(reynolds: float) -> str:
    """Name the law that `friction_factor` uses: "laminar", "transition" or "turbulent"."""
    if reynolds <= LAMINAR_UP_TO:
        return "laminar"
    return "transition" if reynolds < TURBULENT_FROM else "turbulent"


def friction_factor(reynolds: float, relative_roughness: float) -> float:
    """Darcy friction factor f [-] by the law of this module.

    Source: Hagen-Poiseuille; Colebrook (1939), solved by the library `fluids`.

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
        return float(fluids.friction.Colebrook(reynolds, relative_roughness))
    share = (reynolds - LAMINAR_UP_TO) / (TURBULENT_FROM - LAMINAR_UP_TO)
    turbulent = float(fluids.friction.Colebrook(TURBULENT_FROM, relative_roughness))
    return 64 / LAMINAR_UP_TO * (1 - share) + turbulent * share


def bend_losses(arcs: Iterable[Arc], inner_m: float, reynolds: float, relative_roughness: float) -> float:
    """Sum of the loss factors K [-] of bends, over the friction of the same length of straight pipe.

    The arcs are in the pipe's length already, so only the excess counts. At Re under 3000 the factors of
    Re 3000 are taken. Methods differ by half; bends make some hundredths of a circuit's pressure drop.
    Source: Rennels and Hudson (2012), by the library `fluids`.
    """
    kinds = Counter((round(arc.radius_m, 4), round(math.degrees(abs(arc.sweep)), 0)) for arc in arcs)
    reynolds = max(reynolds, _LEAST_BEND_REYNOLDS)
    factor = friction_factor(reynolds, relative_roughness)
    return sum(
        count * _excess(radius, min(angle, 180.0), inner_m, factor)
        for (radius, angle), count in kinds.items()
        if radius > 0 and angle > 0
    )


def _excess(radius_m: float, angle_deg: float, inner_m: float, factor: float) -> float:
    """K [-] of one bend less f L/d of its arc."""
    whole = fluids.bend_rounded(Di=inner_m, angle=angle_deg, fd=factor, rc=radius_m, method="Rennels")
    return max(0.0, float(whole) - factor * radius_m * math.radians(angle_deg) / inner_m)
