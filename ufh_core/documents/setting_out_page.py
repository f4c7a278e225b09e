"""A plan to tap and a card for each circuit, for the fitter's phone: the first part of the site pack's page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents.setting_out_plan import half, plan_svg, quarter, stud_figure
from ufh_core.documents.setting_out_script import SCRIPT, STYLE
from ufh_core.documents.setting_out_text import (
    bend_text,
    isolated,
    metres,
    millimetres,
    short,
    step_text,
    studs,
    wall_texts,
)
from ufh_core.documents.setting_out_words import say
from ufh_core.documents.storey_view import storey_view
from ufh_core.exchange.setting_out_json import setting_out_cards
from ufh_core.setting_out.studs import StudGrid
from ufh_core.setting_out.types import CircuitCard, Step, StepKind
from ufh_core.words import language

_KEY = (
    StepKind.DOORWAY,
    StepKind.OPEN_SIDE,
    StepKind.WALL_SLEEVE,
    StepKind.JOINT,
    StepKind.TURN_ROUND,
    StepKind.HALF_WAY,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class More:
    """What stands on the page besides: its title, links before the plan, chapters behind the cards; HTML already."""

    title: str
    links: str = ""
    chapters: str = ""
    style: str = ""
    script: str = ""


def setting_out_page(design: Design, more: More | None = None) -> str:
    """The page as HTML."""
    more = more or More(title=say("title"))
    storeys = [(storey, own) for storey in design.storeys if (own := setting_out_cards(design, storey))]
    cards = [card for _, own in storeys for card in own]
    ids = {card.number: f"card-{k}" for k, card in enumerate(cards, 1)}
    names = {room.ifc_guid: room.label for storey in design.building.storeys for room in storey.rooms}
    title = more.title + (f" – {short(design.building.project_name)}" if design.building.project_name else "")
    keys = _Keys(cards)
    lines = [
        f'<!DOCTYPE html><html lang="{language()}"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width,initial-scale=1"><link rel="icon" href="data:,">',
        f"<title>{escape(title)}</title><style>{STYLE}{more.style}</style></head><body>",
        f"<header><h1>{_bdi(title)}</h1><p><strong>{_caution(design, 1)}</strong> {_text(say('more cautions'))}</p>",
        f'{more.links}<h2 id="plan">{_text(say("title"))}</h2>{_p("intro")}</header><main>',
        _tools(keys, names),
        *(_figure(design, storey, own, ids, names) for storey, own in storeys),
        _list(cards, ids),
        *(_card(card, ids[card.number], keys, names) for card in cards),
        _counting(design) if cards else _p("nothing"),
        more.chapters,
        _cautions(design),
        f"</main><footer>{_text(say('foot', digest=design.settings_digest[:12], software=design.software_version))}",
        f"</footer><script>{SCRIPT}{more.script}</script></body></html>\n",
    ]
    return "".join(lines)


def _caution(design: Design, number: int) -> str:
    return _text(say(f"caution {number}", radius=millimetres(design.settings.pipe.least_bend_radius_m)))


def _cautions(design: Design) -> str:
    items = "".join(f"<li>{_caution(design, k)}</li>" for k in range(1, 5))
    return f'<div class="caution"><strong>{_text(say("cautions"))}</strong><ul>{items}</ul></div>'


class _Keys:
    """Short keys of rooms and manifolds for the filters, so that no name stands in a value."""

    def __init__(self, cards: Sequence[CircuitCard]) -> None:
        rooms = dict.fromkeys(room for card in cards for room in card.rooms)
        self.rooms = {guid: f"r{k}" for k, guid in enumerate(rooms)}
        self.manifolds = {name: f"m{k}" for k, name in enumerate(dict.fromkeys(card.manifold for card in cards))}


def _tools(keys: _Keys, names: Mapping[str, str]) -> str:
    """Filters."""
    return (
        '<div class="tools">'
        + _select("room", [(key, short(names.get(guid, guid))) for guid, key in keys.rooms.items()])
        + _select("manifold", [(key, short(name)) for name, key in keys.manifolds.items()])
        + "</div>"
    )


def _select(name: str, options: Sequence[tuple[str, str]]) -> str:
    every = f'<option value="">{_text(say("every"))}</option>'
    rows = "".join(f'<option value="{value}">{_text(text)}</option>' for value, text in options)
    return f'<label>{_text(say(name))}<select id="{name}">{every}{rows}</select></label>'


def _figure(
    design: Design, storey: StoreyDesign, cards: Sequence[CircuitCard], ids: Mapping[str, str], names: Mapping[str, str]
) -> str:
    view = storey_view(design, storey)
    buttons = "".join(
        f'<button type="button" data-zoom="{by}" aria-label="{_text(say(key))}">{sign}</button>'
        for by, key, sign in (("0.7", "zoom in", "+"), ("1.43", "zoom out", "−"), ("0", "whole plan", "⤢"))
    )
    caption = _bdi(say("plan", storey=isolated(view.storey.name)))
    return (
        f'<figure><figcaption>{caption}</figcaption><div class="view"><div class="zoom">{buttons}</div>'
        f"{plan_svg(view, cards, ids, names)}</div></figure>{_p('plan hint')}"
    )


def _list(cards: Sequence[CircuitCard], ids: Mapping[str, str]) -> str:
    """All circuits by number."""
    items = "".join(
        f'<li><a href="#{ids[c.number]}" data-card="{ids[c.number]}">{_text(c.number)}</a></li>' for c in cards
    )
    return (
        f'<nav aria-label="{_text(say("circuits"))}"><ul class="list">{items}</ul></nav>'
        f'<button type="button" id="back" hidden>{_text(say("all cards"))}</button>'
        f'<p id="none" role="status" hidden>{_text(say("none"))}</p>'
    )


def _card(card: CircuitCard, name: str, keys: _Keys, names: Mapping[str, str]) -> str:
    rooms = ", ".join(isolated(names.get(guid, guid)) for guid in card.rooms)
    own = " ".join(keys.rooms[guid] for guid in card.rooms)
    heading = say("circuit in", number=card.number, rooms=rooms)
    return (
        f'<section class="card" id="{name}" tabindex="-1" aria-labelledby="{name}-h" data-rooms="{own}" '
        f'data-manifold="{keys.manifolds[card.manifold]}">'
        f'<h2 id="{name}-h">{_bdi(heading)}</h2>{_facts(card)}{_coil_print(name)}<h3>{_text(say("steps"))}</h3>'
        f'<ol class="steps">{"".join(_step(k, step, card, names) for k, step in enumerate(card.steps, 1))}</ol>'
        f"{_checks(card, names)}{_bends(card, names)}</section>"
    )


def _facts(card: CircuitCard) -> str:
    """Length, coil, pitch."""
    coil = card.coil
    rows = [("length", metres(card.length_m)), ("rises", metres(card.rise_m))]
    if coil is None:
        rows.append(("coil", say("no coil")))
    else:
        rows.append(("cut", metres(coil.cut_m)))
        places = {"coil": coil.coil, "cut": coil.cut, "cuts": coil.cuts}
        rows.append(("coil", say("coil text", length=_coil_m(coil.coil_m), before=metres(coil.before_m), **places)))
    return "<dl>" + "".join(f"<dt>{_text(say(key))}</dt><dd>{_text(text)}</dd>" for key, text in rows) + "</dl>"


def _coil_print(name: str) -> str:
    """Where the fitter enters what is printed on the pipe."""
    return (
        f'<div class="tools"><label>{_text(say("coil print"))}<input class="first" type="number" inputmode="decimal" '
        f'min="0" step="0.1" aria-describedby="{name}-p"></label><label class="row"><input class="down" '
        f'type="checkbox">{_text(say("coil down"))}</label></div><p id="{name}-p">{_text(say("coil print hint"))}</p>'
    )


def _coil_m(length_m: float) -> str:
    return f"{length_m:g} m"


def _step(number: int, step: Step, card: CircuitCard, names: Mapping[str, str]) -> str:
    key = ' class="key"' if step.kind in _KEY else ""
    return (
        f'<li{key}><span class="no">{number}</span><div><span class="mark">{_text(metres(step.at_m))} '
        f"{_print(step.at_m)}</span>{_bdi(step_text(step, card, names))}</div></li>"
    )


def _print(at_m: float) -> str:
    """Where the script writes what is printed on the pipe."""
    return f'<span class="print" data-at="{at_m:.3f}" data-word="{_text(say("read", value="{value}"))}" hidden></span>'


def _checks(card: CircuitCard, names: Mapping[str, str]) -> str:
    rows = [
        (
            f"{check.at_m:g} m {_print(check.at_m)}",
            _name(check.room, names) + ": " + _text("; ".join(wall_texts(check.walls)) or "–"),
        )
        for check in card.checks
    ]
    head = (say("mark"), say("check walls"))
    return f"<h3>{_text(say('checks'))}</h3>{_table(head, rows)}" if rows else ""


def _bends(card: CircuitCard, names: Mapping[str, str]) -> str:
    rows, room = list[tuple[str, ...]](), None
    for bend in card.bends:
        if bend.room != room:
            room = bend.room
            rows.append((_name(room, names),))
        cells = (millimetres(bend.run_m), bend_text(bend.turn_deg), studs(bend.studs) if bend.studs else "–")
        rows.append((f"{_text(metres(bend.at_m))} {_print(bend.at_m)}", *map(_text, cells)))
    head = [say("mark"), *(say(f"bend {what}") for what in ("before", "turn", "studs"))]
    title = _text(say("bends", count=len(card.bends)))
    return f"<details><summary>{title}</summary>{_table(head, rows)}</details>" if rows else ""


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table of cells that are HTML already; a row of one cell heads those below it."""
    heads = "".join(f'<th scope="col">{_text(text)}</th>' for text in head)
    body = "".join(
        f'<tr><th colspan="{len(head)}" scope="rowgroup">{row[0]}</th></tr>'
        if len(row) == 1
        else "<tr>" + "".join(f"<td>{cell}</td>" for cell in row) + "</tr>"
        for row in rows
    )
    return f"<table><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"


