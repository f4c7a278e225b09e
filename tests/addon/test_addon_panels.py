"""The sidebar drawn into a layout that only notes what is asked of it, in every state of the work."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from addon import panel
from addon.panel import figures, lists
from addon.work import desk


class Note:
    """A layout that notes what is drawn, and refuses what the host would not know."""

    def __init__(self, said: list[str]) -> None:
        self.__dict__["said"] = said

    def __setattr__(self, name: str, value: Any) -> None:
        assert name in {"enabled", "scale_y", "alert", "active"}

    def _inside(self, **_options: Any) -> Note:
        return Note(self.said)

    row = column = box = split = grid_flow = _inside

    def separator(self) -> None:
        """A gap."""

    def label(self, *, text: str, icon: str = "NONE") -> None:
        """A text."""
        assert isinstance(text, str)
        self._icon(icon)
        self.said.append(text)

    def prop(self, data: Any, name: str, *, text: str | None = None, icon: str = "NONE") -> None:
        """An input."""
        self._icon(icon)
        known = data.bl_rna.properties[name]
        self.said.append(text if text is not None else known.name)

    def operator(self, idname: str, *, text: str = "", icon: str = "NONE", depress: bool = False) -> Any:
        """A button; what is set on it must be an argument of the operator."""
        self._icon(icon)
        known = getattr(bpy.ops.warmloom, idname.removeprefix("warmloom.")).get_rna_type().properties.keys()
        self.said.append(text or idname)
        return Arguments(set(known))

    def template_list(self, kind: str, _id: str, data: Any, name: str, record: Any, active: str, *, rows: int) -> None:
        """A list, drawn row by row."""
        drawer = getattr(bpy.types, kind)
        assert active in record.bl_rna.properties
        for row in getattr(data, name)[: 100 * rows]:
            drawer.draw_item(None, bpy.context, self, data, row, 0, record, active)

    def progress(self, *, factor: float, text: str) -> None:
        """A bar."""
        assert 0 <= factor <= 1
        self.said.append(text)

    @staticmethod
    def _icon(icon: str) -> None:
        assert icon in bpy.types.UILayout.bl_rna.functions["label"].parameters["icon"].enum_items


class Arguments:
    """Arguments of an operator."""

    def __init__(self, known: set[str]) -> None:
        self.__dict__["known"] = known

    def __setattr__(self, name: str, value: Any) -> None:
        assert name in self.known


def drawn(context: Any = None) -> dict[str, list[str]]:
    """What each panel that wants to be seen says."""
    context = context or bpy.context
    said: dict[str, list[str]] = {}
    for each in (c for c in panel.CLASSES if issubclass(c, bpy.types.Panel)):
        if not hasattr(each, "poll") or each.poll(context):
            notes: list[str] = []
            each.draw(SimpleNamespace(layout=Note(notes)), context)
            said[each.bl_label] = notes
    return said


def test_panels_stand_in_the_order_of_the_work() -> None:
    tops = [c for c in panel.CLASSES if issubclass(c, bpy.types.Panel) and not hasattr(c, "bl_parent_id")]
    labels = [c.bl_label for c in sorted(tops, key=lambda c: c.bl_order)]
    assert labels == ["Building", "Basis of design", "Rooms", "Manifolds", "Design", "Results", "Findings", "Export"]
    assert len({c.bl_order for c in tops}) == len(tops)


def test_at_first_the_example_is_offered(host: Any) -> None:
    said = drawn()
    assert set(said) == {"Building", "Basis of design", "Design"}
    assert "warmloom.read_example" in said["Building"]
    assert "Read a building first." in said["Design"]


def test_after_a_design_everything_is_said(designed: Any) -> None:
    said = drawn()
    assert {"Rooms", "Manifolds", "Results", "Findings", "Export"} <= set(said)
    rooms, circuit = said["Rooms"], designed.circuits[0]
    assert figures.watts(designed.rooms[0].need_w) in rooms and figures.watts(designed.rooms[0].gives_w) in rooms
    assert f"{circuit.label}  {figures.length(circuit.length_m)}" in said["Results"]
    assert circuit.setting in said["Results"] and f"set {circuit.setting}" in said["Results"]
    assert all(f.message in said["Findings"] for f in designed.findings)
    assert any("follow local codes" in " ".join(said["Results"]) for _ in [0])


def test_every_finding_can_show_its_element(designed: Any) -> None:
    named = [f for f in designed.findings if f.guids or f.circuits]
    assert named
    assert drawn()["Findings"].count("warmloom.show_element") == len(named)


def test_an_older_design_says_so(designed: Any) -> None:
    designed.basis.spread_k = 7.0
    said = drawn()
    assert "of before the last change" in said["Results"]
    assert any("Something was changed since" in " ".join(said["Design"]) for _ in [0])


def test_while_it_runs_there_is_a_bar_and_a_stop(designed: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(desk, "running", lambda: "the design")
    monkeypatch.setattr(desk, "progress", lambda: ("laying Ground floor", 0.4))
    said = drawn()
    assert said["Design"] == ["laying Ground floor", "warmloom.stop"]


def test_drawing_asks_for_no_result_and_changes_nothing(designed: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: Any) -> None:
        raise AssertionError("drawing must not calculate")

    for name in ("addon.kept.memory.recall", "addon.operators.common.recall", "addon.kept.choices.settings_of"):
        monkeypatch.setattr(name, refuse)
    before = [(row.label, row.need_w, row.heat) for row in designed.rooms]
    drawn()
    assert [(row.label, row.need_w, row.heat) for row in designed.rooms] == before


def test_a_narrow_sidebar_breaks_lines(designed: Any) -> None:
    narrow = SimpleNamespace(scene=bpy.context.scene, region=SimpleNamespace(width=180))
    lines = drawn(narrow)["Results"]
    assert max(map(len, lines)) <= max(30, *(len(row.setting) for row in designed.circuits), len("Surface temperature"))


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        (figures.watts(418.6), "419 W"),
        (figures.watts(0.0), "–"),
        (figures.pitch(0.15), "150 mm"),
        (figures.finish(0.1), "R 0.10"),
        (figures.flow(1.5e-5), "0.90 l/min"),
        (figures.kilopascal(12_340.0), "12.3 kPa"),
        (figures.wrapped("one two three", 8), ["one two", "three"]),
        (figures.wrapped("", 8), [""]),
    ],
)
def test_figures(shown: Any, expected: Any) -> None:
    assert shown == expected


def test_severities_have_marks_of_their_own() -> None:
    assert len(set(lists.SEVERITY_ICONS.values())) == 3
