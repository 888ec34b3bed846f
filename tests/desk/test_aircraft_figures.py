"""Power, speeds, link loss, radios and a measured flight in the aircraft's form: nothing typed is lost.

Units: international knot and foot (exact).
"""

from datetime import UTC, datetime

import attrs
import pytest
from PySide6.QtTest import QTest

from planner.geo.window import TimeWindow
from planner.plan.aircraft import Aircraft, Battery, LinkLoss, LinkLossAction, Radio, RadioUse
from planner.plan.edits import SetAircraft, SetWindow
from planner.plan.performance import MeasuredFlight, Performance
from tests.desk.desk_rig import small_plan
from tests.desk.form_hand import choose, type_into

KNOT_MPS = 1852 / 3600
WINDOW = TimeWindow(
    datetime(2026, 11, 25, 12, 0, tzinfo=UTC), datetime(2026, 11, 25, 13, 0, tzinfo=UTC), "UTC"
)


def test_power_speeds_and_reserve_reach_the_plan(side, document, qtbot):
    measured = MeasuredFlight(240.0, 1000.0)
    known = Aircraft("Sparrow", 0.6, 0.25, performance=Performance(drag_area_m2=0.01, measured=measured))
    document.try_edit(SetAircraft(known))
    section = side.plan.sections["aircraft"]
    section.more.click()
    qtbot.waitUntil(lambda: section.fields["reserve"].edit.text() == "25 %")
    for key, text in (
        ("hover_w", "310"),
        ("cruise_w", "0.4 kW"),
        ("cruise_speed", "30"),
        ("highest_speed", "30 m/s"),
        ("climb", "984.252 ft/min"),
        ("descent", "4"),
        ("reserve", "30"),
    ):
        type_into(section.fields[key], text)
    performance = document.plan.aircraft.performance
    assert performance.measured == measured
    assert attrs.astuple(attrs.evolve(performance, measured=None)) == (
        310.0,
        pytest.approx(400.0),
        pytest.approx(30 * KNOT_MPS),
        30.0,
        pytest.approx(5.0),
        4.0,
        0.01,
        None,
        pytest.approx(0.3),
    )
    type_into(section.fields["reserve"], "130 %")
    assert section.fields["reserve"].has_trouble
    assert document.plan.aircraft.performance.landing_reserve == pytest.approx(0.3)


def test_a_measured_flight_counts_once_it_is_whole_and_nothing_typed_is_lost(side, document, qtbot):
    document.try_edit(SetAircraft(Aircraft("Sparrow", 0.6, 0.25)))
    section = side.plan.sections["aircraft"]
    section.more.click()
    qtbot.waitUntil(lambda: section.fields["name"].edit.text() == "Sparrow")
    type_into(section.fields["measured_time"], "6.5")
    assert document.plan.aircraft.performance is None
    assert "A measured flight does not count yet" in section.state.text()
    document.try_edit(SetWindow(WINDOW))
    QTest.qWait(30)
    assert section.fields["measured_time"].edit.text() == "6.5"
    type_into(section.fields["measured_used"], "1.1 Ah")
    type_into(section.fields["measured_speed"], "10 m/s")
    type_into(section.fields["drag_area"], "0.012 m2")
    performance = document.plan.aircraft.performance
    assert performance.measured == MeasuredFlight(390.0, 1100.0, 10.0)
    assert performance.drag_area_m2 == pytest.approx(0.012)
    qtbot.waitUntil(lambda: not section.state.text())
    assert section.fields["drag_area"].edit.text() == "120 cm²"


def test_the_return_is_said_in_full(side, document, qtbot):
    document.try_edit(SetAircraft(Aircraft("Sparrow", 0.6, 0.25)))
    section = side.plan.sections["aircraft"]
    section.more.click()
    qtbot.waitUntil(lambda: section.fields["name"].edit.text() == "Sparrow")
    type_into(section.fields["link_speed"], "12 m/s")
    assert document.plan.aircraft.link_loss is None
    choose(section.fields["link_loss"], LinkLossAction.RETURN_HIGHEST)
    for key, text in (("link_climb", "3"), ("link_descent", "2"), ("link_clear", "50")):
        type_into(section.fields[key], text)
    choose(section.fields["link_fix"], True)
    choose(section.fields["link_compass"], False)
    assert document.plan.aircraft.link_loss == LinkLoss(
        LinkLossAction.RETURN_HIGHEST,
        needs_fix=True,
        needs_compass=False,
        speed_mps=12.0,
        climb_mps=3.0,
        descent_mps=2.0,
        clear_by_m=50 * 0.3048,
    )


def test_a_radio_gets_the_figures_of_its_margin(side, document, qtbot):
    document.try_edit(SetAircraft(Aircraft("Sparrow", 0.6, 0.25, radios=(Radio(RadioUse.CONTROL, 2440.0),))))
    section = side.plan.sections["aircraft"]
    section.more.click()
    qtbot.waitUntil(lambda: len(section.radios.rows) == 1)
    row = section.radios.rows[0]
    for key, text in (
        ("power", "100"),
        ("ground_gain", "8"),
        ("air_gain", "-2 dB"),
        ("sensitivity", "-105"),
        ("margin", "15 dB"),
        ("antenna", "2 m"),
        ("width", "40"),
    ):
        type_into(row[key], text)
    (radio,) = document.plan.aircraft.radios
    assert radio == Radio(
        RadioUse.CONTROL,
        2440.0,
        100.0,
        ground_gain_dbi=8.0,
        air_gain_dbi=-2.0,
        sensitivity_dbm=-105.0,
        required_margin_db=15.0,
        ground_antenna_m=2.0,
        width_mhz=40.0,
    )
    type_into(row["sensitivity"], "-400")
    assert "'-400' is not from -160 dBm to 0 dBm" in row["sensitivity"].error.text()
    assert document.plan.aircraft.radios == (radio,)


def test_fields_of_the_plan_before_do_not_reach_the_next(side, document, qtbot):
    document.try_edit(SetAircraft(Aircraft("Sparrow", 0.6, 0.25, battery=Battery("Li-Po", 6, 1300.0))))
    section = side.plan.sections["aircraft"]
    qtbot.waitUntil(lambda: section.fields["name"].edit.text() == "Sparrow")
    document.replace(small_plan(), None)
    assert section.fields["name"].edit.text() == ""
    type_into(section.fields["name"], "Wagtail")
    assert document.plan.aircraft is None


def test_link_loss_and_battery_reach_the_plan(side, document, qtbot):
    document.try_edit(SetAircraft(Aircraft("Sparrow", 0.6, 0.25)))
    section = side.plan.sections["aircraft"]
    section.more.click()
    qtbot.waitUntil(lambda: section.fields["name"].edit.text() == "Sparrow")
    choose(section.fields["link_loss"], LinkLossAction.RETURN_FIXED)
    for key, text in (
        ("link_delay", "1.5"),
        ("link_height", "100"),
        ("chemistry", "Li-Po"),
        ("cells", "6"),
        ("capacity", "1.3 Ah"),
        ("cold_share", "70"),
    ):
        type_into(section.fields[key], text)
    loss = document.plan.aircraft.link_loss
    assert isinstance(loss, LinkLoss)
    assert (loss.action, loss.delay_s, loss.height.m) == (
        LinkLossAction.RETURN_FIXED,
        1.5,
        pytest.approx(30.48),
    )
    battery = document.plan.aircraft.battery
    assert attrs.evolve(battery, share_at_0_c=None) == Battery("Li-Po", 6, 1300.0)
    assert battery.share_at_0_c == pytest.approx(0.7)
