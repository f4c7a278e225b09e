"""Pumps by their kind, the table of shut circuits, and what is said of it."""

from dataclasses import replace

import pytest
from made_up_manifold import LOOPS, manifold

from ufh_core.network import network_findings, network_table, pump_of
from ufh_core.network.pump import pump_pressure
from ufh_core.network.table import shut_sets
from ufh_core.network.types import NetworkCase, NetworkTable
from ufh_core.settings.types import Settings

OWN = Settings().hydraulics


def test_pump_at_constant_pressure() -> None:
    pump = pump_of(OWN, 12000.0, 2e-4)
    assert [pump_pressure(pump, flow) for flow in (0.0, 1e-4, 2e-4, 9e-4)] == [12000.0] * 4
    given = pump_of(replace(OWN, pump_pressure_pa=20000.0), 12000.0, 2e-4)
    assert pump_pressure(given, 1e-4) == 20000.0


def test_pump_at_proportional_pressure() -> None:
    pump = pump_of(replace(OWN, pump="proportional pressure"), 12000.0, 2e-4)
    assert [pump_pressure(pump, flow) for flow in (0.0, 1e-4, 2e-4, 9e-4)] == pytest.approx([6e3, 9e3, 12e3, 12e3])
    steep = pump_of(replace(OWN, pump="proportional pressure", pump_rest_share=0.2), 12000.0, 2e-4)
    assert pump_pressure(steep, 0.0) == pytest.approx(2400.0)


def test_pump_on_its_curve() -> None:
    """By hand: halfway between 1.0 and 1.5 m³/h it has half-way pressure."""
    pump = pump_of(replace(OWN, pump="curve"), 12000.0, 2e-4)
    assert pump_pressure(pump, 1.25 / 3600) == pytest.approx(49000.0)
    assert pump_pressure(pump, 0.0) == 58000.0
    assert pump_pressure(pump, 0.5 / 3600) == pytest.approx(57000.0)
    assert pump_pressure(pump, 3.0 / 3600) == 4000.0
    assert pump.ends


def test_sets_of_shut_circuits_each_once() -> None:
    assert shut_sets(["1", "2", "3"], "2") == {
        "all open": (),
        "every second circuit shut": ("2",),
        "all but the index circuit shut": ("1", "3"),
    }
    assert shut_sets(["1"], "1") == {"all open": ()}
    assert list(shut_sets(["1", "2"], "1")) == ["all open", "every second circuit shut"]


def test_table_of_a_balanced_manifold() -> None:
    branches, duty = manifold(LOOPS)
    table = network_table(branches, duty, OWN)
    all_open, half, alone = table.cases
    assert list(all_open.balancing.values()) == pytest.approx([1.0] * 4, rel=1e-6)
    assert table.flow_share == pytest.approx(1.0, rel=1e-6)
    assert table.volume_flow == pytest.approx(duty.volume_flow, rel=1e-6)
    assert table.pressure_pa == pytest.approx(duty.pressure_pa)
    assert half.shut == ("M1.02", "M1.04")
    assert half.balancing["M1.02"] == half.self_limiting["M1.02"] == 0.0
    assert half.balancing["M1.01"] > 1.01
    assert alone.balancing["M1.04"] > 1.05
    for case in table.cases:
        assert case.gap_pa < 0.1
        open_ = [n for n in branches if n not in case.shut]
        assert [case.self_limiting[n] for n in open_] == pytest.approx([1.0] * len(open_))
    more = table.self_limiting_duty_pa - duty.pressure_pa
    assert more < OWN.limiter_least_pa
    assert more > OWN.limiter_least_pa - 1000


def test_table_of_chosen_sets() -> None:
    branches, duty = manifold(LOOPS)
    table = network_table(branches, duty, OWN, {"bedrooms shut": ("M1.01", "M1.04")})
    assert [case.name for case in table.cases] == ["all open", "bedrooms shut"]
    assert [n for n, share in table.cases[1].balancing.items() if share == 0] == ["M1.01", "M1.04"]
    (note,) = network_findings("M1", table)
    assert "bedrooms shut" in note.message


