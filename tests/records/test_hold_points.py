"""Where a job stands: what counts, what is missing, who has signed; and records that cannot be taken."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from site_cases import LEAK, all_records, leak, put, record, renamed, site

from ufh_core.records.hold_points import SIGNERS, SiteState, known_to, record_checks, site_state
from ufh_core.records.kinds import KINDS, STEPS, Photograph, Step
from ufh_core.records.ledger import FILE, read_ledger
from ufh_core.records.photographs import photograph_check, referred_to
from ufh_core.records.readings import RecordError, asked_of, checked
from ufh_core.records.verdicts import Outcome


def state_of(folder: Path) -> SiteState:
    return site_state(site(), read_ledger(folder))


def outcomes(state: SiteState) -> dict[str, str]:
    return {point.name: point.outcome.value for point in state.points}


def test_nothing_on_file(tmp_path: Path) -> None:
    state = state_of(tmp_path)
    assert [point.name for point in state.points] == list(STEPS)
    assert {k for k, v in outcomes(state).items() if v != "missing"} == {Step.FROST}
    assert not state.complete and not (tmp_path / FILE).exists()


def test_a_faultless_job_is_complete_when_all_have_signed(tmp_path: Path) -> None:
    put(tmp_path, all_records())
    state = state_of(tmp_path)
    assert {k for k, v in outcomes(state).items() if v != "pass"} == {Step.SIGNED}
    assert not state.complete
    for step, roles in SIGNERS.items():
        for role in roles:
            put(tmp_path, [record("signature", point=step, name="A. Person")], role)
    assert state_of(tmp_path).complete


def test_each_record_is_needed(tmp_path: Path) -> None:
    """Whatever one of them is left out, its hold point is not passed."""
    records = all_records()
    for k, left_out in enumerate(records):
        folder = tmp_path / str(k)
        folder.mkdir()
        put(folder, records[:k] + records[k + 1 :])
        assert outcomes(state_of(folder))[left_out.step] == "missing", left_out


def test_the_last_record_of_a_subject_counts(tmp_path: Path) -> None:
    put(tmp_path, [leak(end_bar=4.0)])
    assert outcomes(state_of(tmp_path))[Step.LEAK] == "fail"
    put(tmp_path, [leak()])
    assert outcomes(state_of(tmp_path))[Step.LEAK] == "pass"
    assert len(state_of(tmp_path).filed) == 2


def test_water_in_a_cold_building_asks_for_a_frost_measure(tmp_path: Path) -> None:
    put(tmp_path, [leak(ambient_c=4.9)])
    assert outcomes(state_of(tmp_path))[Step.FROST] == "missing"
    put(tmp_path, [record("frost", manifold="M1", measure="heating", coldest_c=-5, heated_to_c=8)])
    assert outcomes(state_of(tmp_path))[Step.FROST] == "pass"
    other = tmp_path / "air"
    other.mkdir()
    put(other, [leak(ambient_c=-5, medium="air", start_bar=3, end_bar=3)])
    assert not next(p for p in state_of(other).points if p.name == Step.FROST).asked_for


def test_a_signature_shows_what_was_missing(tmp_path: Path) -> None:
    put(tmp_path, [r for r in all_records() if r.step in (Step.LAID, Step.LEAK)])
    chain, job = read_ledger(tmp_path), site()
    fine = record_checks(record("signature", point=Step.LEAK, name="A"), job, chain)
    assert [c.outcome for c in fine] == [Outcome.PASS]
    early = record_checks(record("signature", point=Step.POUR, name="A"), job, chain)
    assert [c.words for c in early] == [
        "signed while pressure kept is not complete",
        "signed while screed is not complete",
    ]


def test_a_signature_by_another_role_does_not_count(tmp_path: Path) -> None:
    put(tmp_path, [record("signature", point=Step.LEAK, name="A")], "owner")
    assert next(p for p in state_of(tmp_path).points if p.name == Step.LEAK).unsigned == ("fitter", "site manager")


def test_a_changed_record_does_not_count(tmp_path: Path) -> None:
    put(tmp_path, all_records())
    path = tmp_path / FILE
    path.write_bytes(path.read_bytes().replace(b'"end_bar":5.9', b'"end_bar":6.0'))
    state = state_of(tmp_path)
    assert [fault.line for fault in state.chain.faults] == [3]
    assert outcomes(state)[Step.LEAK] == "missing" and not state.complete


def test_records_of_an_earlier_design_are_marked_and_strays_listed(tmp_path: Path) -> None:
    put(tmp_path, [leak()], design="another")
    put(tmp_path, [record("as-laid", circuit="M1.02", first_mark_m=0, last_mark_m=50)])
    fewer = renamed(site(), circuits=site().circuits[:1])
    state = site_state(fewer, read_ledger(tmp_path))
    (row,) = next(p for p in state.points if p.name == Step.LEAK).rows
    assert not row.filed[0].same_design and row.outcome is Outcome.PASS
    (stray,) = state.strays
    assert stray.line == 2 and "there are: M1.01" in stray.what and not state.complete


@pytest.mark.parametrize(
    ("word", "values", "line"),
    [
        ("leak-test", LEAK | {"manifold": "M2"}, "--manifold M2: the design has no such manifold; there are: M1"),
        (
            "flow",
            {"circuit": "M1.03", "measured_l_min": 1},
            "--circuit M1.03: the design has no such circuit; there are: M1.01, M1.02",
        ),
        (
            "moisture",
            {"field": "F9.01", "method": "carbide", "percent": 1},
            "--field F9.01: the design has no such field; there are: F1.01, F1.02",
        ),
        (
            "photo",
            {"file": "x.jpg", "shows": "x", "room": "Attic"},
            "--room Attic: the design has no such room; there are: Kitchen, Bath",
        ),
    ],
)
def test_what_the_design_has_not_is_refused(word: str, values: dict[str, Any], line: str) -> None:
    with pytest.raises(RecordError) as caught:
        known_to(site(), record(word, **values))
    assert str(caught.value) == line


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({"start_bar": "six"}, "--start-bar 'six': not a number from 0 to 20 bar"),
        ({"start_bar": "nan"}, "--start-bar 'nan': not a number from 0 to 20 bar"),
        ({"start_bar": 21}, "--start-bar 21: out of range; allowed: a number from 0 to 20 bar"),
        ({"medium": "watr"}, "--medium 'watr': unknown; did you mean 'water'?"),
        ({"station_isolated": "perhaps"}, "--station-isolated 'perhaps': not yes or no"),
        ({"on": "6.5.2031"}, "--on '6.5.2031': not a date as 2031-05-06"),
        ({"manifold": " "}, "an empty text says nothing: leave the option out or fill it"),
        ({"manifold": "M1\x1b[31m"}, "'M1\\x1b[31m': holds a control character"),
        ({"manifold": "M" * 2001}, "'MMMM"),
        ({"hours": None}, "still to be given: --hours how long the pressure stood (a number from 0 to 1000 h)"),
        ({"bar": 3}, "bar: no such field; there are: on, manifold, medium, start_bar, end_bar, hours, ambient_c"),
    ],
)
def test_bad_values_are_refused_in_one_line(changes: dict[str, Any], line: str) -> None:
    with pytest.raises(RecordError) as caught:
        checked(KINDS["leak-test"], LEAK | changes)
    assert str(caught.value).startswith(line) and "\n" not in str(caught.value)


def test_a_comma_is_a_decimal_point_too() -> None:
    assert checked(KINDS["leak-test"], LEAK | {"end_bar": "5,95"}).end_bar == 5.95


@pytest.mark.parametrize("word", KINDS)
def test_every_kind_comes_back_from_its_own_values(word: str) -> None:
    given: dict[str, Any] = {"on": "2031-05-06"}
    for asked in asked_of(KINDS[word]):
        if asked.name != "on":
            given[asked.name] = (
                (asked.choices or ("x",))[0]
                if asked.kind is str
                else {bool: True}.get(asked.kind, max(asked.low or 0, 1))
            )
    one = checked(KINDS[word], given)
    assert checked(KINDS[word], one.values()) == one and one.values() == given


def test_a_photograph_that_was_changed_or_is_gone(tmp_path: Path) -> None:
    (tmp_path / "photos").mkdir()
    picture = tmp_path / "photos" / "hall.jpg"
    picture.write_bytes(b"picture")
    path, digest = referred_to(tmp_path, "photos/hall.jpg")
    one = record("photo", file=path, shows="hall", sha256=digest)
    assert isinstance(one, Photograph)
    assert photograph_check(tmp_path, one).outcome is Outcome.PASS
    picture.write_bytes(b"another")
    assert photograph_check(tmp_path, one).outcome is Outcome.FAIL
    picture.unlink()
    assert photograph_check(tmp_path, one).outcome is Outcome.MISSING
    with pytest.raises(RecordError, match="copy it there"):
        referred_to(tmp_path / "photos", str(tmp_path / "elsewhere.jpg"))
    with pytest.raises(RecordError, match="cannot be read: No such file"):
        referred_to(tmp_path, "none.jpg")
