"""A text that remembers what it was made of, so that it can be said in another language later."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any


class Message(str):
    """Plain English to everyone, and besides `template` and `values`, by which a catalogue finds its translation.

    >>> text = Message("{bar:g} bar at the start", bar=6.0)
    >>> text, text.template
    ('6 bar at the start', '{bar:g} bar at the start')
    """

    template: str
    values: Mapping[str, Any]

    def __new__(cls, template: str, **values: Any) -> Message:
        """Fill the template in. Raises: KeyError where a value is missing."""
        made = super().__new__(cls, template.format(**values))
        made.template, made.values = template, values
        return made

    def __reduce__(self) -> tuple[Any, ...]:
        """Keep template and values when pickled."""
        return _made_again, (self.template, dict(self.values))


def joined(parts: Iterable[str], between: str = ", ") -> str:
    """Parts in a row, the messages among them still to be said in another language, and what stands between them too.

    >>> joined(["Hall", Message("a stair")], " and ")
    'Hall and a stair'
    """
    named = {f"part{k}": part for k, part in enumerate(parts)}
    return Message("{between}".join(f"{{{name}}}" for name in named), between=Message(between), **named)


def first_of(names: Sequence[str], most: int = 5) -> str:
    """The first few names of many in words.

    >>> first_of(["Hall", "Bath", "Store"], 2)
    'Hall, Bath and 1 more'
    """
    shown = joined(names[:most])
    rest = len(names) - most
    return Message("{named} and {rest} more", named=shown, rest=rest) if rest > 0 else shown


def _made_again(template: str, values: dict[str, Any]) -> Message:
    return Message(template, **values)


def note(text: str) -> str:
    """The text itself; it marks a text for the catalogues where it stands apart from where it is said."""
    return text
