"""The temperature plan: figures where they belong, limits in words, legible without colour, nothing on anything.

On the made-up house, with mild water and with water that is too hot. No figure here is a regression.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from documents.test_surface_picture import with_surface
from shapely.geometry import Point, Polygon

from tests.documents.overlap_counter import overlaps
from ufh_core.basis.errors import OutputError
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents import temperature_drawing
from ufh_core.documents.drawing_files import write_sheet
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.surface_picture import scale_ends
from ufh_core.documents.temperature_drawing import band_colour, drawn_temperatures
from ufh_core.documents.temperature_writing import limit_at_peak
from ufh_core.surface_field import SurfaceField
from ufh_core.words import speaking


@pytest.fixture(scope="module", params=[33.0, 52.0], ids=["mild", "hot"])
def made(request: pytest.FixtureRequest) -> Design:
    return with_surface(request.param)


@pytest.fixture(scope="module")
def hot() -> Design:
    return with_surface(52.0)


def storey_of(design: Design) -> tuple[StoreyDesign, SurfaceField]:
    (storey,) = design.storeys
    assert storey.surface is not None
    return storey, storey.surface


def plan_of(design: Design) -> Plan:
    return drawn_temperatures(design, design.storeys[0])


def texts(plan: Plan) -> list[str]:
    return [entity.dxf.text for entity in plan.document.modelspace().query("TEXT")]


def label(plan: Plan, key: str) -> tuple[Polygon, list[str], Point | None]:
    """Box, lines and target of the label with a key."""
    found = next(each for each in plan.labels if each.key == key)
    return found.box, [line.text for line in found.wording.lines], found.target and Point(found.target)


def test_every_room_has_its_mean_in_it_and_its_warmest_place_with_the_limit(made: Design) -> None:
    _, field = storey_of(made)
    plan = plan_of(made)
    outlines = {room.ifc_guid: room.outline for room in made.building.storeys[0].rooms}
    assert len(field.rooms) == 3
    for room in field.rooms:
        box, lines, _ = label(plan, f"room {room.room}")
        assert outlines[room.room].covers(box) and f"mean {room.mean_c:.1f} °C" in lines
        box, lines, target = label(plan, f"peak {room.room}")
        said = " ".join(lines).replace(",", "")
        assert said == f"{room.peak_c:.1f} °C limit {limit_at_peak(field, room):.1f}"
        spot = Point(room.peak_at)
        assert (target or box.centroid).distance(spot) < 0.03 or box.distance(spot) < 0.03


def test_the_limit_is_that_of_the_place(hot: Design) -> None:
    """In an edge zone the limit is another than in the room: 9 K and 15 K over 20 °C by EN 1264-2 (published)."""
    storey, field = storey_of(hot)
    room = field.rooms[0]
    x, y = ((at - low) / field.cell_m for at, low in zip(room.peak_at, field.corner, strict=True))
    limits = field.limit_c.copy()
    limits[int(y), int(x)] = 35.0
    edge = replace(hot, storeys=(replace(storey, surface=replace(field, limit_c=limits)),))
    _, lines, _ = label(plan_of(edge), f"peak {room.room}")
    assert " ".join(lines).endswith("limit 35.0")
    _, lines, _ = label(plan_of(hot), f"peak {room.room}")
    assert " ".join(lines).endswith("limit 29.0")


def test_rooms_over_their_limit_are_said_in_words(made: Design) -> None:
    _, field = storey_of(made)
    words = texts(plan_of(made))
    hot = {place.room for place in field.hot_places}
    labels = {room.ifc_guid: room.label for room in made.building.storeys[0].rooms}
    assert words.count("OVER ITS LIMIT") == len(hot)
    assert ("No floor of the storey is over its limit." in words) == (not hot)
    for room in field.rooms:
        assert any(text.startswith(f"{labels[room.room]}: OVER ITS LIMIT on") for text in words) == (room.room in hot)
    for k, _ in enumerate(field.hot_places, 1):
        assert words.count(f"W{k}") == 2  # on the plan and in the table
    assert any("EN 1264-2: 9, 9 and 15 K" in " ".join(words[k : k + 3]) for k in range(len(words)))


def test_figures_stand_on_their_own_line_and_on_no_other(made: Design) -> None:
    storey, field = storey_of(made)
    plan = plan_of(made)
    found = temperature_drawing._isotherms(temperature_drawing.storey_view(made, storey), field)
    figures = [each for each in plan.labels if each.key.startswith("isotherm ")]
    assert len(figures) > 5
    for figure in figures:
        ((text,),) = ([line.text for line in figure.wording.lines],)
        (letters,) = figure.line_boxes
        crossed = {f"{line.surface_c:.0f}" for line in found.lines if line.lines.intersects(letters)}
        assert crossed == {text}


def test_labels_keep_off_each_other_and_off_the_warmest_places(made: Design) -> None:
    _, field = storey_of(made)
    plan = plan_of(made)
    for one, other in itertools.combinations(plan.labels, 2):
        assert one.box.intersection(other.box).area < 1e-9, (one.key, other.key)
    for room in field.rooms:
        tip = Point(room.peak_at).buffer(0.01)
        assert not any(each.box.intersects(tip) for each in plan.labels)


def test_no_letter_lies_on_another_as_written(made: Design, tmp_path: Path) -> None:
    write_sheet(plan_of(made), tmp_path / "t", (".svg",))
    assert overlaps((tmp_path / "t.svg").read_text(encoding="utf-8"), set()) == ([], [])


def test_bands_are_told_apart_in_grey_and_by_their_hatching(made: Design) -> None:
    """Luma by ITU-R BT.601 falls from band to band, and every second one is hatched."""
    ends = scale_ends(storey_of(made)[1])
    lows = np.arange(*ends)
    luma = [np.dot(band_colour(low, ends), (0.299, 0.587, 0.114)) for low in lows]
    assert (np.diff(luma) < -4).all() and luma[-1] > 60  # lines of 0.13 mm in dark ink are seen on the darkest
    hatched = [temperature_drawing._is_hatched(low) for low in lows]
    assert all(a != b for a, b in itertools.pairwise(hatched))


def test_bands_in_the_dxf_cover_the_floor(hot: Design, tmp_path: Path) -> None:
    """Read back [mm]: fills of bands have together the floor's area less fixed units; the file passes the audit."""
    plan = plan_of(hot)
    write_sheet(plan, tmp_path / "t", (".dxf",))
    drawing = ezdxf.readfile(tmp_path / "t.dxf")
    assert not drawing.audit().errors
    ends, covered = scale_ends(storey_of(hot)[1]), 0.0
    scale = shapely.box(*plan.sheet.at(*plan.sheet.plan[:2]), *plan.sheet.at(*plan.sheet.plan[2:]))
    colours = {band_colour(low, ends) for low in np.arange(*ends)}
    for hatch in drawing.modelspace().query('HATCH[layer=="TEMPERATURE"]'):
        if hatch.rgb in colours and hatch.has_solid_fill:
            rings = [Polygon([(x / 1000, y / 1000) for x, y, _ in path.vertices]) for path in hatch.paths]
            if scale.covers(rings[0]):
                covered += rings[0].area - sum(ring.area for ring in rings[1:])
    rooms = {room.ifc_guid: room.outline for room in hot.building.storeys[0].rooms}
    fixed = shapely.union_all([o.outline for o in hot.building.storeys[0].obstacles if not o.movable])
    floor = sum(rooms[room].difference(fixed).area for room in storey_of(hot)[1].floors)
    assert covered == pytest.approx(floor, rel=2e-3)


