"""Sheets, charts and findings in German: no English word left, nothing written over anything, headings whole.

Figures are regressions; what is compared with is the English sheet of the same design.
"""

from __future__ import annotations

import ast
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from pathlib import Path

import pytest
from designed_models import SAMPLES, Job, designed_job

from tests.cli.command_line import ROOT, warmloom
from tests.documents.overlap_counter import PIPE_COLOURS, overlaps
from ufh_core.basis.message import Message
from ufh_core.design_result import Design
from ufh_core.documents.floor_section import floor_sections
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.joint_drawing import drawn_joints
from ufh_core.documents.lettering import text_width
from ufh_core.documents.manifold_front import drawn_front, front_stems
from ufh_core.documents.panel_drawing import drawn_panels
from ufh_core.documents.plan_drawing import drawn_plan
from ufh_core.documents.plan_svg import (
    floor_file_names,
    joint_stems,
    panel_file_names,
    plan_file_names,
    plan_svg,
    surface_stems,
)
from ufh_core.documents.schematic import drawn_schematic
from ufh_core.documents.sheet import COLUMN_MM
from ufh_core.documents.temperature_drawing import drawn_temperatures
from ufh_core.documents.water_charts import write_water_charts
from ufh_core.documents.writing import INSET_MM, LEAST_MM
from ufh_core.words import said, say, speaking
from ufh_core.words.speech import catalogue

DOCUMENTS = ROOT / "ufh_core" / "documents"
SAME_IN_BOTH = {"in", "kPa", "min", "mm", "kg", "FI", "TI", "TZ"}
"""Units, letters of instruments, and what is spelled alike."""
WORD = re.compile(r"[A-Za-zÀ-ÖØ-öø-ÿ]{2,}")
NUMBERS = re.compile(r"M\d+(\.\d+)?|F\d+\.\d+|J\d+|[A-Z]\d+|\d+x|IFC\d*|[0-9a-f]{12}")


