"""Words for kinds of room, language by language, as data (source: general vocabulary and drawing practice).

A table maps a kind to words separated by commas. A plain entry is a whole word or phrase; the words of a
phrase may also be written together ("bed room" is "bedroom" too). A star stands for the rest of a word:
"heiz*" is any word that begins so, "*treppe" any that ends so, "*階段*" any that holds it.
The empty kind "" is for words that hold a word of a kind but do not say it ("roof light" is no roof).
`head_last` says whether the noun that decides stands last ("kitchen store") or first ("local cuisine").
"""

from __future__ import annotations

from typing import NamedTuple

from ufh_core.building.room_words import germanic, nordic, romance, scripts, slavic


class Language(NamedTuple):
    """A table of words and whether its compounds have their head last."""

    code: str
    head_last: bool
    words: dict[str, str]


LANGUAGES = (
    Language("en", True, germanic.ENGLISH),
    Language("de", True, germanic.GERMAN),
    Language("nl", True, germanic.DUTCH),
    Language("sv", True, nordic.SWEDISH),
    Language("no", True, nordic.NORWEGIAN),
    Language("da", True, nordic.DANISH),
    Language("fi", True, nordic.FINNISH),
    Language("tr", True, nordic.TURKISH),
    Language("fr", False, romance.FRENCH),
    Language("it", False, romance.ITALIAN),
    Language("es", False, romance.SPANISH),
    Language("pt", False, romance.PORTUGUESE),
    Language("pl", False, slavic.POLISH),
    Language("cs", False, slavic.CZECH),
    Language("ru", False, slavic.RUSSIAN),
    Language("uk", False, slavic.UKRAINIAN),
    Language("ja", True, scripts.JAPANESE),
    Language("zh", True, scripts.CHINESE),
)
