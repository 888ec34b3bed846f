"""What of a report or forecast counts for the hours of a flight, and that nothing left out looks fine.

Grammar and meaning of the change groups: WMO-No. 306, FM 51 TAF (from memory, C): FM ends what was before,
BECMG stays once it has come, TEMPO and PROB end with their own hours. The flight is on the 12th, 19 to
20 UTC.
"""

import pytest
from metar import Metar

from planner.plan.weather import PlannedWeather, Station
from planner.rules.finding import Mark
from planner.units import KNOT_MPS
from planner.world.weather.metar import read_metar
from planner.world.weather.taf import read_taf
from tests import worlds
from tests.rules.test_flight_rules import ABLE, PACK, finding, judged

HERE = worlds.at(0, 0)


def with_taf(changes, base="27005KT P6SM SKC", valid="1212/1312", metar="", station=None):
    forecast = f"TAF XX01 121130Z {valid} {base} {changes}"
    weather = PlannedWeather(metar=metar, taf=forecast, station=station)
    return judged(weather=weather, performance=ABLE, visibility_m=None)


def reckoned_kt(assessment):
    found = finding(assessment, "flight-time") or finding(assessment, "way-not-held")
    return found.message


@pytest.mark.parametrize(
    ("base", "changes", "knots"),
    [
        ("27005KT P6SM SKC", "BECMG 1214/1216 27020KT", 20),  # come, and stays
        ("27020KT P6SM SKC", "BECMG 1214/1216 27005KT", 5),  # the stronger one has gone
        ("27020KT P6SM SKC", "BECMG 1218/1220 27005KT", 20),  # may not have come yet
        ("27005KT P6SM SKC", "BECMG 1219/1221 27020KT", 20),  # may have come
        ("27020KT P6SM SKC", "BECMG 1214/1216 SCT030", 20),  # says nothing of the wind
        ("27020KT P6SM SKC", "FM121600 27005KT P6SM SKC", 5),  # all before it is over
        ("27005KT P6SM SKC", "FM121600 27020KT P6SM SKC", 20),
        ("27005KT P6SM SKC", "BECMG 1213/1214 27020KT FM121600 27006KT P6SM SKC", 6),
        ("27005KT P6SM SKC", "TEMPO 1214/1216 27020KT", 5),  # over
        ("27005KT P6SM SKC", "TEMPO 1219/1220 27020KT", 20),
        ("27005KT P6SM SKC", "FM122200 27020KT P6SM SKC", 5),  # not yet
    ],
)
def test_which_wind_of_a_forecast_counts(base, changes, knots):
    assert f" {knots} kt from 270 degrees" in reckoned_kt(with_taf(changes, base))


def test_what_becomes_brings_cloud_and_little_visibility_to_stay():
    assessment = with_taf("BECMG 1214/1216 1SM BR OVC004")
    assert finding(assessment, "visibility-too-low").mark is Mark.STOP
    assert finding(assessment, "cloud-of-unknown-height").mark is Mark.UNKNOWN
    lifted = with_taf("BECMG 1214/1216 P6SM SKC", "27005KT 1SM BR OVC004")
    assert finding(lifted, "visibility-too-low") is None
    assert finding(lifted, "cloud-of-unknown-height") is None