def test_floor_over_its_limit_is_rimmed(made: Design) -> None:
    """A heavy rim about every hot place that no other floor has; with mild water there is none on the plan."""
    _, field = storey_of(made)
    plan = plan_of(made)
    part = shapely.box(*plan.sheet.at(*plan.sheet.plan[:2]), *plan.sheet.at(*plan.sheet.plan[2:]))
    rims = [
        rim
        for line in plan.document.modelspace().query('LWPOLYLINE[layer=="SIGN"]')
        if line.dxf.lineweight == 50 and part.covers(rim := Polygon(np.array(line.get_points("xy")) / 1000))
    ]
    assert bool(rims) == bool(field.hot_places)
    for place in field.hot_places:
        assert any(rim.covers(Point(place.at)) for rim in rims)


def test_the_sheet_speaks_german(hot: Design) -> None:
    with speaking("de"):
        words = texts(plan_of(hot))
    assert "ÜBER DEM GRENZWERT" in words and not any("LIMIT" in text for text in words)
    assert any(text.startswith("Temperaturplan der Bodenoberfläche") for text in words)


def test_a_storey_without_pipes_has_no_temperature_plan(made: Design) -> None:
    storey, _ = storey_of(made)
    with pytest.raises(OutputError, match="no surface temperatures"):
        drawn_temperatures(made, replace(storey, surface=None))


def test_the_same_design_gives_the_same_files(hot: Design, tmp_path: Path) -> None:
    for name in ("a", "b"):
        write_sheet(plan_of(hot), tmp_path / name)
    for kind in (".svg", ".pdf", ".dxf"):
        assert (tmp_path / f"a{kind}").read_bytes() == (tmp_path / f"b{kind}").read_bytes()
