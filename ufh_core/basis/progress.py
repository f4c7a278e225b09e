"""How a long calculation tells its caller where it is."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[str, float], None]
"""Called with what is being done, in words, and the share of the whole that is done, 0 to 1."""


def silent(_what: str, _share: float) -> None:
    """Tell nobody."""
