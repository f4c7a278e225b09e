"""The page of the heat demand tells every term, and its rows add up."""

import re
from dataclasses import replace

import pytest
from designed_models import designed_job
from made_up_design import design as made_up_design

from ufh_core.documents.heat_demand_page import heat_demand_page


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    return heat_demand_page(designed_job("bungalow", tmp_path_factory).design())


def rows_of(part: str) -> list[list[str]]:
    """The cells of each row."""
    return [re.findall("<td[^>]*>(.*?)</td>", row) for row in re.findall("<tr[^>]*>(.*?)</tr>", part)]


def test_the_terms_of_each_room_add_up_to_its_sum(page: str) -> None:
    """Read as text: the rows over "sum" add up to it, and A U f times the difference gives each."""
    parts = page.split("<h2>")[1:]
    assert len(parts) == 9
    for part in parts:
        rows = [row for row in rows_of(part) if row]
        end = next(k for k, row in enumerate(rows) if row[0] == "sum")
        assert sum(float(row[-1]) for row in rows[:end]) == pytest.approx(float(rows[end][-1]), abs=0.06 * end)
        assert end > 3
        for row in rows[:end]:
            if row[4]:
                area, u, factor, difference, loss = map(float, row[3:])
                assert area * u * factor * difference == pytest.approx(loss, rel=0.02, abs=0.3)
        assert "gap 0.0 %" in part


def test_both_loads_are_shown_with_the_caution(page: str) -> None:
    kitchen = next(part for part in page.split("<h2>") if part.startswith("2 Kitchen"))
    assert re.search(r"Model 330 W, calculated \d+ W \(\+\d+%\)", kitchen)
    assert "local codes" in page
    assert "Simplified method" in page


def test_names_from_the_model_are_escaped() -> None:
    design = made_up_design()
    named = replace(design, building=replace(design.building, project_name="<script>"))
    assert "<script" not in heat_demand_page(named)
    assert "&lt;script&gt;" in heat_demand_page(named)
