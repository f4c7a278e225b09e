"""Say a text in the language that is spoken at the moment; English where a catalogue is silent.

Which language is spoken is set around the writing of a document and is forgotten after it. No calculation asks for it.
"""

from __future__ import annotations

import string
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path
from typing import Any

from ufh_core.basis.errors import UfhError
from ufh_core.basis.message import Message
from ufh_core.basis.message import note as mark
from ufh_core.words.po_file import Catalogue, read_catalogue

ENGLISH = "en"
_FOLDER = Path(__file__).parent
_spoken: ContextVar[str] = ContextVar("spoken", default=ENGLISH)

__all__ = ["ENGLISH", "language", "languages", "mark", "number", "said", "say", "speaking"]


def languages() -> tuple[str, ...]:
    """English, and all languages that have a catalogue."""
    return (ENGLISH, *sorted(path.stem for path in _FOLDER.glob("*.po")))


@contextmanager
def speaking(wanted: str) -> Iterator[None]:
    """Speak a language within the block. Raises: UfhError where there is no catalogue of it."""
    if wanted not in languages():
        raise UfhError(f"--language {wanted}: no such language; there are: {', '.join(languages())}")
    token = _spoken.set(wanted)
    try:
        yield
    finally:
        _spoken.reset(token)


def language() -> str:
    """The language that is spoken."""
    return _spoken.get()


def say(template: str, **values: Any) -> str:
    """A text with its values; the texts among them are said in the same language.

    >>> say("{length:.1f} m of pipe", length=2.5)
    '2.5 m of pipe'
    """
    return _Said().vformat(catalogue().gettext(template), (), values)


def said(text: str) -> str:
    """A text that was made elsewhere: a `Message` by its template, any other as it stands in the catalogue, or as is.

    Names and notes of people are no messages: a plain text is looked up whole and its braces are left alone.
    """
    if isinstance(text, Message):
        return say(text.template, **text.values)
    return catalogue().gettext(text)


def number(value: float, digits: int) -> str:
    """A number with so many digits after the decimal mark of the language."""
    return _marked(f"{value:.{digits}f}")


def catalogue() -> Catalogue:
    """The catalogue of the language that is spoken."""
    return _catalogue(_spoken.get())


@cache
def _catalogue(wanted: str) -> Catalogue:
    return Catalogue({}) if wanted == ENGLISH else read_catalogue(_FOLDER / f"{wanted}.po")


def _marked(text: str) -> str:
    return text.replace(".", catalogue().headers.get("X-Decimal-Mark", "."))


class _Said(string.Formatter):
    """Fills in: numbers get the language's decimal mark, messages their translation."""

    def get_value(self, key: int | str, args: Sequence[Any], kwargs: Mapping[str, Any]) -> Any:
        """A value, said where it is a message."""
        value = super().get_value(key, args, kwargs)
        return said(value) if isinstance(value, Message) else value

    def format_field(self, value: Any, format_spec: str) -> str:
        """A value in words."""
        text = str(super().format_field(value, format_spec))
        return _marked(text) if isinstance(value, float) else text
