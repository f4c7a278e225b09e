"""The commissioning page: forms to fill in, what is on file, figures of the standard, hostile names as text."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from site_cases import all_records, leak, pour, put, record, site

from ufh_core.documents.commissioning_page import commissioning_page
from ufh_core.records.hold_points import site_state
from ufh_core.records.kinds import STEPS
from ufh_core.records.ledger import FILE, read_ledger
from ufh_core.records.site_design import SiteDesign

HOSTILE = '<script>alert(1)</script>" onload="x" & \u202etxet\u202c \x1b[31m'


class Read(HTMLParser):
    """Tags with their attributes, the text, and the tables as rows of cells."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.tables: list[list[list[str]]] = []
        self.inside = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag == "table":
            self.tables.append([])
        elif tag == "tr":
            self.tables[-1].append([])
        elif tag in ("td", "th"):
            self.tables[-1][-1].append("")
            self.inside = True

    def handle_endtag(self, tag: str) -> None:
        if tag in ("td", "th"):
            self.inside = False

    def handle_data(self, data: str) -> None:
        self.text += data
        if self.inside:
            self.tables[-1][-1][-1] += data


def page_of(folder: Path, job: SiteDesign | None = None) -> str:
    job = job or site()
    return commissioning_page(job, site_state(job, read_ledger(folder)), folder)


def form(page: str, heading: str) -> list[list[str]]:
    """The first table under a heading."""
    part = page.split(f"{heading} <span", 1)[1].split("</table>", 1)[0] + "</table>"
    return Read("<table" + part.split("<table", 1)[1]).tables[0]


def test_empty_forms_have_a_row_for_each_and_room_to_write(tmp_path: Path) -> None:
    page = page_of(tmp_path)
    laid = form(page, "Circuits as laid")
    assert [row[0] for row in laid[1:]] == ["M1.01 · Kitchen", "M1.02 · Bath"]
    assert laid[1][1] == "80.0 m" and laid[1][2:] == [""] * 6
    test = form(page, "Leak test")
    assert test[0][:8] == ["manifold, room", "designed", "on", "medium", "start bar", "end bar", "hours", "ambient °C"]
    assert test[0][8:] == ["station isolated", "joints dry", "by", "result"]
    assert test[1][2:] == [""] * 10
    assert [row[0] for row in form(page, "Screed")[1:]] == [
        "F1.01 · Kitchen, Ground floor",
        "F1.02 · Bath, Ground floor",
    ]
    sheet = form(page, "Balancing sheet")
    assert sheet[1][:4] == ["M1.01", "Kitchen", "1.80", "1.75"] and sheet[1][4:] == [""] * 7


def test_the_heating_form_follows_the_programme_day_by_day(tmp_path: Path) -> None:
    """EN 1264-4, from memory: cement from day 21, 3 days at 20 to 25 °C, 4 days at the design's 40 °C."""
    rows = form(page_of(tmp_path), "First heating")[1:]
    assert [row[0] for row in rows] == [f"M1, day {day}" for day in range(1, 8)]
    assert [row[2] for row in rows] == ["20 to 25"] * 3 + ["40"] * 4
    assert [row[1] for row in rows][:2] == ["2031-05-27", "2031-05-28"]


def test_the_calendar_is_the_designs(tmp_path: Path) -> None:
    rows = Read(page_of(tmp_path)).tables[0][1:]
    assert [(row[0], row[1]) for row in rows][:3] == [
        ("day 0", "2031-05-06"),
        ("day 3", "2031-05-09"),
        ("day 21", "2031-05-27"),
    ]
    assert all(row[3] for row in rows)


def test_dates_follow_the_last_pour_on_file(tmp_path: Path) -> None:
    put(tmp_path, [pour("F1.01", on="2031-06-01")])
    assert Read(page_of(tmp_path)).tables[0][1][1] == "2031-05-06"  # as designed, while a field is not on file
    put(tmp_path, [pour("F1.02", on="2031-06-03")])
    page = page_of(tmp_path)
    assert Read(page).tables[0][1][1] == "2031-06-03"
    assert form(page, "First heating")[1][1] == "2031-06-24"  # 21 days on


