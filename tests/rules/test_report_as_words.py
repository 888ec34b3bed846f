"""A report and what is said of it are two sentences; one that is not in capitals is refused for that.

Reports are issued in capitals (WMO-No. 306, FM 15; from memory).
"""

import pytest

from planner.plan.weather import PlannedWeather
from planner.world.weather.metar import read_metar
from planner.world.weather.report import WeatherReportError
from planner.world.weather.taf import read_taf
from tests.rules.test_flight_rules import finding, judged

METAR = "METAR XX01 121953Z 27005KT 10SM SKC 15/10 A2992"


@pytest.mark.parametrize("end", ["", "="])
def test_the_report_ends_before_what_is_said_of_it_begins(end):
    message = finding(judged(weather=PlannedWeather(metar=METAR + end)), "weather-report").message
    assert message.startswith(f"{METAR}{end or '.'} Where its station is")


@pytest.mark.parametrize(
    ("read", "text", "why"),
    [
        (read_metar, METAR.lower(), "not in capitals"),
        (read_metar, "METAR xx01 121953Z 27005KT", "not in capitals"),
        (read_taf, "taf xx01 121130z 1212/1312 27005kt", "not in capitals"),
        (read_metar, "27005KT 10SM", "names no station"),
    ],
)
def test_what_is_wrong_with_its_first_words_is_named(read, text, why):
    with pytest.raises(WeatherReportError, match=why):
        read(text)
