"""Whoever calls the layout finds the collector as it was, whatever happens within."""

import gc

import pytest

from ufh_core.basis.small_objects import NEW_OBJECTS, seldom_collected


def test_the_collector_runs_seldom_within_and_as_before_afterwards() -> None:
    before = gc.get_threshold()
    with pytest.raises(ValueError), seldom_collected():
        assert gc.get_threshold()[0] == NEW_OBJECTS
        raise ValueError
    assert gc.get_threshold() == before


def test_a_collector_that_is_off_stays_off() -> None:
    before = gc.get_threshold()
    gc.set_threshold(0)
    try:
        with seldom_collected():
            assert gc.get_threshold()[0] == 0
    finally:
        gc.set_threshold(*before)