def test_what_is_on_file_is_shown_with_its_result(tmp_path: Path) -> None:
    put(tmp_path, [leak(end_bar=5.7), record("flow", circuit="M1.01", measured_l_min=1.5, turns=1.5, round=2)])
    page = page_of(tmp_path)
    row = form(page, "Leak test")[1]
    assert row[2:9] == ["2031-05-05", "water", "6", "5.7", "2", "14", "yes"] and row[10] == "fitter"
    assert row[-1].startswith("✗ FAIL; the pressure changed by -0.30 bar") and "common practice" in row[-1]
    assert form(page, "Balancing sheet")[1][6:8] == ["1.5", "1.5"]
    assert read_ledger(tmp_path).last_digest in page


def test_a_faultless_job_passes_everywhere(tmp_path: Path) -> None:
    put(tmp_path, all_records())
    page = page_of(tmp_path)
    assert "✗" not in page and page.count("○ open") == 2  # handover, in the list and at its heading
    assert form(page, "First heating")[8][-1] == "✓ pass"


def test_a_changed_file_is_told_at_the_top(tmp_path: Path) -> None:
    put(tmp_path, [leak()])
    path = tmp_path / FILE
    path.write_bytes(path.read_bytes().replace(b"5.9", b"5.8"))
    assert "line 1: was changed after it was written" in page_of(tmp_path).split("<main>")[0]


def test_who_signs_and_who_has_signed(tmp_path: Path) -> None:
    put(tmp_path, [record("signature", point="leak test", name="A. Fitter")])
    read = Read(page_of(tmp_path))
    rows = [row for table in read.tables for row in table if table[0][0] == "who signs"]
    assert ["fitter", "A. Fitter", "2031-05-06", "on file, line 1"] in rows
    assert ["site manager", "", "", ""] in rows and ["owner", "", "", ""] in rows


def test_cautions_stand_before_the_forms(tmp_path: Path) -> None:
    head = page_of(tmp_path).split("<h2", 1)[0]
    for word in ("competent person", "store energy", "scalds", "licensed", "data sheets", "No drilling"):
        assert word in head


def test_it_wants_nothing_from_elsewhere_and_no_script(tmp_path: Path) -> None:
    read = Read(page_of(tmp_path))
    assert {tag for tag, _ in read.tags} & {"script", "link", "img", "iframe", "object", "form"} == set()
    targets = [attrs.get("href") or attrs.get("src") for _, attrs in read.tags if "href" in attrs or "src" in attrs]
    assert len(targets) == len(STEPS) and all(target and target.startswith("#p") for target in targets)
    assert "url(" not in page_of(tmp_path) and "@import" not in page_of(tmp_path)


@pytest.mark.parametrize("name", [HOSTILE, "x" * 10000, "\u202e\u202e\u202e", "' onmouseover='x"])
def test_hostile_names_are_text(tmp_path: Path, name: str) -> None:
    job = site(room=name, project=name)
    put(
        tmp_path,
        [record("as-laid", circuit="M1.01", first_mark_m=0, last_mark_m=80, change=name.replace("\x1b", "")[:1900])],
    )
    plain, page = page_of(tmp_path), page_of(tmp_path, job)
    before, after = Read(plain).tags, Read(page).tags
    assert [tag for tag, _ in after] == [tag for tag, _ in before]
    assert [set(attrs) for _, attrs in after] == [set(attrs) for _, attrs in before]
    assert "\x1b" not in page
    inside = re.findall(r"<bdi>(.*?)</bdi>", page, re.DOTALL)
    assert page.count("\u202e") == sum(cell.count("\u202e") for cell in inside) + _title(page).count("\u202e")


def _title(page: str) -> str:
    return page.split("<title>")[1].split("</title>", maxsplit=1)[0]