@pytest.mark.parametrize(
    ("metar", "changes", "valid", "told"),
    [
        ("", "TEMPO 12l9/1221 27045G60KT", "1212/1312", "Not read: TEMPO, 12l9/1221, 27045G60KT."),
        ("", "", "1212/1219", "It ends at 19:00 UTC"),
        ("XX01 121853Z 2701OKT 10SM SKC 15/10 A2992", "", "1212/1312", "Not read: 2701OKT."),
        ("XX01 121853Z 27010KT 10SM SKC 15/10 A2992 TEMPO 2704SG60", "", "1212/1312", "Not read: 2704SG60."),
        (
            "XX01 121853Z 27010KT 10SM SKC 15/10 A2992 RETS",
            "",
            "1212/1312",
            "RETS (weather of the hour",
        ),
        ("XX01 121853Z 27010KT 10SM R09/0400 SKC 15/10 A2992", "", "1212/1312", "R09/0400 (visibility along"),
        (
            "XX01 121853Z /////KT 10SM SKC 15/10 A2992",
            "",
            "1212/1312",
            "It tells no wind. Not reckoned with",
        ),
        ("XX01 121853Z 10SM SKC 15/10 A2992", "", "1212/1312", "It tells no wind"),
        *(
            (
                f"XX01 121853Z 27010KT 10SM SKC 15/10 A2992 {group}",
                "",
                "1212/1312",
                f"Not reckoned with: {group} (wind shear near the ground along a runway)",
            )
            # WMO-No. 306, FM 15: WS RDRDR or WS ALL RWY; older reports say WS TKOF or LDG RWY (from memory).
            for group in ("WS R24", "WS RWY24R", "WS ALL RWY", "WS TKOF RWY06")
        ),
        ("XX01 121853Z 27010KT 10SM SKC 15/10 A2992 WS ALL", "", "1212/1312", "Not read: WS, ALL."),
        ("XX01 121853Z 27010KT 10SM SKC 15/10 A2992 WS R2", "", "1212/1312", "Not read: WS, R2."),
        ("", "WS020/24055KT", "1212/1312", "WS020/24055KT (wind higher up, with shear below it)"),
        ("", "540009", "1212/1312", "540009 (turbulence)"),
        ("", "620304", "1212/1312", "620304 (ice on aircraft in cloud)"),
    ],
)
def test_what_is_left_out_of_a_report_is_something_to_do(metar, changes, valid, told):
    assessment = with_taf(changes, valid=valid, metar=metar)
    partly = [one for one in assessment.findings if one.rule == "weather-report" and one.mark is Mark.ACT]
    assert [told in one.message for one in partly] == [True]
    assert partly[0].remedy


@pytest.mark.parametrize("base", ["27005KT P6SM VV///", "27005KT P6SM SKC OVC0x5"])
def test_a_sky_that_nobody_measured_or_read_is_not_known(base):
    assert any(line.startswith("cloud: ") for line in with_taf("", base).not_known)
    assert not any(line.startswith("cloud: ") for line in with_taf("").not_known)


def test_a_visibility_just_below_3_miles_is_not_printed_as_3():
    """4,800 m are 2.98 statute miles (1,609.344 m, exact); the code of other states has no finer step."""
    metar = "XX01 121853Z 27005KT 4800 SKC 15/10 Q1013"
    stop = finding(judged(weather=PlannedWeather(metar=metar), visibility_m=None), "visibility-too-low")
    assert "Visibility is 2.98 statute miles" in stop.message


def test_cloud_counts_from_the_station_that_reports_it():
    """The METAR's station lies 1,500 m up, the forecast's nobody knows where."""
    high = Station("XX09", HERE.lon_deg, HERE.lat_deg, 1_500.0)
    metar = "XX09 121853Z 27005KT 10SM BKN100 15/10 A2992"
    assessment = with_taf("", "27005KT P6SM OVC005", metar=metar, station=high)
    assert finding(assessment, "cloud-of-unknown-height").mark is Mark.UNKNOWN
    said = {
        one.message.split()[0]: one.message for one in assessment.findings if one.rule == "weather-report"
    }
    assert "XX09 is" in said["XX09"]
    assert said["TAF"].endswith("Where its station is, is not known.")


@pytest.mark.parametrize(
    ("group", "from_deg"),
    # Home lies west of everything that is flown: a west wind is what keeps it away.
    [("18020KT 140V280", 270.0), ("18020KT 140V220", 220.0), ("18020KT 320V010", 320.0), ("18020KT", 180.0)],
)
def test_of_a_wind_whose_direction_varies_the_worst_for_the_way_home_counts(group, from_deg):
    metar = f"XX01 121853Z {group} 10SM SKC 15/10 A2992"
    assessment = judged(weather=PlannedWeather(metar=metar), performance=ABLE)
    assert assessment.flight.wind.from_true_deg == pytest.approx(from_deg, abs=1.0)
    assert assessment.flight.wind.speed_mps == pytest.approx(20 * KNOT_MPS)


@pytest.mark.parametrize(
    ("metar", "changes", "source"),
    # There and back against the one or the other: of two that can be held the stronger costs more.
    [
        ("09026KT", "27024KT P6SM SKC", "METAR of 18:53 UTC"),
        ("27024KT", "09026KT P6SM SKC", "TAF, prevailing"),
        ("09026KT", "27003KT P6SM SKC", "METAR of 18:53 UTC"),
        ("09003KT", "09026KT P6SM SKC", "TAF, prevailing"),
    ],
)
def test_of_winds_from_different_sides_the_one_counts_that_leaves_least_at_home(metar, changes, source):
    report = f"XX01 121853Z {metar} 10SM SKC 15/10 A2992"
    weather = PlannedWeather(metar=report, taf=f"TAF XX01 121130Z 1212/1312 {changes}")
    both = judged(weather=weather, performance=ABLE, battery=PACK)
    assert both.flight.weather.wind_source == source
    alone = [
        judged(
            weather=PlannedWeather(metar=report.replace(metar, one)), performance=ABLE, battery=PACK
        ).flight.charge.turn_back.left_fraction.min()
        for one in (metar, changes.split()[0])
    ]
    assert both.flight.charge.turn_back.left_fraction.min() == pytest.approx(min(alone), abs=0.02)


