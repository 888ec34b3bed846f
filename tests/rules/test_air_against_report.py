"""Typed temperature and pressure against reports of the time: WMO-No. 306, FM 15 (groups T'T'/T'dT'd, QP).

5 degrees C and 10 hPa are own choices; that cold takes charge and thin air costs power is common practice.
"""

import attrs
import pytest

from planner.flight.reported import ToldAir
from planner.plan.weather import PlannedWeather
from planner.rules.air_against_report import temperature_against_report
from planner.rules.finding import Mark
from tests.rules.test_flight_rules import ABLE, PACK, finding, judged


def told(temperature_c=None, pressure_hpa=None, groups="M10/M12 Q1013", hour="1853"):
    report = f"METAR ZZZZ 12{hour}Z 24005KT 9999 SKC {groups}"
    weather = PlannedWeather(metar=report, temperature_c=temperature_c, pressure_hpa=pressure_hpa)
    return judged(weather=weather, performance=ABLE, battery=PACK)


@pytest.mark.parametrize(
    ("typed_c", "word"), [(25.0, "colder"), (-4.9, "colder"), (-5.0, None), (-15.1, "warmer"), (-10.0, None)]
)
def test_another_temperature_than_reported_is_something_to_do(typed_c, word):
    act = finding(told(typed_c), "temperature-against-report")
    assert (act is not None) is (word is not None)
    if act:
        assert act.mark is Mark.ACT
        assert f"says {word} air" in act.title
        assert "-10 degrees C" in act.message


@pytest.mark.parametrize(
    ("typed_hpa", "word"), [(1_050.0, "less"), (980.1, "less"), (980.0, None), (965.0, None), (959.9, "more")]
)
def test_another_pressure_than_reported_is_something_to_do(typed_hpa, word):
    act = finding(told(pressure_hpa=typed_hpa, groups="20/10 Q0970"), "pressure-against-report")
    assert (act is not None) is (word is not None)
    if act:
        assert act.mark is Mark.ACT
        assert f"says {word} pressure" in act.title
        assert "970 hPa" in act.message


def test_only_a_report_of_the_time_and_only_what_is_typed_is_compared():
    assert finding(told(), "temperature-against-report") is None
    assert finding(told(), "pressure-against-report") is None
    assert finding(told(25.0, hour="1000"), "temperature-against-report") is None
    silent = told(25.0, 1_050.0, groups="")
    assert finding(silent, "temperature-against-report") is None
    assert finding(silent, "pressure-against-report") is None


@pytest.mark.parametrize(
    ("told_c", "named"),
    [
        ((8.0, 30.0), 30.0),
        ((30.0, 8.0), 30.0),
        ((8.0, 21.0), 8.0),
        # Farthest from what is typed, not from nothing.
        ((-2.0, 28.0), -2.0),
        ((None, 30.0), 30.0),
    ],
)
def test_of_several_reports_the_one_farthest_from_what_is_typed_is_told(told_c, named):
    base = told(15.0).case
    airs = tuple(ToldAir(celsius, None, f"report {number}") for number, celsius in enumerate(told_c))
    reported = attrs.evolve(base.weather.reported, airs=airs)
    case = attrs.evolve(base, weather=attrs.evolve(base.weather, reported=reported))
    (one,) = temperature_against_report(case)
    assert one.numbers == {"typed_c": 15.0, "told_c": named}
    assert one.message.startswith(f"report {told_c.index(named)} says")
