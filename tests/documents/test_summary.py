"""The summary counts what the design holds."""

from __future__ import annotations

import pytest

from tests.documents import made_up_design as made_up
from ufh_core.basis.findings import Severity
from ufh_core.design_result import RoomStatus
from ufh_core.documents.summary import summary


def test_rooms_pipe_and_shortfall():
    design = made_up.design()
    told = summary(design)
    assert told.counts == {
        RoomStatus.HEATED: 2,
        RoomStatus.NOT_HEATED: 1,
        RoomStatus.SHORT: 1,
        RoomStatus.FAILED: 1,
    }
    assert told.circuits == 5 and told.shortfall_w == pytest.approx(120)
    assert told.pipe_m == pytest.approx(sum(c.laid.length_m for c in design.storeys[0].circuits))
    assert told.headline.startswith("rooms: 2 heated, 1 short, 1 not laid, 1 without floor heating; 5 circuits")


def test_room_lines_name_their_circuits_and_reasons():
    lines = {line.label: line for line in summary(made_up.design()).storeys[0].rooms}
    assert lines["1 Living"].circuits == ("M1.03", "M1.04", "M1.05")
    assert lines["4 Bedroom"].reason == "no door or opening leads to it"
    assert lines["5 Store"].demand_w is None


def test_findings_are_grouped_gravest_first():
    design = made_up.design()
    told = summary(made_up.design(findings=(*design.findings[::-1], design.findings[1])))
    assert [(g.severity, g.count) for g in told.findings] == [(Severity.ERROR, 1), (Severity.NOTE, 2)]
