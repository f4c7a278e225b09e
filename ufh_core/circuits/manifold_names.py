"""Names of manifolds: those that stay keep theirs, new ones are numbered on and never take one of those."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from itertools import count

LETTER = "M"


def free_names(first: int, taken: Collection[str]) -> Iterator[str]:
    """Names from number `first` on that are not `taken`.

    >>> names = free_names(2, {"M3"})
    >>> next(names), next(names)
    ('M2', 'M4')
    """
    return (name for k in count(first) if (name := f"{LETTER}{k}") not in taken)


def next_number(first: int, used: Iterable[str], taken: Collection[str]) -> int:
    """The number after the highest of the names `used` that are not among those `taken` before; `first` for none.

    >>> next_number(1, ["M1", "M3"], {"M3"})
    2
    """
    numbers = [int(name.removeprefix(LETTER)) for name in used if name not in taken]
    return max([first - 1, *numbers]) + 1