@pytest.fixture(scope="module", params=[path.stem for path in SAMPLES])
def job(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Job:
    return designed_job(request.param, tmp_path_factory)


@pytest.fixture(scope="module")
def german(job: Job, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Every sheet of a sample in German, as SVG by its file's name."""
    with speaking("de"):
        sheets = {name: plan_svg(plan) for name, plan in drawn_sheets(job.design())}
        folder = tmp_path_factory.mktemp("charts")
        write_water_charts(job.design(), folder)
    return sheets | {path.name: path.read_text(encoding="utf-8") for path in folder.glob("*.svg")}


def drawn_sheets(design: Design) -> Iterator[tuple[str, Plan]]:
    plans, panels, joints, floors = (
        names(design) for names in (plan_file_names, panel_file_names, joint_stems, floor_file_names)
    )
    fronts, surfaces = front_stems(design), surface_stems(design)
    for storey in design.storeys:
        yield plans[storey.storey], drawn_plan(design, storey)
        if storey.storey in panels:
            yield panels[storey.storey], drawn_panels(design, storey)
        if storey.storey in joints:
            yield f"{joints[storey.storey]}.svg", drawn_joints(design, storey)
        if storey.storey in floors:
            yield floors[storey.storey], floor_sections(design, storey)
        if storey.storey in surfaces:
            yield f"{surfaces[storey.storey]}.svg", drawn_temperatures(design, storey)
        for manifold in storey.manifolds:
            yield f"{fronts[manifold.manifold.name]}.svg", drawn_front(design, storey, manifold)
    if fronts:
        yield "schematic.svg", drawn_schematic(design)


def texts(svg: str) -> set[str]:
    return {e.text for e in ElementTree.fromstring(svg).iter() if e.tag.endswith("}text") and e.text}


def names_of(design: Design) -> set[str]:
    """Every word of the architect's own names: of project, storeys, rooms, walls and what stands on the floor."""
    building = design.building
    names = [building.project_name, building.building_name]
    for storey in building.storeys:
        names += [storey.name, *(r.label for r in storey.rooms), *(o.name for o in storey.obstacles)]
        names += [w.name for w in storey.walls]
    return {word for name in names for word in WORD.findall(name)}


def test_no_english_word_is_left_on_any_sheet(job: Job, german: dict[str, str]) -> None:
    """What stands on the English and on the German sheet alike is numbers, names of the model and units."""
    own = names_of(job.design()) | SAME_IN_BOTH
    left = {}
    for name, svg in german.items():
        both = texts(svg) & texts((job.out / name).read_text(encoding="utf-8"))
        words = {text: WORD.findall(NUMBERS.sub("", text)) for text in both}
        if odd := sorted(text for text, parts in words.items() if set(parts) - own):
            left[name] = odd
    assert left == {}


def test_every_sheet_is_there_in_german_and_says_its_title(job: Job, german: dict[str, str]) -> None:
    kinds = {"plan": "Verlegeplan der Fußbodenheizung", "joints": "Fugenplan", "panels": "Noppenplatten",
             "floors": "Bodenaufbau", "manifold": "Heizkreisverteiler", "schematic": "Hydraulikschema",
             "surface": "emperatur", "pump": "Pumpe und Netz", "first": "Funktionsheizen"}  # fmt: skip
    written = {path.name for kind in kinds for path in job.out.glob(f"{kind}*.svg")}
    assert written == set(german)
    for name, svg in german.items():
        assert kinds[re.split(r"\W", name)[0]] in " ".join(texts(svg)), name


def test_no_letter_lies_on_another_or_on_a_pipe(german: dict[str, str]) -> None:
    assert {name: found for name, svg in german.items() if any(found := overlaps(svg, PIPE_COLOURS))} == {}


def test_numbers_have_the_decimal_comma(job: Job, german: dict[str, str]) -> None:
    """A point between digits stands in numbers of circuits, fields and rooms, in dates, versions and settings only."""
    labels = " ".join(room.label for storey in job.design().building.storeys for room in storey.rooms)
    numbered = dict.fromkeys(re.findall(r"\d+\.\d+", labels), "")
    for name, svg in german.items():
        for text in texts(svg):
            plain = re.sub(r"\d+\.\d+", lambda found: numbered.get(found[0], found[0]), text)
            rest = re.sub(r"[MF]\d+\.\d+|warmloom [\d.]+|\d{4}-\d\d-\d\d|floor\.\w+ = [\d.]+", "", plain)
            assert not re.search(r"\d\.\d", rest), (name, text)


def test_every_finding_and_its_parts_have_a_german_text(job: Job) -> None:
    """Messages within messages too, as the three samples raise them; mypy holds `Finding.message` to be one."""
    design = job.design()
    rooms = [room for storey in design.storeys for room in storey.rooms]
    reasons = [room.reason for room in rooms if room.reason]
    told = [f.message for f in design.findings]
    assert told and all(isinstance(text, Message) for text in [*told, *reasons])
    with speaking("de"):
        known = catalogue().texts
        lacking = {m.template for text in [*told, *reasons] for m in parts(text) if has_words(m.template)} - set(known)
        assert lacking == set()
        assert [text for text in told if said(text) == text] == []


def parts(message: object) -> Iterator[Message]:
    if isinstance(message, Message):
        yield message
        for value in message.values.values():
            yield from parts(value)


def has_words(template: str) -> bool:
    return bool(re.search(r"[^\W\d_]", re.sub(r"\{[^}]*\}", "", template)))


def headings() -> Iterator[tuple[str, float]]:
    """(heading, room [mm]) of every column of a table beside a drawing, and every title as it is carried on."""
    for path in sorted(DOCUMENTS.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.args):
                continue
            first, kind = node.args[0], node.func.id
            if isinstance(first, ast.Constant) and kind == "TableColumn":
                yield from ((word, node.args[1].value - 2 * INSET_MM) for word in say(first.value).split())
            elif isinstance(first, ast.Constant) and kind in ("table", "paragraphs"):
                yield say("{title} (continued)", title=say(first.value)), COLUMN_MM


@pytest.mark.parametrize("language", ["en", "de"])
def test_headings_fit_their_columns(language: str) -> None:
    """At the smallest letters in which they are set, no word is broken and no title runs off the sheet."""
    with speaking(language):
        found = list(headings())
    assert len(found) > 50
    assert [(words, room) for words, room in found if text_width(words, LEAST_MM, bold=True) > room] == []


def test_the_command_draws_in_the_language_that_is_asked_for(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    job = designed_job("bungalow", tmp_path_factory)
    done = warmloom("design", job.model, "--out", tmp_path, "--language", "de", before=job.answers())
    assert done.returncode in (0, 1), done.stderr
    for name, word in (("plan-Ground-floor.svg", "Maßstab 1:50"), ("pump-M1.svg", "Durchfluss, l/min")):
        assert word in (tmp_path / name).read_text(encoding="utf-8")
    picture = "surface-Ground-floor.png"
    assert (tmp_path / picture).read_bytes() != (job.out / picture).read_bytes()
    for name in ("design.json", "circuits.csv", "heat-demand.html"):  # read by programs, or not translated
        assert (tmp_path / name).read_bytes() == (job.out / name).read_bytes()