def test_remark_names_the_rise_and_what_follows() -> None:
    branches, duty = manifold(LOOPS)
    table = network_table(branches, duty, OWN)
    (note,) = network_findings("M1", table)
    rise = max(c.balancing[n] / table.cases[0].balancing[n] - 1 for c in table.cases for n in c.balancing)
    assert note.code == "network.shut-circuits"
    assert f"up to {rise:.0%} more through balancing valves, 0% through self-limiting" in note.message
    assert "at constant pressure" in note.message and "\n" not in note.message


@pytest.mark.parametrize(
    ("entry_pa", "words"), [(0.0, "balancing valves will do"), (20000.0, "self-limiting valves keep")]
)
def test_entry_decides_which_valves(entry_pa: float, words: str) -> None:
    """Without a shared entry a constant pressure keeps every flow; a great entry lets flows rise."""
    settings = replace(Settings(), hydraulics=replace(OWN, entry_loss_pa=entry_pa))
    branches, duty = manifold(LOOPS, settings)
    (note,) = network_findings("M1", network_table(branches, duty, settings.hydraulics))
    assert words in note.message


def test_weak_or_strong_pump_is_a_warning() -> None:
    branches, duty = manifold(LOOPS)
    weak = network_table(branches, duty, replace(OWN, pump_pressure_pa=0.6 * duty.pressure_pa))
    warning, _ = network_findings("M1", weak)
    assert (warning.code, warning.severity) == ("network.weak-pump", "warning")
    assert f"only {weak.flow_share:.0%}" in warning.message
    assert 0.6 < weak.flow_share < 0.85
    strong = network_table(branches, duty, replace(OWN, pump="curve"))
    warning, _ = network_findings("M1", strong)
    assert (warning.code, warning.severity) == ("network.strong-pump", "warning")
    more_kpa = (strong.self_limiting_duty_pa - duty.pressure_pa) / 1000
    assert more_kpa > 10 and f"duty is {more_kpa:.1f} kPa greater" in network_findings("M1", strong)[1].message
    assert strong.flow_share > 1.5 and f"{strong.flow_share:.0%} of its flow" in warning.message
    alone = network_table(*manifold({"M1.01": (0.03, 60.0)}), OWN)
    assert network_findings("M1", alone) == ()


def table_of(all_open: float, half: float, flow_share: float = 1.0) -> NetworkTable:
    cases = [
        NetworkCase(name=name, shut=shut, balancing={"1": share}, self_limiting={"1": 1.0}, pump_pa=9e3, gap_pa=0.0)
        for name, shut, share in (("all open", (), all_open), ("half shut", ("2",), half))
    ]
    return NetworkTable(
        pump="curve", flow_share=flow_share, volume_flow=1e-4, pressure_pa=9000.0, duty_pa=8000.0,
        self_limiting_duty_pa=18000.0, cases=tuple(cases), system_curve=(),
    )  # fmt: skip


def test_rise_is_that_over_all_open_and_its_limit_is_fifteen_percent() -> None:
    (less,), (more,) = (network_findings("M1", table_of(0.8, 0.8 * rise)) for rise in (1.142, 1.158))
    assert "up to 14% more" in less.message and "balancing valves will do" in less.message
    assert "up to 16% more" in more.message and "self-limiting valves keep" in more.message
    assert "duty is 10.0 kPa greater" in more.message and "on its curve" in more.message


@pytest.mark.parametrize(("share", "codes"), [(0.89, ["weak"]), (0.91, []), (1.14, []), (1.16, ["strong"])])
def test_limits_of_weak_and_strong_pumps(share: float, codes: list[str]) -> None:
    found = network_findings("M1", table_of(1.0, 1.0, share))
    assert [f.code for f in found[:-1]] == [f"network.{code}-pump" for code in codes]
    assert all("9.0 kPa" in f.message for f in found[:-1])
