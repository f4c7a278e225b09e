"""What is cut from which panel, in what order, and the list that the cutting goes by."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ufh_core.panels.packing import Packed, is_useful
from ufh_core.panels.packing import area as box_area
from ufh_core.panels.types import Box, Cut, CutPanel, CuttingLine, PanelSize, Piece, RoomPanels


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbered:
    """Panels of floors that are cut together: `numbers` on the storey by the panel's place in `packed`."""

    packed: Packed
    numbers: tuple[int, ...]


def in_order(cuts: Sequence[Packed], taken: Sequence[tuple[int, int]]) -> list[Numbered]:
    """Panels numbered from 1 as they are first `taken`: (which of the `cuts`, which panel of it) piece by piece."""
    numbers = [[0] * packed.panels for packed in cuts]
    for number, (job, panel) in enumerate(dict.fromkeys(taken), 1):
        numbers[job][panel] = number
    return [Numbered(packed=packed, numbers=tuple(of)) for packed, of in zip(cuts, numbers, strict=True)]


def useful_m2(done: Sequence[Numbered], size: PanelSize) -> dict[int, float]:
    """Off-cuts of each panel that can be used again, as floor that they cover [m²], by number."""
    found: dict[int, float] = {}
    for each in done:
        for panel, box in each.packed.left:
            if is_useful(box):
                share = box_area(box) / box_area(size.box)
                number = each.numbers[panel]
                found[number] = found.get(number, 0.0) + share * size.covers_m2
    return found


def cut_panels(pieces: Sequence[Piece], done: Sequence[Numbered], size: PanelSize) -> tuple[CutPanel, ...]:
    """The panels that are cut, by number."""
    of: dict[int, list[Piece]] = {}
    for piece in pieces:
        of.setdefault(piece.from_panel, []).append(piece)
    found = []
    for each in done:
        for panel, number in enumerate(each.numbers):
            if all(piece.whole for piece in of[number]):
                continue
            left = sorted(box for owner, box in each.packed.left if owner == panel)
            cuts = [
                Cut(part_m=metres(cut.part, size), across=cut.across, at_m=round(cut.at * size.stud_m, 6))
                for cut in each.packed.cuts[panel]
            ]
            names = tuple(piece.number for piece in of[number])
            left_m = tuple(metres(box, size) for box in left)
            found.append(CutPanel(number=number, pieces=names, cuts=tuple(cuts), left_m=left_m))
    return tuple(sorted(found, key=lambda panel: panel.number))


def cutting_list(pieces: Sequence[Piece]) -> tuple[CuttingLine, ...]:
    """Pieces by width, then by length, the largest first: panels for one line are stacked and cut together."""
    groups: dict[tuple[float, float], list[Piece]] = {}
    for piece in pieces:
        if not piece.whole:
            groups.setdefault((round(piece.width_m, 3), round(piece.length_m, 3)), []).append(piece)
    return tuple(
        CuttingLine(
            width_m=width,
            length_m=length,
            pieces=tuple(piece.number for piece in group),
            panels=tuple(piece.from_panel for piece in group),
        )
        for (width, length), group in sorted(groups.items(), reverse=True)
    )


def room_shares(
    rooms: Sequence[str], pieces: Sequence[Piece], left_m2: Mapping[int, float], size: PanelSize
) -> tuple[RoomPanels, ...]:
    """What each room takes: of every panel, less the off-cuts that can be used again, by the floor of its pieces."""
    by_panel: dict[int, float] = {}
    for piece in pieces:
        by_panel[piece.from_panel] = by_panel.get(piece.from_panel, 0.0) + piece.outline.area
    found = []
    for room in rooms:
        mine = [piece for piece in pieces if piece.room == room]
        taken = [
            (size.covers_m2 - left_m2.get(piece.from_panel, 0.0)) * piece.outline.area / by_panel[piece.from_panel]
            for piece in mine
        ]
        found.append(
            RoomPanels(
                room=room,
                whole=sum(piece.whole for piece in mine),
                pieces=sum(not piece.whole for piece in mine),
                covered_m2=sum(piece.outline.area for piece in mine),
                used_m2=sum(taken),
            )
        )
    return tuple(found)


def metres(box: Box, size: PanelSize) -> Box:
    """A box of studs in metres."""
    west, south, east, north = (round(v * size.stud_m, 6) for v in box)
    return (west, south, east, north)
