"""Read a gettext catalogue in its source form (.po), so that neither a build step nor a compiled file is needed.

Source: the PO format of the GNU gettext manual; plural forms and contexts are not used here.
"""

from __future__ import annotations

import ast
import gettext
from collections.abc import Iterator, Mapping
from pathlib import Path

from ufh_core.basis.errors import UfhError

_KEYWORDS = ("msgid", "msgstr")


class Catalogue(gettext.NullTranslations):
    """Translations by message; a message without one, or with a fuzzy one, is given back as it is."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        super().__init__()
        self.texts = {key: text for key, text in texts.items() if key and text}
        self.headers = dict(_headers(texts.get("", "")))

    def gettext(self, message: str) -> str:
        """The translation of a message."""
        return self.texts.get(message, message)


def read_catalogue(path: Path) -> Catalogue:
    """The catalogue of a file. Raises: UfhError, one line, where a line of it cannot be read."""
    return Catalogue(dict(entries(path.read_text(encoding="utf-8"), path.name)))


def entries(text: str, file: str = "catalogue") -> Iterator[tuple[str, str]]:
    r"""(message, translation) of each entry that is neither fuzzy nor obsolete; the header has an empty message.

    >>> list(entries('msgid "flow"\nmsgstr ""\n"Vor"\n"lauf"'))
    [('flow', 'Vorlauf')]
    """
    parts: dict[str, str] = {}
    keyword, fuzzy = "", False
    for number, line in enumerate([*text.splitlines(), "#"], 1):
        stripped = line.strip()
        if "msgstr" in parts and (stripped.startswith(("#", "msgid ")) or not stripped):
            if not fuzzy:
                yield parts["msgid"], parts["msgstr"]
            parts, fuzzy = {}, False
        if stripped.startswith("#,") and "fuzzy" in stripped:
            fuzzy = True
        if not stripped or stripped.startswith("#"):
            continue
        word, _, rest = stripped.partition(" ")
        if word in _KEYWORDS:
            keyword, stripped = word, rest.strip()
            parts[keyword] = ""
        if not keyword or not (stripped.startswith('"') and stripped.endswith('"')):
            raise UfhError(f"{file} line {number}: not a line of a catalogue: {line[:40]}")
        parts[keyword] += _unquoted(stripped, file, number)


def _unquoted(quoted: str, file: str, number: int) -> str:
    try:
        return str(ast.literal_eval(quoted))
    except (SyntaxError, ValueError):
        raise UfhError(f"{file} line {number}: not a quoted text") from None


def _headers(text: str) -> Iterator[tuple[str, str]]:
    for line in text.splitlines():
        name, colon, value = line.partition(":")
        if colon:
            yield name.strip(), value.strip()
