"""Every text that can be said, found in the code: what is given to `say`, `Message`, `note` and `mark`, to blocks
beside a drawing, and tables.

By the syntax tree, not by running: so a message that no sample ever shows is found too.
"""

from __future__ import annotations

import ast
import string
from collections.abc import Iterator
from pathlib import Path

from ufh_core.coordination.rules import RULES
from ufh_core.documents.setting_out_words import WORDS
from ufh_core.floor.fixing import PANELS, RAILS, STAPLES
from ufh_core.heating_water import ANTIFREEZES
from ufh_core.records.kinds import KINDS, ROLES
from ufh_core.records.readings import asked_of
from ufh_core.settings.floor_types import SCREEDS
from ufh_core.settings.metadata import PUMPS

CORE = Path(__file__).resolve().parents[2] / "ufh_core"
CALLS = {"say", "Message", "note", "mark"}
BLOCKS = {"table", "paragraphs", "TableColumn"}
"""In drawings these say their first text themselves."""


def messages() -> set[str]:
    """All messages."""
    found = {text for path in sorted(CORE.rglob("*.py")) for text in _of_module(path)}
    return {text for text in found | set(_tables()) if _has_words(text)}


def _has_words(text: str) -> bool:
    """Whether there is anything to say but values."""
    return any(letter.isalpha() for part, *_ in string.Formatter().parse(text) for letter in part)


def _tables() -> Iterator[str]:
    """Texts that are made of a record's own fields, and those of the setting-out page, which has them by key."""
    yield from WORDS.values()
    yield from (rule.words for rule in RULES.values())
    yield from ROLES
    yield from (*SCREEDS, *PUMPS, *ANTIFREEZES, PANELS, STAPLES, RAILS)  # choices of settings that sheets name
    for kind in KINDS.values():
        for asked in asked_of(kind):
            if not asked.hidden:
                yield asked.label
            yield from asked.choices


def _of_module(path: Path) -> Iterator[str]:
    if path.name.startswith("setting_out_"):  # there `say` takes the key of a text
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    calls = CALLS | BLOCKS if path.parent.name == "documents" else CALLS
    named = {
        target.id: node.value.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str)
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in calls and node.args:
            first = node.args[0]
            if isinstance(first, ast.Constant) and isinstance(first.value, str):
                yield first.value
            elif isinstance(first, ast.Name) and first.id in named:
                raise AssertionError(f"{path.name}: wrap the text of {first.id!r} in note(), so that it is found")
