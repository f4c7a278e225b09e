"""The heat demand of every room as a page for whoever checks it: each term with what it is made of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape
from pathlib import Path

from ufh_core.basis.errors import OutputError
from ufh_core.building.types import Room
from ufh_core.design_result import Design
from ufh_core.heat_demand import DemandTerm, RoomDemand, outdoor_temperature

CAUTION = (
    "Simplified method after EN 12831-1 with inner dimensions. A competent person checks every figure against the "
    "national annex, local codes and the building itself before anything is ordered. U-values marked as assumed are "
    "no statement about the building."
)
_HEADS = ("part", "to, or of", "U from", "A m²", "U W/(m²K)", "f", "Δθ K", "Φ W")
_PARTS = {"inner": "inner wall", "bridge": "thermal bridges", "reheat": "heating up", "face": "side"}
_BASES = {
    "model": "model",
    "layers": "layers, EN ISO 6946",
    "default": "assumed",
    "settings": "settings",
    "open": "no wall between",
}
_STYLE = (
    "body{font:14px sans-serif;margin:2em;max-width:60em}table{border-collapse:collapse;margin:.4em 0 1.6em;width:100%}"
    "td,th{border:1px solid #999;padding:2px 6px;text-align:left;font-size:12px}"
    ".n{text-align:right;white-space:nowrap}.s td{font-weight:bold;background:#eee}.p td{color:#555}"
    ".caution{border:2px solid #000;padding:.6em}h2{font-size:17px;margin:1em 0 0}"
)


def write_heat_demand_page(design: Design, path: Path) -> None:
    """Write the page. Raises `OutputError` where it cannot be written."""
    try:
        path.write_text(heat_demand_page(design), encoding="utf-8")
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror})") from error


def heat_demand_page(design: Design) -> str:
    """The page as HTML: a table of all rooms, then one of each room's terms. Powers [W], areas [m²]."""
    rooms = [(design.building.room(r.room), r.demand) for s in design.storeys for r in s.rooms if r.demand]
    outdoor = outdoor_temperature(design.building, design.settings.heat_demand)
    title = "Heat demand" + (f" – {design.building.project_name}" if design.building.project_name else "")
    age = design.settings.heat_demand.building_age
    lines = [
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">',
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head><body>",
        f'<h1>{escape(title)}</h1><p class="caution">{CAUTION}</p>',
        f"<p>Design outdoor temperature θ<sub>e</sub> {outdoor:g} °C, Δθ = θ<sub>int</sub> − θ<sub>e</sub>. "
        "Loss Φ = A U f Δθ through a face, 0.34 n V Δθ by air. "
        f"U-values of which the model says nothing are assumed for a building of the age {escape(age)}.</p>",
        *_overview(rooms),
    ]
    for room, demand in rooms:
        lines += _room(room, demand)
    return "\n".join([*lines, "</body></html>"]) + "\n"


def _overview(rooms: Sequence[tuple[Room, RoomDemand]]) -> Iterator[str]:
    """One row a room, with the sum of what the floors have to give."""
    yield "<table><tr>" + "".join(f"<th>{head}</th>" for head in _OVERVIEW) + "</tr>"
    for room, demand in rooms:
        gap = _percent(demand.envelope.gap) if demand.envelope else "–"
        yield _row(
            "",
            (room.label, str(demand.basis)),
            (
                f"{demand.indoor_c:g}",
                f"{room.outline.area:.1f}",
                _watts(demand.model_w),
                _watts(demand.calculated_w),
                _watts(demand.demand_w),
                f"{demand.demand_w / room.outline.area:.0f}",
                gap,
            ),
        )
    total = _watts(sum(demand.demand_w for _, demand in rooms))
    yield _row("s", ("all rooms", ""), ("", "", "", "", total, "", "")) + "</table>"


_OVERVIEW = ("room", "basis", "°C", "floor m²", "model W", "calculated W", "used W", "W/m²", "envelope gap")


def _room(room: Room, demand: RoomDemand) -> Iterator[str]:
    """A heading, the terms, the faces without a loss, the floor's own loss, the closure of the envelope."""
    yield f"<h2>{escape(room.label)}, {demand.indoor_c:g} °C</h2>"
    used = f"Used: {demand.demand_w:.0f} W – {demand.note}."
    if demand.model_w is not None and demand.calculated_w is not None:
        change = demand.calculated_w / demand.model_w - 1
        used += f" Model {demand.model_w:.0f} W, calculated {demand.calculated_w:.0f} W ({change:+.0%})."
    yield f"<p>{escape(used)}</p><table><tr>" + "".join(f"<th>{head}</th>" for head in _HEADS) + "</tr>"
    terms = demand.calculated_terms or demand.terms
    yield from (_term(term) for term in terms)
    yield _sum("sum" + (", at least 0" if sum(t.loss_w for t in terms) < 0 else ""), terms)
    yield from (_term(term, "p") for term in demand.floor_terms)
    if demand.floor_terms:
        yield _sum("floor itself, not part of the demand", demand.floor_terms)
    yield from (_term(face, "p") for face in demand.faces)
    yield "</table>"
    closure = demand.envelope
    if closure is not None:
        yield (
            f"<p>Envelope {closure.envelope_m2:.2f} m² (perimeter × height + floor + ceiling), "
            f"faces {closure.faces_m2:.2f} m², gap {_percent(closure.gap)}.</p>"
        )


def _term(term: DemandTerm, style: str = "") -> str:
    """A row; what a term is not made of stays empty."""
    part, basis = _PARTS.get(term.kind, term.kind), _BASES.get(term.u_basis, "")
    is_face = bool(term.u_basis)
    figures = (
        f"{term.u_value:.3f}" if is_face else "",
        f"{term.factor:.3f}" if is_face else "",
        f"{term.difference_k:.1f}" if term.difference_k else "",
        f"{term.loss_w:.1f}" if term.kind not in ("face", "ceiling") else "no loss",
    )
    return _row(style, (part, term.what, basis), (f"{term.area_m2:.2f}" if term.area_m2 else "", *figures))


def _sum(label: str, terms: Iterable[DemandTerm]) -> str:
    return _row("s", (label, "", ""), ("", "", "", "", f"{sum(term.loss_w for term in terms):.1f}"))


def _row(style: str, texts: Sequence[str], figures: Sequence[str]) -> str:
    """A row of texts, then of figures."""
    cells = "".join(f"<td>{escape(text)}</td>" for text in texts)
    cells += "".join(f'<td class="n">{escape(figure)}</td>' for figure in figures)
    return f'<tr class="{style}">{cells}</tr>' if style else f"<tr>{cells}</tr>"


def _percent(share: float) -> str:
    return f"{round(100 * share, 1) + 0.0:.1f} %"  # no -0.0


def _watts(power: float | None) -> str:
    return "–" if power is None else f"{power:.0f}"
