"""Fog, mist and dust are told of visibility, with a figure or without one.

WMO-No. 306, code table 4678, and FMH-1 of the United States for mist (both from memory). What is open and
what an act is as for a figure that a report tells (own rule: no worse report is outvoted).
"""

import pytest

from planner.plan.model import Purpose
from planner.plan.weather import PlannedWeather, Station
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_flight_rules import finding, judged

STATION = Station("XX01", worlds.at(0.0, 0.0).lon_deg, worlds.at(0.0, 0.0).lat_deg, 300.0, "XX")


def reported(groups, purpose=Purpose.PART_107, typed_m=16_000.0, taf=""):
    metar = f"METAR XX01 121853Z 27005KT {groups} 15/10 Q1018" if groups else ""
    return judged(
        weather=PlannedWeather(metar=metar, taf=taf, station=STATION), purpose=purpose, visibility_m=typed_m
    )


@pytest.mark.parametrize("seen", ["////", "9999", "8000", "10SM", "3000"])
@pytest.mark.parametrize("group", ["FG", "FZFG"])
def test_fog_is_less_than_a_kilometre_whatever_figure_stands_beside_it(seen, group):
    answer = reported(f"{seen} {group} SKC")
    found = finding(answer, "visibility-against-report")
    assert found.mark is Mark.UNKNOWN
    # 1,000 m are 0.62 statute miles.
    assert f"METAR of 18:53 UTC, {group} says less than 0.62 statute miles" in found.message
    alone = finding(reported(f"{seen} {group} SKC", typed_m=None), "visibility-too-low")
    assert alone.mark is Mark.STOP
    guided = finding(reported(f"{seen} {group} SKC", Purpose.RECREATIONAL), "visibility-against-report")
    assert guided.mark is Mark.ACT


def test_fog_with_a_figure_of_its_own_is_told_by_that():
    found = finding(reported("0400 FG SKC"), "visibility-against-report")
    assert "METAR of 18:53 UTC says 0.24 statute miles" in found.message


def test_fog_of_a_trend_or_a_forecast_counts_as_well():
    for answer in (
        judged(
            weather=PlannedWeather(
                metar="METAR XX01 121853Z 27005KT CAVOK 15/10 Q1018 TEMPO FG", station=STATION
            ),
            purpose=Purpose.PART_107,
            visibility_m=16_000.0,
        ),
        reported("", taf="TAF XX01 121720Z 1218/1318 27005KT 9999 SKC TEMPO 1218/1223 FG"),
    ):
        assert finding(answer, "visibility-against-report").mark is Mark.UNKNOWN


@pytest.mark.parametrize(
    ("groups", "open_"),
    [
        ("//// BR SKC", True),
        ("9999 BR SKC", True),
        ("CAVOK BR", True),
        ("//// HZ SKC", True),
        ("//// DU SKC", True),
        ("4500 BR SKC", False),
        # Mist is told below 7 miles in the United States.
        ("6SM BR SKC", False),
        ("3000 HZ SKC", False),
        ("//// SKC", False),
        ("//// VCBLDU SKC", False),
    ],
)
def test_mist_or_dust_without_a_figure_that_goes_with_it_leaves_open_how_far_one_sees(groups, open_):
    found = finding(reported(groups), "seen-through-mist")
    assert (found is not None and found.mark is Mark.UNKNOWN) is open_
    if open_:
        assert ("at least 0.62 statute miles" in found.message) is ("BR" in groups)
        assert finding(reported(groups, Purpose.RECREATIONAL), "seen-through-mist").mark is Mark.ACT


@pytest.mark.parametrize("group", ["VCFG", "BCFG", "PRFG", "MIFG"])
def test_fog_in_parts_or_near_is_something_to_look_at(group):
    answer = reported(f"9999 {group} SKC")
    assert finding(answer, "fog-about").mark is Mark.ACT
    assert finding(answer, "visibility-against-report") is None
    assert finding(reported("0400 FG SKC"), "fog-about") is None
