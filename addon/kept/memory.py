"""Results of this session by id. The .blend keeps the ids, so that undo brings an earlier result back.

Results themselves are never stored in a .blend: reading them back would mean running what a stranger wrote.
After a file is loaded again, its model is read again.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any
from uuid import uuid4

MOST_REMEMBERED = 16

_results: OrderedDict[str, Any] = OrderedDict()
_session, _number = uuid4().hex, count(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A building as read from `path`, with its inspection report; `opened` where it is the BIM layer's open model."""

    path: Path
    building: Any
    report: Any
    opened: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Designed:
    """A design of a reading, with its summary."""

    reading: Reading
    design: Any
    summary: Any


def remember(result: Any) -> str:
    """Keep a result; its id. The oldest is forgotten when there are too many."""
    name = f"{_session}.{next(_number)}"
    _results[name] = result
    while len(_results) > MOST_REMEMBERED:
        _results.popitem(last=False)
    return name


def recall(name: str) -> Any | None:
    """The result of an id, None where it is forgotten."""
    return _results.get(name)


def forget_all() -> None:
    """Forget every result."""
    _results.clear()