def _counting(design: Design) -> str:
    """How studs are counted, with a figure; by the design's own studs and bends."""
    layout, pipe = design.settings.layout, design.settings.pipe
    if not layout.stud_grid:
        return _p("no studs")
    grid, radius = StudGrid(angle_rad=0.0, stud_m=layout.stud_pitch_m), pipe.least_bend_radius_m
    counts = [grid.inside_bend(arcs, pipe.outside_diameter_m) or (0, 0) for arcs in (quarter(radius), half(radius))]
    text = say("count text", radius=millimetres(radius), quarter=studs(counts[0][0]), half=studs(counts[1][0]))
    off = grid.nearest_to(quarter(radius))
    over = f"<p>{_text(say('count over', off=f'{1000 * off:.0f} mm'))}</p>" if counts[0][1] else ""
    figure = stud_figure(radius, layout.stud_pitch_m, pipe.outside_diameter_m)
    return f"<section><h2>{_text(say('count'))}</h2><p>{_text(text)}</p>{over}{figure}</section>"


def _name(guid: str, names: Mapping[str, str]) -> str:
    return _bdi(short(names[guid])) if guid in names else "–"


def _p(key: str) -> str:
    return f"<p>{_text(say(key))}</p>"


def _bdi(text: str) -> str:
    """A text that keeps its own direction of writing to itself."""
    return f"<bdi>{_text(text)}</bdi>"


def _text(text: str) -> str:
    return escape(text)
