"""What to order, and what to bring to which storey in which turn; the fields of screed in the order of pouring."""

from __future__ import annotations

from collections.abc import Iterator

from ufh_core.floor.types import TakeOffLine
from ufh_core.site_pack.blocks import Block, Chapter, Grid, Heading, Paragraph
from ufh_core.site_pack.source import Source, amount
from ufh_core.words import number, said, say


def order_chapter(source: Source) -> Chapter:
    """The chapter."""
    return Chapter(key="order", title=say("Take-off and deliveries"), blocks=tuple(_blocks(source)))


def _blocks(source: Source) -> Iterator[Block]:
    yield Heading(text=say("To order for the whole building"))
    yield Paragraph(text=say("Spare and whole packs are included. Check it against the site before it is ordered."))
    yield _lines(source.design.take_off, say("ordered on"))
    for turn, delivery in enumerate(source.design.deliveries, 1):
        yield Heading(text=say("Delivery {turn}: {storey}", turn=turn, storey=source.storey(delivery.storey)))
        yield _lines(delivery.lines, say("arrived on"))
    if source.design.deliveries:
        yield Paragraph(text=say("Pipe comes once for the building. Screed comes after the leak test only."))
    yield from _pours(source)


def _lines(lines: tuple[TakeOffLine, ...], last: str) -> Grid:
    rows = [(said(line.item), amount(line.quantity), _unit(line.unit), _made_up(line), "") for line in lines]
    heads = (say("item"), say("quantity"), say("measured in"), say("made up of"), last)
    return Grid(heads=heads, rows=tuple(rows), widths=(4, 1.3, 0.9, 6, 1.6), right=(1,))


def _unit(unit: str) -> str:
    return say("pcs") if unit == "pcs" else unit


def _made_up(line: TakeOffLine) -> str:
    """Net, spare and packs, as far as the line has them."""
    if line.net is None:
        return "–"
    texts = [say("{net} {unit} net", net=amount(line.net), unit=_unit(line.unit))]
    texts += [say("{spare:g} % spare", spare=100 * line.spare)] if line.spare > 0 else []
    if line.packs and line.pack and line.pack != 1:
        texts.append(say("{packs} × {pack:g} {unit}", packs=line.packs, pack=line.pack, unit=_unit(line.unit)))
    return ", ".join(texts)


def _pours(source: Source) -> Iterator[Block]:
    pours = sorted(source.design.pours, key=lambda pour: pour.number)
    if not pours:
        return
    fields = {s.storey: s.joints.fields for s in source.design.storeys}
    rows = [
        (
            f"{pour.number}",
            pour.name,
            source.rooms(fields[pour.storey][pour.field].rooms),
            number(pour.area_m2, 1),
            number(pour.screed_m3, 2),
            f"{pour.day}",
            "",
        )
        for pour in pours
    ]
    yield Heading(text=say("Screed, in the order of pouring"))
    yield Paragraph(text=say("Farthest from the way out first, so that nobody walks over fresh screed."))
    heads = (say("turn"), say("field"), say("rooms"), "m²", say("m³ net"), say("day"), say("poured on"))
    yield Grid(heads=heads, rows=tuple(rows), widths=(0.8, 1, 5, 1, 1, 0.8, 1.6), right=(0, 3, 4, 5))
