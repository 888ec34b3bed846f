"""Weather that a report names and nobody flies in; wind told for heights and delays that can't be.

Codes are those of WMO No. 306 (FM 15) and FMH-1, from memory; which of them stop a flight, and the bounds of
figures, are own choices of the program.
"""

from datetime import timedelta

import numpy as np
import pytest

from planner.assess import assess
from planner.errors import PlanError
from planner.flight.wind import Wind
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.weather import PlannedWeather, TypedWind, WindLaw
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests.worlds import START, plan, world


def judged(groups, coded="24005KT", **typed):
    at = START - timedelta(minutes=15)
    metar = f"METAR ZZZZ {at:%d%H%M}Z {coded} 9999 {groups} SKC 20/10 Q1013="
    return assess(plan(weather=PlannedWeather(metar=metar, **typed)), world())


# WMO No. 306, code table 4678 (from memory): TS thunderstorm, SQ squall, FC funnel cloud, GR hail.
@pytest.mark.parametrize("groups", ["TS", "+TSRA", "SQ", "FC", "SHGR", "FZFG", "-FZDZ", "VA"])
def test_weather_not_to_fly_in_is_a_stop(groups):
    answer = judged(groups)
    (told,) = [one for one in answer.findings if one.rule == "dangerous-weather"]
    assert told.mark is Mark.STOP
    assert groups in told.message
    assert answer.verdict is Verdict.MUST_CHANGE


@pytest.mark.parametrize(("groups", "marks"), [("VCTS", [Mark.ACT]), ("-RA", []), ("BR", []), ("-SN", [])])
def test_what_is_near_is_an_act_and_other_weather_no_danger(groups, marks):
    assert [one.mark for one in judged(groups).findings if one.rule == "dangerous-weather"] == marks


@pytest.mark.parametrize("measured_m", [1e-5, 0.03, 0.5, 300.0, 1e6, float("nan")])
def test_a_height_at_which_nobody_measures_wind_is_refused(measured_m):
    with pytest.raises((PlanError, ValueError), match="height of the wind's measurement"):
        TypedWind(5.0, 240.0, None, measured_m)


@pytest.mark.parametrize("law", list(WindLaw))
def test_wind_never_turns_round_with_height(law):
    heights_m = np.linspace(0.0, 300.0, 61)
    for measured_m in (1.0, 2.0, 10.0, 200.0):
        assert (Wind(5.0, 240.0, 8.0, measured_m, law).factor(heights_m) > 0).all()
    assert (Wind(5.0, 240.0, 8.0, 0.001, law).factor(heights_m) > 0).all(), "a station's own, however low"


@pytest.mark.parametrize("given", [{"delay_s": 1e9}, {"speed_mps": 1e-9}, {"climb_mps": 1e-9}])
def test_absurd_figures_of_a_lost_link_are_refused(given):
    with pytest.raises((PlanError, ValueError), match=r"link-loss delay|way home"):
        LinkLoss(LinkLossAction.LAND, **given)


@pytest.mark.parametrize("wind", ["24005G99KT", "24095G05KT", "40010KT"])
def test_a_wind_that_is_given_and_not_believed_is_not_still_air(wind):
    answer = judged("BR", wind)
    (told,) = [one for one in answer.findings if one.rule == "wind-not-read"]
    assert told.mark is Mark.UNKNOWN
    assert answer.verdict is Verdict.UNDETERMINED
    typed = judged("BR", wind, wind=TypedWind(3.0, 240.0))
    assert not [one for one in typed.findings if one.rule == "wind-not-read"]


def test_a_report_without_a_wind_leaves_it_not_checked():
    answer = judged("BR", "/////KT")
    assert not [one for one in answer.findings if one.rule == "wind-not-read"]
    assert any(one.startswith("wind") for one in answer.not_known)


@pytest.mark.parametrize(
    ("remarks", "gust_kt", "not_read"),
    [
        # Peak wind dddff(f)/(hh)mm in knots; FMH-1 chapter 12, from memory.
        ("PK WND 24060/1840", 60, ""),
        ("AO2 PK WND 240103/40 SLP134 T01230067 10135 58012 60012 $", 103, ""),
        ("AO2 PK WND 24009/1840 SLPNO", 9, ""),
        ("AO2", 5, ""),
        ("PK WND 240250/1840", 5, "PK WND 240250/1840"),
        ("PK WND 36140/1840", 5, "PK WND 36140/1840"),
        ("PK WND 24060", 5, "PK WND 24060"),
        ("AO2 WSHFT 1830 OCNL LTGIC DSNT W SLP134", 5, "OCNL LTGIC DSNT W"),
        ("AO2 WSHFT 30 FROPA SLP134 T02001000", 5, ""),
        ("AO2 RAB05E20SNB20E1755 UPB1803 P0003 60003 NOSPECI", 5, ""),
        # What is dangerous, or not of that form, is shown: thunder began, freezing rain, a shift at no time.
        ("AO2 TSB05E20 FZRAB05 WSHFT 2530", 5, "TSB05E20 FZRAB05 WSHFT 2530"),
        ("WSHFT", 5, "WSHFT"),
        ("AO2 PRESRR RAB5", 5, "PRESRR RAB5"),
        ("TSNO", 5, "TSNO"),
    ],
)
def test_a_peak_wind_of_the_remarks_counts_and_what_is_not_read_of_them_is_said(remarks, gust_kt, not_read):
    report = f"METAR XX01 121853Z 27005KT 10SM SKC 20/10 A2992 RMK {remarks}"
    assessment = assess(plan(weather=PlannedWeather(metar=report)), world())
    said = next(one for one in assessment.findings if one.rule == "weather-report")
    assert assessment.flight.wind.gust_mps == pytest.approx(gust_kt * 1852 / 3600)
    assert said.mark is (Mark.ACT if not_read else Mark.NOTE)
    assert ("Not reckoned with" in said.message) is bool(not_read)
    if not_read:
        assert f"Not reckoned with: its remarks {not_read}." in said.message
    assert ("counts as its gust" in said.message) is (gust_kt > 5)


def test_remarks_of_a_forecast_are_said_too():
    taf = "TAF XX01 121720Z 1218/1318 27005KT P6SM SKC RMK AFTER 20Z GUSTY"
    assessment = assess(plan(weather=PlannedWeather(taf=taf)), world())
    said = next(one for one in assessment.findings if one.rule == "weather-report")
    assert said.mark is Mark.ACT
    assert "Not reckoned with: its remarks AFTER 20Z GUSTY." in said.message
