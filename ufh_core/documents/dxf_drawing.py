"""New drawings, and their files, without clock and random ids: the same design gives the same bytes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from ezdxf import options  # type: ignore[attr-defined]  # documented as public, not listed for re-export


@contextmanager
def without_clock() -> Iterator[None]:
    """While it lasts, what is made or saved as a drawing has fixed marks instead of times and random ids."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
