"""Figures typed in the wrong unit: refused beside the field, in the unit typed, and nothing is lost.

Units: international foot, pound and mile (exact).
"""

from functools import partial

import attrs
import pytest
from PySide6.QtTest import QTest

from planner.desk.forms.bounded import bounded
from planner.desk.quantities import LENGTHS, WEIGHTS
from planner.errors import PlanError
from planner.plan.aircraft import Aircraft, Battery, LinkLoss, LinkLossAction, Radio, RadioUse
from planner.plan.edits import SetAircraft, SetWeather
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind
from tests.desk.form_hand import type_into

SPARROW = Aircraft(
    "Sparrow (invented)",
    0.92,
    0.46,
    link_loss=LinkLoss(LinkLossAction.LAND, 1.5),
    battery=Battery("LiPo", 6, 1300.0),
    radios=(Radio(RadioUse.VIDEO, 5800.0, 25.0),),
    performance=Performance(hover_w=190.0, cruise_w=210.0, cruise_mps=15.0),
)
IN_AIRCRAFT = (
    ("weight", "920 kg", "not from 0.011 lb to 551 lb; look at its unit"),
    ("size", "46 m", "not from 0.787 in to 787 in"),
    ("hover_w", "0.19", "not from 0.5 W to 100,000 W"),
    ("cruise_w", "210 kW", "not from 0.5 W to 100,000 W"),
    ("cells", "4000", "not from 1 to 30"),
    ("cells", "6.5", "not a whole number"),
    ("capacity", "1300 Ah", "not from 20 mAh to 200,000 mAh"),
    ("cell_resistance", "0.004", "not from 0.05 mΩ to 1,000 mΩ"),
    ("link_delay", "20 min", "not from 0 s to 600 s"),
    ("highest_speed", "4000", "not from 0.194 kt to 292 kt"),
    ("drag_area", "120 m2", "not from 0 cm² to 100,000 cm²"),
)


def test_a_slip_in_the_aircraft_form_is_one_line_and_stays_beside_what_is_right(side, document, qtbot):
    document.try_edit(SetAircraft(SPARROW))
    section = side.plan.sections["aircraft"]
    section.more.click()
    qtbot.waitUntil(lambda: section.fields["cells"].edit.text() == "6")
    for key, text, told in IN_AIRCRAFT:
        field = section.fields[key]
        right, kept = field.edit.text(), document.plan.aircraft
        type_into(field, text)
        assert told in field.error.text(), key
        assert "\n" not in field.error.text()
        QTest.qWait(5)
        assert field.edit.text() == text
        assert document.plan.aircraft == kept
        type_into(field, right or " ")
        assert not field.has_trouble
    assert document.plan.aircraft.battery == SPARROW.battery


def test_a_radio_of_nonsense_is_refused_and_the_radios_stay(side, document, qtbot):
    document.try_edit(SetAircraft(SPARROW))
    section = side.plan.sections["aircraft"]
    section.more.click()
    qtbot.waitUntil(lambda: len(section.radios.rows) == 1)
    row = section.radios.rows[0]
    for key, text, told in (
        ("frequency", "5.8", "not from 20 MHz to 100,000 MHz"),
        ("power", "25 kW", "the unit 'kW' is not known"),
        ("power", "25 W", "not from 0.1 mW to 20,000 mW"),
    ):
        right = row[key].edit.text()
        type_into(row[key], text)
        assert told in row[key].error.text()
        assert row[key].edit.text() == text
        qtbot.waitUntil(partial(_is_whole, row[key]))
        assert document.plan.aircraft.radios == SPARROW.radios
        type_into(row[key], right)
    type_into(row["frequency"], "5.8 GHz")
    assert document.plan.aircraft.radios == SPARROW.radios


def _is_whole(field):
    """Whether nothing of what is said under a field is cut."""
    error = field.error
    fits = (
        error.height() >= error.heightForWidth(error.width()) and field.height() >= error.geometry().bottom()
    )
    holder = field.parentWidget()
    return (
        fits
        and holder.height() >= field.geometry().bottom()
        and holder.parentWidget().rect().contains(holder.geometry())
    )


def test_weather_and_visibility_of_nonsense_are_refused_where_they_were_typed(side, document, qtbot):
    wind = TypedWind(4.0, 240.0, 7.0, 3.0)
    document.try_edit(SetWeather(PlannedWeather(wind=wind)))
    weather, sight = side.plan.sections["weather"], side.plan.sections["sight"]
    qtbot.waitUntil(lambda: weather.measured_at.edit.text() == "10 ft")
    type_into(weather.measured_at, "1 ft")
    assert "not from 3.281 ft to 656 ft" in weather.measured_at.error.text()
    assert not weather.gust.has_trouble
    assert document.plan.weather.wind == wind
    before = document.plan.visibility_m
    for text in ("10000", "0.1 ft"):
        type_into(sight.visibility, text)
        assert "not from 0.001 mi to 186 mi" in sight.visibility.error.text()
        assert document.plan.visibility_m == before
        assert sight.visibility.edit.text() == text
    type_into(weather.measured_at, "33 ft")
    assert document.plan.weather.wind == attrs.evolve(wind, measured_at_m=33 * 0.3048)


def test_the_ends_of_a_span_are_never_said_as_nothing():
    with pytest.raises(PlanError, match=r"'0 lb' is not from 0.011 lb to 551 lb"):
        bounded("weight", WEIGHTS, "lb", 0.005, 250.0)("0 lb")
    with pytest.raises(PlanError, match=r"is not from 0 ft to 16,404 ft"):
        bounded("height", LENGTHS, "ft", 0.0, 5_000.0)("-1")
