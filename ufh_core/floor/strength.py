"""How thick the screed over the pipe must be, by its kind, its strength and the load that it carries.

Source: DIN 18560-2, tables 1 to 4, nominal thickness of screeds on insulation, which heated screeds with the pipe
inside (type A) need over the pipe. Read in a public transcription, and for loads up to 2 kN/m² in a second one, not
in the standard itself: compare with a bought copy. Where the law of another country rules, its figures do.
"""

from __future__ import annotations

import bisect

from ufh_core.basis.errors import NoSolution
from ufh_core.basis.message import Message

LOADS_KN_M2 = (2.0, 3.0, 4.0, 5.0)
STRENGTHS = ("F4", "F5", "F7")
"""Classes of bending strength by EN 13813, at least so much."""

Covers = tuple[float, float, float, float]
_COVERS_MM: dict[tuple[str, str], Covers] = {
    ("cement", "F4"): (45, 65, 70, 75),
    ("cement", "F5"): (40, 55, 60, 65),
    ("calcium sulphate", "F4"): (45, 65, 70, 75),
    ("calcium sulphate", "F5"): (40, 55, 60, 65),
    ("calcium sulphate", "F7"): (35, 50, 55, 60),
    ("flowing calcium sulphate", "F4"): (35, 50, 60, 65),
    ("flowing calcium sulphate", "F5"): (35, 45, 50, 55),
    ("flowing calcium sulphate", "F7"): (35, 40, 45, 50),
}
_GREATEST_DEFLECTION_MM: Covers = (10.0, 5.0, 3.0, 3.0)
_SOFT_MM, _SOFTER_MM = 5.0, 5.0  # up to 2 kN/m², on boards that give more than the first: so much thicker


def least_cover(screed: str, strength: str, load_kn_m2: float, deflection_m: float) -> float:
    """Least cover [m] over the pipe of a `screed` of a `strength` on boards that give way by `deflection_m` [m].

    A strength that the table does not know for a screed counts as the next lower one.
    Raises: NoSolution where the standard's tables give none for the load [kN/m²] or for boards so soft.
    Source: see the top of the module.
    """
    column = bisect.bisect_left(LOADS_KN_M2, load_kn_m2 - 1e-9)
    if column == len(LOADS_KN_M2):
        raise NoSolution(
            Message(
                "a load of {load_kn:g} kN/m² is more than the {loads_kn:g} kN/m² up to which thicknesses "
                "of screeds are tabled: have the floor's engineer set floor.screed_cover_m",
                load_kn=load_kn_m2,
                loads_kn=LOADS_KN_M2[-1],
            )
        )
    deflection = 1000 * deflection_m
    if deflection > _GREATEST_DEFLECTION_MM[column] + 1e-9:
        raise NoSolution(
            Message(
                "boards that give way by {deflection:g} mm are too soft under a screed for {load_kn:g} "
                "kN/m²: choose firmer ones, up to {greatest_deflection:g} mm",
                deflection=deflection,
                load_kn=load_kn_m2,
                greatest_deflection=_GREATEST_DEFLECTION_MM[column],
            )
        )
    known = [c for c in STRENGTHS[: STRENGTHS.index(strength) + 1] if (screed, c) in _COVERS_MM]
    cover = _COVERS_MM[screed, known[-1]][column]
    return (cover + (_SOFTER_MM if deflection > _SOFT_MM + 1e-9 else 0.0)) / 1000
