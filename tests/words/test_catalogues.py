"""Catalogues: complete, the same values in every text, read as another library reads them, in the trade's words."""

from __future__ import annotations

import gettext
import io
import pickle
import string
from pathlib import Path

import pytest
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from messages import messages

from ufh_core.basis.errors import UfhError
from ufh_core.basis.message import Message
from ufh_core.words import language, languages, number, said, say, speaking
from ufh_core.words.po_file import entries, read_catalogue

FOLDER = Path(__file__).resolve().parents[2] / "ufh_core" / "words"
CATALOGUES = sorted(FOLDER.glob("*.po"))
TRADE = {
    "Manifold": "Heizkreisverteiler",
    "edge strip": "Randdämmstreifen",
    "Leak test": "Dichtheitsprüfung",
    "First heating": "Funktionsheizen",
    "Balancing sheet": "Hydraulischer Abgleich",
    "Screed": "Estrich",
    "valve actuator": "Stellantrieb",
    "carbide": "CM-Messung",
    "circuit": "Heizkreis",
    "castellated panel {length:.0f} x {width:.0f} mm": "Noppenplatte {length:.0f} x {width:.0f} mm",
}
"""Words of the German trade. Source: common practice, as in EN 1264-4's German edition and in trade teaching."""
WITHIN = ("Vorlauf", "Rücklauf", "Bewegungsfuge", "Verlegeabstand", "Belegreifheizen", "Sicherheitstemperaturbegrenzer")


def fields(text: str) -> list[tuple[str, str | None]]:
    """The values that a text takes, with their formats."""
    return sorted((name, form) for _, name, form, _ in string.Formatter().parse(text) if name)


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_every_message_has_its_text_and_no_text_is_left_over(path: Path) -> None:
    texts = dict(entries(path.read_text(encoding="utf-8")))
    texts.pop("")
    assert sorted(messages() - set(texts)) == []
    assert sorted(set(texts) - messages()) == []
    assert [key for key, text in texts.items() if not text.strip()] == []


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_values_and_their_formats_agree(path: Path) -> None:
    """So that no figure is lost or rounded otherwise in another language."""
    texts = dict(entries(path.read_text(encoding="utf-8")))
    assert [key for key, text in texts.items() if key and fields(key) != fields(text)] == []


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_another_library_reads_the_same(path: Path) -> None:
    """Babel reads the source and compiles it; the standard library's gettext reads what it compiled."""
    with path.open("rb") as file:
        theirs = read_po(file)
    compiled = io.BytesIO()
    write_mo(compiled, theirs)
    compiled.seek(0)
    by_gettext = gettext.GNUTranslations(compiled)
    ours = read_catalogue(path)
    assert {message.id: message.string for message in theirs if message.id} == ours.texts
    assert all(by_gettext.gettext(key) == ours.gettext(key) for key in ours.texts)


def test_german_speaks_the_trade() -> None:
    texts = read_catalogue(FOLDER / "de.po").texts
    assert {key: texts[key] for key in TRADE} == TRADE
    every = " ".join(texts.values())
    assert [word for word in WITHIN if word not in every] == []


def test_fuzzy_and_obsolete_entries_are_not_said() -> None:
    text = 'msgid "a"\nmsgstr "A"\n\n#, fuzzy\nmsgid "b"\nmsgstr "B"\n\n#~ msgid "c"\n#~ msgstr "C"\n'
    assert dict(entries(text)) == {"a": "A"}


@pytest.mark.parametrize("text", ['msgid "a\nmsgstr "b"', 'msgid "a"\nmsgstr b', "hello"])
def test_a_broken_catalogue_is_told_in_one_line(text: str) -> None:
    with pytest.raises(UfhError, match=r"line [12]"):
        list(entries(text))


def test_a_language_is_spoken_within_its_block_only() -> None:
    assert (language(), say("Leak test"), number(1.5, 1)) == ("en", "Leak test", "1.5")
    with speaking("de"):
        assert (language(), say("Leak test"), number(1.5, 1)) == ("de", "Dichtheitsprüfung", "1,5")
    assert language() == "en"
    with pytest.raises(UfhError, match="there are: en, de"), speaking("xx"):
        pass
    assert languages() == ("en", "de")


def test_a_message_is_said_later_with_messages_within() -> None:
    text = Message("{screed} screed, designed with {wanted}", screed=Message("cement"), wanted=Message("cement"))
    assert text == "cement screed, designed with cement"
    with speaking("de"):
        assert said(text) == said(pickle.loads(pickle.dumps(text))) == "Zement-Estrich, mit Zement geplant"
        assert say("{hours:g} h under pressure, at least {least:g} h", hours=1.5, least=1.0).startswith("1,5 h")


def test_what_people_wrote_is_not_filled_in() -> None:
    """Braces in a name are braces."""
    for name in ("{0.__class__}", "{nothing}", "Screed {"):
        assert said(name) == name
        assert say("Plan: {storey}", storey=name) == f"Plan: {name}"
