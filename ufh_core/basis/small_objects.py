"""How often the collector of reference cycles runs while very many small objects are made and few are dropped."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

NEW_OBJECTS = 50_000  # the interpreter's own measure is some hundred, far too often for millions of short-lived objects


@contextmanager
def seldom_collected() -> Iterator[None]:
    """Cycles are looked for only once in `NEW_OBJECTS` new objects; as before afterwards."""
    before = gc.get_threshold()
    gc.set_threshold(max(before[0], NEW_OBJECTS) if before[0] else 0, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)
