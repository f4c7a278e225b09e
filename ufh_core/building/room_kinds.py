"""What a room is used for, told from its name in any of the languages of `room_words`.

How: the text is written plainly (small letters, no accents, words apart), every word of the tables that occurs
is marked, and a mark inside a longer mark falls away: "roof terrace" is a terrace, "Treppenraum" a stair. Of the
marks that are left the one decides that stands where the language has its head: "kitchen store" is a store,
"cuisine d'été" a kitchen. In a list ("Kochen/Essen/Flur") the kind decides that asks most of the heating.
Cost: one look through about 3000 words per different name, kept.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from ufh_core.building.room_words import LANGUAGES
from ufh_core.building.types import RoomKind

# What follows one of these words says where a room is, not what it is: "Schlafzimmer mit Balkon".
# fmt: off
_CONNECTORS = frozenset({
    "with", "mit", "met", "avec", "con", "com", "med", "ile", "under", "unter", "above", "over", "uber",
    "near", "next", "beside", "neben", "bij", "naast", "sous", "sobre", "sopra", "sotto", "pod", "nad", "pri",
    "со", "под", "над", "при", "із", "vers", "towards", "to", "zu", "zum", "zur", "from", "off"
})
# fmt: on
_LIST_SIGNS = frozenset({"/", "+", "&", ",", ";", "·", "・", "|", "、"})
_LIST_WORDS = frozenset({"and", "und", "en", "og", "och", "et", "e", "y", "i", "a", "ve", "ja", "и", "та"})
# In a list of uses, the first of these that occurs decides.
_MOST_DEMANDING = (
    RoomKind.BATH,
    RoomKind.TREATMENT,
    RoomKind.LIVING,
    RoomKind.KITCHEN,
    RoomKind.BEDROOM,
    RoomKind.OFFICE,
    RoomKind.WAITING,
    RoomKind.WC,
    RoomKind.HALL,
    RoomKind.UTILITY,
)
_PLAIN = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ı": "i", "ß": "ss"})
_WRITTEN_OUT = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe"})


def room_kind(name: str, long_name: str, object_type: str) -> RoomKind:
    """Tell the kind of a room from its texts; the first text that says anything decides, long name first.

    An object type that names an area scheme or the outside goes before: it is what tells such a space
    from the room of the same name.

    >>> room_kind("A104", "Bathroom 1", "").value, room_kind("3", "Treppenhaus", "").value
    ('bath', 'stair')
    """
    by_type = _kind_of_text(object_type or "")
    if by_type in (RoomKind.AREA_SCHEME, RoomKind.OUTSIDE):
        return by_type
    for kind in (_kind_of_text(long_name or ""), _kind_of_text(name or ""), by_type):
        if kind is not None:
            return kind
    return RoomKind.OTHER


@dataclass(frozen=True, slots=True)
class _Entry:
    """A word of the tables, ready to be looked for: where `probe` stands, `pattern` may.

    Few of several thousand words are ever met, so a pattern is compiled when its probe is.
    """

    probe: str
    pattern: str
    kind: RoomKind | None
    orders: frozenset[bool]


@dataclass(frozen=True, slots=True)
class _Mark:
    """A word of the tables where it stands in a text."""

    start: int
    end: int
    kind: RoomKind | None
    orders: frozenset[bool]

    def inside(self, other: _Mark) -> bool:
        """Whether this mark lies in a longer one."""
        return other.start <= self.start and self.end <= other.end and other.end - other.start > self.end - self.start


@lru_cache(maxsize=4096)
def _kind_of_text(text: str) -> RoomKind | None:
    """The kind that one text names, or None where it says nothing."""
    plain = _plain(text)
    marks = _merged(mark for entry in _entries() if entry.probe in plain for mark in _marks(entry, plain))
    marks = [m for m in marks if not any(m.inside(other) for other in marks)]
    marks = sorted((m for m in marks if m.kind is not None), key=lambda m: (m.start, m.end))
    marks = _before_connector(marks, plain)
    if not marks:
        return None
    if len({m.kind for m in marks}) == 1:
        return marks[0].kind
    return _from_list(marks, plain) or _head(marks)


def _head(marks: list[_Mark]) -> RoomKind | None:
    """The kind of the mark where the language has its head: first where all marks allow that and one demands it."""
    common = frozenset.intersection(*(m.orders for m in marks))
    return marks[0].kind if common == {False} else marks[-1].kind


def _from_list(marks: list[_Mark], plain: str) -> RoomKind | None:
    """The most demanding kind where signs or words for "and" stand between the marks, else None."""
    between = plain[marks[0].end : marks[-1].start].split()
    if not any(word in _LIST_SIGNS or word in _LIST_WORDS for word in between):
        return None
    kinds = {mark.kind for mark in marks}
    return next((kind for kind in _MOST_DEMANDING if kind in kinds), None)


def _before_connector(marks: list[_Mark], plain: str) -> list[_Mark]:
    """The marks before the first connector that has marks before it and lies in none of them."""
    for word in re.finditer(r"\S+", plain):
        if word.group() in _CONNECTORS and not any(m.start <= word.start() < m.end for m in marks):
            before = [m for m in marks if m.end <= word.start()]
            if before:
                return before
    return marks


def _marks(entry: _Entry, plain: str) -> Iterator[_Mark]:
    """Every place of an entry in a text."""
    for found in _compiled(entry.pattern).finditer(plain):
        yield _Mark(found.start(), found.end(), entry.kind, entry.orders)


def _merged(marks: Iterable[_Mark]) -> list[_Mark]:
    """Marks of one place and kind made one, with the head orders of all."""
    orders: dict[tuple[int, int, RoomKind | None], frozenset[bool]] = {}
    for m in marks:
        place = (m.start, m.end, m.kind)
        orders[place] = orders.get(place, frozenset()) | m.orders
    return [_Mark(start, end, kind, both) for (start, end, kind), both in orders.items()]


def _plain(text: str) -> str:
    """Small letters without accents; words, and signs that make lists, with one space between."""
    text = re.sub(r"(?<=[a-zа-яà-ÿ])(?=[A-ZА-ЯÀ-Þ])", " ", text)
    text = re.sub(r"(?<=[A-Za-z])(?=[\u3000-\u9fff])|(?<=[\u3000-\u9fff])(?=[A-Za-z])", " ", text)
    letters = unicodedata.normalize("NFKD", text.casefold().translate(_PLAIN))
    letters = "".join(c for c in letters if not unicodedata.combining(c))
    return " ".join(re.findall(r"[^\W\d_]+|[/+&,;·・|、]", letters))


@lru_cache(maxsize=1)
def _entries() -> tuple[_Entry, ...]:
    """All words of all languages; a word that two languages share means what the first one says."""
    kinds: dict[str, RoomKind | None] = {}
    orders: dict[str, set[bool]] = {}
    for language in LANGUAGES:
        for kind_name, words in language.words.items():
            for spelling in (form for word in words.split(",") for form in _spellings(word.strip())):
                kinds.setdefault(spelling, RoomKind(kind_name) if kind_name else None)
                orders.setdefault(spelling, set()).add(language.head_last)
    return tuple(_entry(spelling, kind, frozenset(orders[spelling])) for spelling, kind in kinds.items())


def _spellings(word: str) -> tuple[str, ...]:
    """A word as it may be written without its umlauts: "kuche", "kueche"."""
    low = word.casefold()
    stars = ("*" if low.startswith("*") else "", "*" if low.endswith("*") else "")
    written_out = _plain(low.translate(_WRITTEN_OUT))
    return tuple(dict.fromkeys(stars[0] + form + stars[1] for form in (_plain(low), written_out)))


def _entry(spelling: str, kind: RoomKind | None, orders: frozenset[bool]) -> _Entry:
    """An entry of a spelling with stars."""
    word = spelling.strip("*")
    body = " ?".join(re.escape(part) for part in word.split())
    left = "" if spelling.startswith("*") else r"\b"
    plural = r"(?:s|es)?" if word.isascii() and len(word) >= 4 and not spelling.endswith("*") else ""
    right = "" if spelling.endswith("*") else plural + r"\b"
    return _Entry(word.split()[0], left + body + right, kind, orders)


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)