@pytest.mark.parametrize(("hours", "gusts"), [("1219/1221", True), ("1221/1223", False)])
def test_a_change_that_begins_while_it_is_flown_counts(hours, gusts):
    """The window is 19:00 to 20:00; worlds begin it at the full hour, so a change at 19:30 begins inside."""
    inside = hours.replace("1219", "1219")
    taf = f"TAF XX01 121730Z 1218/1318 27005KT 9999 SKC TEMPO {inside} 27020G35KT"
    later = judged(weather=PlannedWeather(taf=taf), performance=ABLE)
    assert (later.flight.weather.reported.blowings[0].wind.gust_mps > 30 * KNOT_MPS) is gusts
    begun = "TAF XX01 121730Z 1218/1318 27005KT 9999 SKC FM121930 27020G35KT 9999 SKC"
    from_half = judged(weather=PlannedWeather(taf=begun), performance=ABLE).flight.weather.reported
    assert max(one.wind.gust_mps for one in from_half.blowings) > 30 * KNOT_MPS


@pytest.mark.parametrize(("metar", "taf"), [("9999", "3000 BR"), ("3000 BR", "9999")])
def test_of_two_visibilities_the_least_counts_whichever_comes_first(metar, taf):
    weather = PlannedWeather(
        metar=f"METAR XX01 121853Z 27005KT {metar} SKC 15/14 Q1013",
        taf=f"TAF XX01 121730Z 1218/1318 27005KT {taf} SKC",
    )
    told = judged(weather=weather, performance=ABLE, visibility_m=None).flight.weather.visibility
    assert told.m == pytest.approx(3000.0)


# FM 15: a trend is a forecast for the two hours after the observation, its times FM, TL or AT and hhmm.
@pytest.mark.parametrize(
    ("trend", "gust_kt"),
    [
        ("TEMPO 27025G40KT", 40),
        ("BECMG FM1930 TL2000 27025G40KT", 40),
        ("TEMPO TL1930 27012KT BECMG AT1945 27025G40KT 3000 BR", 40),
        ("NOSIG", 10),
        ("BECMG NSW", 10),
    ],
)
def test_what_a_trend_brings_counts(trend, gust_kt):
    metar = f"XX01 121853Z 27010KT 9999 SKC 15/10 Q1013 {trend}"
    assessment = judged(weather=PlannedWeather(metar=metar), performance=ABLE, visibility_m=None)
    assert assessment.flight.wind.gust_mps == pytest.approx(gust_kt * KNOT_MPS)
    assert finding(assessment, "weather-report").mark is Mark.NOTE


def test_a_storm_and_fog_of_a_trend_count_as_forecast():
    metar = "XX01 121853Z 27010KT 9999 SKC 15/10 Q1013 TEMPO 0800 +TSRA BKN002CB"
    assessment = judged(weather=PlannedWeather(metar=metar), performance=ABLE, visibility_m=None)
    assert finding(assessment, "visibility-too-low").mark is Mark.STOP
    assert finding(assessment, "dangerous-weather").mark is Mark.ACT
    assert finding(assessment, "cloud-of-unknown-height").mark is Mark.UNKNOWN


# FM 15, regulation 15.6 (from memory): the least visibility follows the prevailing one, with its direction.
@pytest.mark.parametrize(
    ("seen", "least_m", "words"),
    [
        ("9999 1500NE", 1500, "toward NE"),
        ("1500NE 9999", 1500, "toward NE"),
        ("6000 4000N 2000SW", 2000, "toward SW"),
        ("4000NW", 4000, "toward NW"),
        ("9999 0000S", 50, "less than 0.03 statute miles"),
        ("3000", 3000, "(METAR of 18:53 UTC)"),
        ("CAVOK 1500NE", 1500, "toward NE"),
    ],
)
def test_the_least_visibility_of_any_side_counts(seen, least_m, words):
    metar = f"XX01 121853Z 27010KT {seen} SKC 15/10 Q1013"
    assessment = judged(weather=PlannedWeather(metar=metar), performance=ABLE, visibility_m=None)
    told = finding(assessment, "visibility-too-low")
    assert told.mark is Mark.STOP
    assert told.numbers["visibility_m"] == least_m
    assert words in told.message


