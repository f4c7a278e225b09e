"""Setting-out cards on paper, by room: the steps of each circuit with the marks to read on the pipe."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ufh_core.documents.setting_out_text import metres, millimetres, short, step_text, wall_texts
from ufh_core.documents.setting_out_words import say as card_word
from ufh_core.exchange.setting_out_json import setting_out_cards
from ufh_core.setting_out.types import CircuitCard
from ufh_core.site_pack.blocks import Block, Box, Chapter, Grid, Heading, Paragraph
from ufh_core.site_pack.source import Source
from ufh_core.words import number, say

CAUTIONS = (1, 2, 3, 4)


def cards_chapter(source: Source) -> Chapter:
    """The chapter: cards stand under the room that their circuit heats first."""
    return Chapter(key="cards", title=say("Setting-out cards by room"), blocks=tuple(_blocks(source)))


def _blocks(source: Source) -> Iterator[Block]:
    names = {room.ifc_guid: room.label for s in source.design.building.storeys for room in s.rooms}
    radius = millimetres(source.design.settings.pipe.least_bend_radius_m)
    yield Box(title=card_word("cautions"), texts=tuple(card_word(f"caution {k}", radius=radius) for k in CAUTIONS))
    yield Paragraph(text=say("Marks are metres of pipe, counted from the end that goes into the flow bar."))
    for storey in source.design.storeys:
        cards = setting_out_cards(source.design, storey)
        for room in dict.fromkeys(card.rooms[0] for card in cards if card.rooms):
            yield Heading(text=f"{source.room(room)}, {source.storey(storey.storey)}")
            for card in (c for c in cards if c.rooms[:1] == (room,)):
                yield from _card(source, card, names)
    if not source.site.circuits:
        yield Paragraph(text=card_word("nothing"))


def _card(source: Source, card: CircuitCard, names: Mapping[str, str]) -> Iterator[Block]:
    facts = [f"{card_word('length')} {metres(card.length_m)}"]
    if card.coil is not None:
        coil = card.coil
        facts.append(f"{card_word('cut')} {metres(coil.cut_m)}")
        length, before = f"{coil.coil_m:g} m", metres(coil.before_m)
        text = card_word("coil text", coil=coil.coil, length=length, cut=coil.cut, cuts=coil.cuts, before=before)
        facts.append(f"{card_word('coil')} {text}")
    else:
        facts.append(f"{card_word('coil')}: {card_word('no coil')}")
    yield Heading(text=card_word("circuit in", number=short(card.number), rooms=source.rooms(card.rooms)), minor=True)
    yield Paragraph(text="; ".join(facts) + ".")
    steps = [(f"{k}", number(s.at_m, 2), step_text(s, card, names)) for k, s in enumerate(card.steps, 1)]
    yield Grid(
        heads=("", f"{card_word('mark')} m", card_word("steps")), rows=tuple(steps), widths=(0.6, 1.3, 12), right=(0, 1)
    )
    checks = [
        (f"{check.at_m:g}", source.room(check.room), "; ".join(wall_texts(check.walls)) or "–") for check in card.checks
    ]
    if checks:
        heads = (f"{card_word('mark')} m", card_word("room"), f"{card_word('checks')}: {card_word('check walls')}")
        yield Grid(heads=heads, rows=tuple(checks), widths=(1.3, 3, 9.6), right=(0,))
