"""Forms for records on the page, made of the kinds' own fields, so that what they ask is what the rules check."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from html import escape

from ufh_core.documents.lettering import clean
from ufh_core.documents.setting_out_text import short
from ufh_core.documents.site_titles import title_of
from ufh_core.records.kinds import KINDS, ROLES, Photograph, SiteRecord
from ufh_core.records.readings import LONGEST_TEXT, Asked, asked_of
from ufh_core.records.site_design import SiteDesign
from ufh_core.words import mark, said, say

ON_THE_PAGE = tuple(kind for kind in KINDS.values() if kind is not Photograph)
_TITLES = {"signature": mark("Signature"), "heating-day": mark("First heating, a day")}


def record_forms(site: SiteDesign, title: str) -> str:
    """The part of the page in which records are typed and saved as a file."""
    return "".join(_parts(site, title))


def _parts(site: SiteDesign, title: str) -> Iterator[str]:
    yield f'<details class="chapter" id="record" data-design="{site.fingerprint}"><summary><h2>{_text(title)}</h2>'
    yield "</summary>"
    yield _p(
        say(
            "What you keep here stays on this device until you save it as a file. Hand the file in: "
            "`warmloom record file DIR FILE` checks every record by its rule and puts it on file."
        )
    )
    nothing = _text(say("This device keeps nothing: save before you leave."))
    yield f'<p id="kept-where" role="status" hidden>{nothing}</p>'
    roles = "".join(f'<option value="{role}">{_text(said(role))}</option>' for role in ROLES)
    yield f'<div class="tools"><label>{_text(say("I am"))}<select id="who">{roles}</select></label>'
    yield f'<label>{_text(say("my name, if it is to be kept"))}<input id="person" type="text" maxlength="100"></label>'
    options = "".join(f'<option value="{kind.word}">{_text(_title(kind))}</option>' for kind in ON_THE_PAGE)
    yield f'<label>{_text(say("what is recorded"))}<select id="kind">{options}</select></label></div>'
    yield from (_form(kind, site) for kind in ON_THE_PAGE)
    yield f'<h3>{_text(say("Kept on this device"))}</h3><ul id="kept" data-remove="{_text(say("remove"))}"></ul>'
    yield f'<p><button type="button" id="save" disabled>{_text(say("Save as a file"))}</button></p></details>'


def _title(kind: type[SiteRecord]) -> str:
    return said(_TITLES[kind.word]) if kind.word in _TITLES else title_of(kind.step)


def _form(kind: type[SiteRecord], site: SiteDesign) -> str:
    fields = "".join(_field(asked, site) for asked in asked_of(kind) if not asked.hidden)
    button = f'<button type="submit">{_text(say("Keep"))}</button>'
    title = _text(_title(kind))
    return f'<form class="record" data-kind="{kind.word}" data-title="{title}" hidden>{fields}{button}</form>'


def _field(asked: Asked, site: SiteDesign) -> str:
    need = "" if asked.needed else f" ({_text(say('may be left out'))})"
    return f"<label>{_text(said(asked.label))}{need}{_input(asked, site)}</label>"


def _input(asked: Asked, site: SiteDesign) -> str:
    """The control for a field: its type and range are the record's."""
    own = f'name="{asked.name}"' + (" required" if asked.needed else "")
    if asked.refers or asked.choices or asked.kind is bool:
        names = [(name, short(name)) for name in site.names(asked.refers)] if asked.refers else []
        names += [(choice, said(choice)) for choice in asked.choices]
        names += [("yes", say("yes")), ("no", say("no"))] if asked.kind is bool else []
        options = "".join(f'<option value="{escape(value)}">{_text(text)}</option>' for value, text in names)
        return f'<select {own} data-type="text"><option value=""></option>{options}</select>'
    if asked.kind is date:
        return f'<input {own} type="date" data-type="text">'
    if asked.kind is str:
        return f'<input {own} type="text" maxlength="{LONGEST_TEXT}" data-type="text">'
    step = "1" if asked.kind is int else "any"
    bounds = "" if asked.low is None else f' min="{asked.low:g}" max="{asked.high:g}"'
    value = ' value="1"' if asked.name == "round" else ""
    return f'<input {own} type="number" inputmode="decimal" step="{step}"{bounds}{value} data-type="number">'


def _p(text: str) -> str:
    return f"<p>{_text(text)}</p>"


def _text(text: str) -> str:
    return escape(clean(text))