def test_the_least_visibility_is_that_of_another_reader_of_the_code():
    # The package metar (test only) reads both, whatever it calls them.
    for seen in ("9999 1500NE", "1500NE 9999", "6000 4800W"):
        metar = f"METAR XXXX 121853Z 27010KT {seen} SKC 15/10 Q1013"
        other = Metar.Metar(metar, month=6, year=2027)
        least_m = min(other.vis.value("M"), other.max_vis.value("M"))
        assert read_metar(metar).conditions.visibility.m == least_m


# FM 51: a forecast is for 9 to 30 hours, its hours ddhh/ddhh, 24 the end of a day (from memory).
@pytest.mark.parametrize(
    ("valid", "counts"),
    [
        ("1212/1318", True),
        ("1212/1319", False),
        ("1018/1324", False),
        ("1218/1212", False),
        ("1212/1224", True),
        ("1118/1224", True),
    ],
)
def test_a_forecast_is_for_thirty_hours_at_most(valid, counts):
    assessment = with_taf("", valid=valid)
    told = finding(assessment, "weather-report")
    assert told.mark is (Mark.NOTE if counts else Mark.ACT)
    assert (finding(assessment, "wind-not-counted") is None) is counts
    assert ("are not from 1 to 30 hours" in told.message) is not counts


@pytest.mark.parametrize(
    ("valid", "hours"),
    [("3118/0124", 30), ("2818/0100", 6), ("3118/0200", 30), ("1212/1213", 1), ("3118/0201", None)],
)
def test_hours_of_a_forecast_go_over_the_end_of_any_month(valid, hours):
    assert (read_taf(f"TAF XX01 311130Z {valid} 27005KT P6SM SKC").start is not None) is (hours is not None)


def test_a_change_for_longer_than_a_forecast_is_not_applied_and_said():
    told = finding(with_taf("TEMPO 1118/1320 27045KT"), "weather-report")
    assert "Not read: TEMPO, 1118/1320, 27045KT." in told.message


# WMO code table 4678 (from memory): BL blowing, DR drifting below 2 m, PO dust whirl; FM 15: CB, TCU.
@pytest.mark.parametrize(
    ("groups", "mark"),
    [
        ("SN BLSN OVC030", Mark.STOP),
        ("BLDU SKC", Mark.STOP),
        ("PO SKC", Mark.STOP),
        ("DRSN SKC", None),
        ("BKN040CB", Mark.ACT),
        ("SCT040TCU", Mark.ACT),
        ("//////CB", Mark.ACT),
        ("BKN040", None),
    ],
)
def test_what_blows_and_what_towers_is_told(groups, mark):
    metar = f"XX01 121853Z 27010KT 9999 {groups} M12/M14 Q1013"
    told = finding(judged(weather=PlannedWeather(metar=metar), performance=ABLE), "dangerous-weather")
    assert (told.mark if told else None) is mark


@pytest.mark.parametrize(
    ("groups", "celsius", "title", "ice"),
    [
        ("-SN OVC030", "M12/M14", "Wet and freezing weather", "At -12 degrees C it may freeze"),
        ("BR SKC", "M01/M01", "Wet and freezing weather", "At -1 degrees C"),
        ("BR SKC", "05/05", None, ""),
        ("-RA OVC030", "12/10", "Rain or snow", None),
        ("-RA OVC030", "", "Rain or snow", "no temperature is given"),
        ("VCSH SKC", "12/10", None, ""),
        ("SKC", "M12/M14", None, ""),
    ],
)
def test_rain_and_ice_are_something_to_do(groups, celsius, title, ice):
    metar = f"XX01 121853Z 27010KT 9999 {groups} {celsius} Q1013"
    told = finding(judged(weather=PlannedWeather(metar=metar), performance=ABLE), "wet-weather")
    assert (told.title if told else None) == title
    if told:
        assert told.mark is Mark.ACT
        assert ice in told.message if ice else "freez" not in told.message


def test_gusts_that_were_not_measured_leave_the_wind_unknown():
    metar = "XX01 121853Z 27010G//KT 9999 SKC 15/10 Q1013"
    assessment = judged(weather=PlannedWeather(metar=metar), performance=ABLE)
    assert finding(assessment, "wind-not-read").mark is Mark.UNKNOWN
