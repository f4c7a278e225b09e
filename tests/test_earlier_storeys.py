"""A moved manifold has its own storey laid again; the others stay, and nothing is told of them twice or not at all."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from ufh_core import design as designing
from ufh_core.building.read import read_building
from ufh_core.design import design_building
from ufh_core.design_result import Design
from ufh_core.exchange.design_json import design_to_json
from ufh_core.samples import sample_model
from ufh_core.settings import Settings
from ufh_core.settings.earlier_run import circuits_of
from ufh_core.settings.steering import ManifoldPlace


@cache
def two_storeys() -> Design:
    """The sample house with two heated storeys."""
    return design_building(read_building(sample_model("bay-house"), Settings()), Settings())


def moved(storey: int) -> Settings:
    """Settings with the first manifold of a storey given, where it stands."""
    design = two_storeys()
    manifold = design.storeys[storey].manifolds[0].manifold
    x, y = design.building.frame.to_world(np.array([manifold.position]))[0]
    place = ManifoldPlace(name="here", at=(float(x), float(y)), storey=design.building.storeys[storey].name)
    return replace(Settings(), manifold=replace(Settings().manifold, places=(place,)))


@pytest.fixture
def laid(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The storeys that were laid, by name."""
    seen: list[str] = []
    real = designing.design_storey

    def noting(brief: Any) -> Any:
        seen.append(brief.storey.name)
        return real(brief)

    monkeypatch.setattr(designing, "design_storey", noting)
    return seen


def again(settings: Settings) -> Design:
    """The house designed again after the first design."""
    return design_building(read_building(sample_model("bay-house"), Settings()), settings, earlier=two_storeys())


def test_only_the_storey_of_a_moved_manifold_is_laid_again(laid: list[str]) -> None:
    before = two_storeys()
    assert len([s for s in before.storeys if s.circuits]) == 2
    laid.clear()
    last = len(before.storeys) - 1
    after = again(moved(last))
    assert laid == [before.building.storeys[last].name]
    assert after.storeys[0] is before.storeys[0]
    assert after.storeys[last].manifolds[0].manifold.place == "here"
    # the same as if both had been laid: `regression` of one way against the other
    whole = design_building(before.building, moved(last))
    assert [f.message for f in after.findings] == [f.message for f in whole.findings]
    assert after.take_off == whole.take_off


def test_nothing_moved_nothing_laid(laid: list[str]) -> None:
    before = two_storeys()
    laid.clear()
    after = again(Settings())
    assert laid == [] and after.findings == before.findings and after.take_off == before.take_off


def test_a_circuit_stays_and_free_again_has_its_storey_laid_anew(laid: list[str]) -> None:
    before = two_storeys()
    upper = before.storeys[-1].storey
    rows = circuits_of(design_to_json(before), "the design before")
    one = next(circuit for circuit in rows if circuit.storey == upper)
    other = replace(Settings(), manifold=replace(Settings().manifold, most_ports=9))
    kept = design_building(before.building, other, earlier=before, stay=[one])
    (stayed,) = [c.laid for s in kept.storeys for c in s.circuits if c.laid.kept]
    assert (stayed.number, stayed.kept) == (one.number, f"{one.number} of the design before")
    was = next(c.laid.axis for s in before.storeys for c in s.circuits if c.laid.number == one.number)
    assert stayed.axis.length_m == pytest.approx(was.length_m, abs=1e-4)
    laid.clear()
    design_building(before.building, other, earlier=kept, stay=[one])
    assert laid == []
    free = design_building(before.building, other, earlier=kept)
    assert laid == [before.building.storeys[-1].name]
    assert not any(c.laid.kept for s in free.storeys for c in s.circuits)


def test_another_setting_lays_all(laid: list[str]) -> None:
    before = two_storeys()
    laid.clear()
    again(replace(Settings(), manifold=replace(Settings().manifold, most_ports=9)))
    assert len(laid) == len(before.storeys)
