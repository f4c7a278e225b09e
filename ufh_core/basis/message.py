"""A text that remembers what it was made of, so that it can be said in another language later."""

from __future__ import annotations

from collections.abc import Mapping
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


def _made_again(template: str, values: dict[str, Any]) -> Message:
    return Message(template, **values)


def note(text: str) -> str:
    """The text itself; it marks a text for the catalogues where it stands apart from where it is said."""
    return text
