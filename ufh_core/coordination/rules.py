"""Every rule of coordination in one table: code, severity, what is said, and where the rule comes from.

`{what}` is the element met, by kind, name and GlobalId; `{pipes}` the circuits, `{manifold}` the manifold.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, joined

ERROR, WARNING, NOTE = Severity.ERROR, Severity.WARNING, Severity.NOTE
CP, OWN = "common practice", "own rule"
EN4 = "EN 1264-4, from memory"
MOST_NAMED = 6


@dataclass(frozen=True, slots=True)
class Rule:
    """What is said where a rule is broken, how grave it is, and its source."""

    severity: Severity
    words: str
    source: str


RULES: dict[str, Rule] = {
    # --- the cabinet ---
    "cabinet-in-wall": Rule(ERROR, "manifold {manifold}: {what} runs through its cabinet: move the manifold", CP),
    "cabinet-too-deep": Rule(
        ERROR,
        "manifold {manifold}: its cabinet reaches {deep_mm:.0f} mm into {what}, which is {thick_mm:.0f} mm thick; at "
        "least {rest_mm:.0f} mm must stay behind it: set it on the face of the wall, or into a thicker one",
        CP,
    ),
    "recess-in-bearing-wall": Rule(
        WARNING,
        "manifold {manifold}: its cabinet reaches {deep_mm:.0f} mm into {what}, which bears by the model's word: ask "
        "the structural engineer before it is cut, or set the cabinet on its face",
        CP,
    ),
    "recess-maybe-bearing": Rule(
        NOTE,
        "manifold {manifold}: its cabinet reaches {deep_mm:.0f} mm into {what}; the model does not say whether that "
        "bears: ask the structural engineer before it is cut",
        CP,
    ),
    "recess-in-fire-wall": Rule(
        ERROR,
        "manifold {manifold}: its cabinet reaches {deep_mm:.0f} mm into {what}, which resists fire by the model's "
        "word: a recess takes that away; set the cabinet on its face",
        CP,
    ),
    "recess-in-outer-wall": Rule(
        WARNING,
        "manifold {manifold}: its cabinet reaches {deep_mm:.0f} mm into {what}, an outer wall: its insulation and "
        "tightness end there; set the cabinet on its face, or on an inner wall",
        CP,
    ),
    "cabinet-without-wall": Rule(
        WARNING, "manifold {manifold}: no wall stands behind its cabinet to carry it: move the manifold", CP
    ),
    "cabinet-in-column": Rule(ERROR, "manifold {manifold}: {what} stands in its cabinet: move the manifold", CP),
    "cabinet-in-window": Rule(ERROR, "manifold {manifold}: its cabinet covers {what}: move the manifold", CP),
    "cabinet-in-doorway": Rule(ERROR, "manifold {manifold}: its cabinet stands in the way of {what}: move it", CP),
    "cabinet-in-door-swing": Rule(
        ERROR, "manifold {manifold}: {what} opens against its cabinet: move the manifold or hang the door elsewhere", CP
    ),
    "cabinet-maybe-in-door-swing": Rule(
        NOTE,
        "manifold {manifold}: {what} may open against its cabinet; the model does not say which way it opens: ask the "
        "architect",
        CP,
    ),
    "cabinet-on-stair": Rule(ERROR, "manifold {manifold}: its cabinet stands in {what}: move the manifold", CP),
    "cabinet-in-unit": Rule(ERROR, "manifold {manifold}: its cabinet and {what} take the same place: move one", CP),
    "cabinet-behind-furniture": Rule(
        WARNING, "manifold {manifold}: {what} stands where its cabinet hangs: have it moved", CP
    ),
    "cabinet-other-trade": Rule(
        ERROR, "manifold {manifold}: {what} runs through its cabinet: agree with that trade who moves", CP
    ),
    "cabinet-at-unstated": Rule(
        WARNING,
        "manifold {manifold}: {what} stands where its cabinet hangs; the model does not say what it is: ask the "
        "architect, and move the manifold if it stays",
        OWN,
    ),
    "cabinets-meet": Rule(ERROR, "manifolds {manifold}: their cabinets take the same place: move one", CP),
    "cabinet-off-storey": Rule(
        ERROR,
        "manifold {manifold}: its cabinet stands on no floor of {what}, to which the model assigns it: move it, or "
        "assign it to its storey",
        CP,
    ),
    "manifold-of-other-storey": Rule(
        ERROR,
        "manifold {manifold}: circuits {pipes} lie on {what}, the manifold does not: give that storey a manifold of "
        "its own, or show the risers",
        CP,
    ),
    # --- the space in front of it ---
    "service-space-missing": Rule(
        WARNING, "manifold {manifold}: the model shows no space for service in front of it: add it and check again", CP
    ),
    "no-service-space": Rule(
        ERROR,
        "manifold {manifold}: {what} leaves {free_mm:.0f} mm of the {wanted_mm:.0f} mm for service in front of its "
        "cabinet: move the manifold",
        CP,
    ),
    "service-behind-furniture": Rule(
        NOTE, "manifold {manifold}: {what} stands in the space for service: it is to be moved for every service", CP
    ),
    "service-in-door-swing": Rule(
        WARNING,
        "manifold {manifold}: {what} opens into the space for service: lock it while somebody works there, or move one",
        CP,
    ),
    "service-other-trade": Rule(
        WARNING, "manifold {manifold}: {what} runs through the space for service: agree with that trade", CP
    ),
    "service-at-unstated": Rule(
        WARNING,
        "manifold {manifold}: {what} stands in the space for service; the model does not say what it is: ask the "
        "architect",
        OWN,
    ),
    # --- pipes and the building ---
    "pipe-in-wall": Rule(
        ERROR, "pipes of {pipes} run {long_mm:.0f} mm through {what}, outside doorways and sleeves: lead them anew", EN4
    ),
    "pipe-near-wall": Rule(
        WARNING, "pipes of {pipes} come within {near_mm:.0f} mm of {what}, allowed {wanted_mm:.0f} mm: move them", EN4
    ),
    "sleeve-in-bearing-wall": Rule(
        ERROR, "pipes of {pipes} pass through {what}, which bears by the model's word: lead them through a doorway", CP
    ),
    "sleeve-in-fire-wall": Rule(
        WARNING,
        "pipes of {pipes} pass through {what}, which resists fire by the model's word: seal each hole to its rating",
        CP,
    ),
    "pipe-in-column": Rule(ERROR, "pipes of {pipes} run through {what}: lead them round it", EN4),
    "pipe-near-column": Rule(
        WARNING, "pipes of {pipes} come within {near_mm:.0f} mm of {what}, allowed {wanted_mm:.0f} mm: move them", EN4
    ),
    "pipe-in-shaft": Rule(ERROR, "pipes of {pipes} run into {what}: there is no floor, lead them round it", EN4),
    "pipe-at-hearth": Rule(
        ERROR, "pipes of {pipes} come within {near_mm:.0f} mm of {what}, allowed {wanted_mm:.0f} mm: move them", EN4
    ),
    "pipe-under-stair": Rule(
        WARNING, "pipes of {pipes} lie under {what}: bolts go into the floor there, move them", CP
    ),
    "pipe-under-unit": Rule(
        WARNING, "pipes of {pipes} lie under {what}: their heat is lost there, and it may be screwed down", CP
    ),
    "pipe-at-sanitary": Rule(
        WARNING,
        "pipes of {pipes} lie under {what} or within {wanted_mm:.0f} mm of it, where its fixings are drilled: "
        "move them",
        CP,
    ),
    "pipe-outside-rooms": Rule(
        ERROR, "pipes of {pipes} lie {long_mm:.0f} mm outside every room and doorway of {what}: lead them anew", CP
    ),
    "pipe-off-storey": Rule(
        ERROR, "pipes of {pipes} lie in no floor of {what}, to which the model assigns them: check their height", CP
    ),
    "pipe-leaves-floor": Rule(
        ERROR, "pipes of {pipes} rise out of the floor away from their manifold: keep them in the screed", CP
    ),
    "drilling": Rule(
        NOTE,
        "pipes lie in doorways or where doors' stops would stand ({what}): glue thresholds and stops, or fix stops to "
        "the wall; no screws into the floor",
        CP,
    ),
    # --- pipes and other trades ---
    "pipe-on-drain": Rule(ERROR, "pipes of {pipes} run through {what}: agree with that trade who moves", CP),
    "pipe-near-drain": Rule(
        WARNING,
        "pipes of {pipes} come within {near_mm:.0f} mm of {what}: keep {wanted_mm:.0f} mm for its collar and seal",
        OWN,
    ),
    "pipe-on-duct": Rule(ERROR, "pipes of {pipes} run through {what}: agree with that trade who moves", CP),
    "pipe-near-duct": Rule(
        WARNING,
        "pipes of {pipes} come within {near_mm:.0f} mm of {what}: keep {wanted_mm:.0f} mm for insulation and fire stop",
        OWN,
    ),
    "pipe-on-pipe": Rule(ERROR, "pipes of {pipes} meet {what}: agree with that trade who moves", CP),
    "pipe-on-cable": Rule(ERROR, "pipes of {pipes} meet {what}: agree with that trade who moves", CP),
    "pipe-in-structure": Rule(ERROR, "pipes of {pipes} run through {what}: lead them round it", CP),
    "pipe-on-other": Rule(ERROR, "pipes of {pipes} meet {what}: agree who moves", CP),
    "pipe-on-unstated": Rule(
        WARNING,
        "pipes of {pipes} meet {what}; the model does not say what it is: ask the architect, and lead them round it "
        "if it stays",
        OWN,
    ),
    "pipe-under-unstated": Rule(
        WARNING,
        "pipes of {pipes} lie under {what}; the model does not say what it is: their heat is lost there, and it may be "
        "screwed down; ask the architect",
        OWN,
    ),
    # --- the screed ---
    "cover-too-thin": Rule(
        ERROR,
        "pipes of {pipes}: {cover_mm:.0f} mm of screed over them in {what}, at least {wanted_mm:.0f} mm: raise the "
        "screed or lower the pipes",
        "DIN 18560-2",
    ),
    "pipe-below-screed": Rule(
        ERROR, "pipes of {pipes} lie {deep_mm:.0f} mm below the screed of {what}: check their height", CP
    ),
    "pipe-without-screed": Rule(
        WARNING, "pipes of {pipes} run {long_mm:.0f} mm through {what}, where the model has no screed over them", CP
    ),
    "body-in-screed": Rule(
        WARNING,
        "{what} lies in the screed of {room}: it thins and weakens the screed and carries sound; have it laid in the "
        "insulation or below",
        CP,
    ),
    # --- models ---
    "model-elsewhere": Rule(
        WARNING,
        "{what} lies {away_m:.0f} m away from the building and was not checked: have it exported on the shared origin",
        OWN,
    ),
    "one-georeferenced": Rule(
        NOTE, "of the architect's model and {what} only one is georeferenced: both were taken by their own origin", OWN
    ),
    "other-map-system": Rule(
        WARNING,
        "{what} is georeferenced in {theirs}, the architect's model in {ours}: it was taken by its own origin; have it "
        "exported in the same system",
        OWN,
    ),
    "shapes-unread": Rule(NOTE, "{count} elements of {what} have no shape that can be read and were not checked", OWN),
    "nothing-to-check": Rule(WARNING, "{what} holds no body that could be checked", OWN),
}
"""Rules by the last part of their code."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a rule is broken: elements by GlobalId, storey by GlobalId, a plan point [m]."""

    ifc_guids: tuple[str, ...] = ()
    storey: str = ""
    at: tuple[float, float] | None = None


def broken(rule: str, place: Place, **values: object) -> Finding:
    """The finding for a broken rule of the table, with `values` in its words."""
    row = RULES[rule]
    return Finding(
        code=f"coordination.{rule}",
        severity=row.severity,
        message=Message(row.words, **values),
        ifc_guids=tuple(dict.fromkeys(g for g in place.ifc_guids if g)),
        at=place.at,
        source=row.source,
        storey=place.storey,
    )


def middle_of(shape: BaseGeometry) -> tuple[float, float] | None:
    """A point of a shape, for the view of a finding; None for an empty one."""
    if shape.is_empty:
        return None
    point = shape.representative_point()
    return (round(float(point.x), 4), round(float(point.y), 4))


def listed(names: Iterable[str]) -> str:
    """Names in order, the first few of many."""
    known = sorted(dict.fromkeys(names))
    shown, rest = joined(known[:MOST_NAMED]), len(known) - MOST_NAMED
    return Message("{named} and {rest} more", named=shown, rest=rest) if rest > 0 else shown
