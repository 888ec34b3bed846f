"""Weather reports to the grammar, absurd, mutilated, hostile: nothing absurd is believed, nothing dropped."""

import math
import random
import string
from datetime import UTC, datetime

import attrs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from metar.Metar import Metar

from planner.units import FOOT_M
from planner.world.weather.metar import read_metar
from planner.world.weather.moments import moment_near
from planner.world.weather.report import (
    ChangeKind,
    CodedTime,
    Conditions,
    Report,
    ReportedWind,
    WeatherReportError,
)
from planner.world.weather.taf import read_taf
from tests.flight.metar_grammar import KNOT, made_report

GOOD = "METAR KABC 251753Z 24012G22KT 10SM FEW045 BKN120 22/M03 A3012"


def close(found, wanted, tolerance=1e-6):
    return (found is None and wanted is None) or (
        found is not None and wanted is not None and math.isclose(found, wanted, abs_tol=tolerance)
    )


@pytest.mark.parametrize("seed", range(500))
def test_reports_made_to_the_grammar_mean_what_they_were_made_from(seed):
    text, meaning = made_report(random.Random(seed))
    report = read_metar(text)
    now = report.conditions
    assert report.raw == text
    assert (now.unread, now.doubts) == ((), ())
    assert (report.station, report.day, report.hour, report.minute) == (
        meaning.station, meaning.day, meaning.hour, meaning.minute,
    )  # fmt: skip
    assert close(now.wind.from_true_deg, meaning.from_deg)
    assert close(now.wind.speed_mps, meaning.speed_mps)
    assert close(now.wind.gust_mps, meaning.gust_mps)
    assert close(now.visibility.m, meaning.visibility_m)
    assert close(now.ceiling_m, None if meaning.ceiling_ft is None else meaning.ceiling_ft * FOOT_M)
    assert close(now.temperature_c, meaning.celsius)
    assert close(now.dew_point_c, meaning.dew_c)
    assert close(now.pressure_hpa, meaning.hpa, 0.01)


@pytest.mark.parametrize("seed", range(0, 500, 5))
def test_another_reader_reads_the_same(seed):
    """Outside: the PyPI package `metar`, an independent reader of FM 15 and of the United States' forms."""
    text, _ = made_report(random.Random(seed))
    ours = read_metar(text).conditions
    # Its temperature would be that of the remarks, in tenths.
    theirs = Metar(text.removesuffix("=").partition(" RMK")[0], strict=False, month=6, year=2026)
    assert close(ours.wind.speed_mps, theirs.wind_speed.value("MPS"), 0.01)
    if theirs.wind_gust is not None:
        assert close(ours.wind.gust_mps, theirs.wind_gust.value("MPS"), 0.01)
    if theirs.wind_dir is not None and ours.wind.speed_mps > 0:
        assert close(ours.wind.from_true_deg, theirs.wind_dir.value(), 0.01)
    assert close(ours.temperature_c, theirs.temp.value("C"), 0.01)
    assert close(ours.pressure_hpa, theirs.press.value("HPA"), 0.05)
    if "CAVOK" not in text and " 0000 " not in text:
        assert close(ours.visibility.m, theirs.vis.value("M"), 20.0)


@pytest.mark.parametrize(
    ("group", "absurd", "field"),
    [
        ("24012G22KT", "24099G999KT", "wind"),  # a gust that none ever was
        ("24012G22KT", "24012G12KT", "wind"),  # no stronger than the mean
        ("24012G22KT", "37012KT", "wind"),
        ("24012G22KT", "00012KT", "wind"),
        ("24012G22KT", "240199KT", "wind"),
        ("24012G22KT", "24001G80KT", "wind"),
        ("10SM", "900SM", "visibility"),
        ("10SM", "5/4SM", "visibility"),
        ("22/M03", "71/M03", "temperature_c"),
        ("22/M03", "M95/M96", "temperature_c"),
        ("22/M03", "10/22", "temperature_c"),  # a dew point above the temperature
        ("22/M03", "10/22", "dew_point_c"),
        ("A3012", "A9999", "pressure_hpa"),
        ("A3012", "A0012", "pressure_hpa"),
        ("A3012", "Q0700", "pressure_hpa"),
        ("A3012", "A3012 Q0980", "pressure_hpa"),  # two that contradict each other
        ("24012G22KT", "24012KT 18008KT", "wind"),
    ],
)
def test_what_can_not_be_is_not_believed_but_shown(group, absurd, field):
    text = GOOD.replace(group, absurd)
    report = read_metar(text)
    assert report.raw == text
    assert getattr(report.conditions, field) is None
    assert report.conditions.doubts
    assert report.conditions.doubts[0].why


def test_a_cloud_that_can_not_be_leaves_the_ceiling_unknown():
    now = read_metar(GOOD.replace("BKN120", "OVC901")).conditions
    assert now.ceiling_m is None
    assert now.ceiling_unknown


@pytest.mark.parametrize(
    "token", ["FOO045", "BKNO20", "0VC004", "24012", "10S", "Q10I3", "22/", "XX/YY", "V//", "+", "\\", "R09/"]
)
def test_unknown_groups_are_shown_and_never_guessed(token):
    report = read_metar(f"{GOOD} {token}" if token != "24012" else GOOD.replace("FEW045", f"{token} FEW045"))
    known = read_metar(GOOD).conditions
    if token == "22/":  # a second, whole temperature without a dew point: doubtful, not unknown
        assert report.conditions.unread or report.conditions.doubts
        return
    assert token in report.conditions.unread
    assert report.conditions.wind == known.wind
    assert report.conditions.ceiling_m == known.ceiling_m
    # A group that can't be read may have been a lower layer.
    assert report.conditions.ceiling_unknown


def test_a_group_out_of_its_place_is_not_read():
    now = read_metar(GOOD.replace("22/M03", "22/M03 2000")).conditions
    assert now.unread == ("2000",)
    assert now.visibility.m == pytest.approx(16093.44)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "is empty"),
        ("   \n", "is empty"),
        ("METAR", "names no station"),
        ("hello pilot, the weather is fine", "names no station"),
        ("METAR KABC", "no time of issue"),
        ("METAR KABC 251799Z 24012KT", "no time of issue"),
        ("METAR KABC 322500Z", "no time of issue"),
        ("METAR KABC 251753 24012KT", "no time of issue"),
        ("KABC 251753Z 24012\u041a\u0422", "characters of no code"),
        ("KABC 251753Z \x00\x1b[31m", "characters of no code"),
        ("KABC 251753Z " + "A" * 6000, "longer than"),
        ("<script>alert(1)</script>", "names no station"),
    ],
)
def test_what_is_no_report_gives_one_clear_line(text, message):
    for read, kind in ((read_metar, "METAR"), (read_taf, "TAF")):
        with pytest.raises(WeatherReportError) as caught:
            read(text.replace("METAR", kind))
        line = caught.value.one_line()
        assert message in line
        assert "\n" not in line


def test_missing_parts_stay_unknown():
    now = read_metar("METAR KABC 251753Z AUTO /////KT //// ////// ///// Q////").conditions
    assert (now.wind, now.visibility, now.temperature_c, now.pressure_hpa, now.ceiling_m) == (None,) * 5
    assert now.ceiling_unknown
    assert now.unread == ()
    assert read_metar("METAR KABC 251753Z NIL=").missing


@settings(max_examples=400, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 6), st.randoms(use_true_random=False))
def test_mutilated_reports_never_say_what_can_not_be(seed, changes, chance):
    text, _ = made_report(random.Random(seed))
    letters = list(text)
    for _ in range(changes):
        at = chance.randrange(len(letters))
        letters[at] = chance.choice(string.ascii_uppercase + string.digits + "/ +-=")
    mutilated = "".join(letters)
    try:
        report = read_metar(mutilated)
    except WeatherReportError:
        return
    assert report.raw == mutilated
    assert_possible(report.conditions)
    assert_nothing_is_dropped(mutilated, report)


def assert_possible(now: Conditions) -> None:
    if now.wind is not None:
        assert_possible_wind(now.wind)
    if now.visibility is not None:
        assert 0 <= now.visibility.m <= 200_000
    for layer in now.clouds:
        assert layer.base_m is None or 0 <= layer.base_m <= 20_000
    if now.temperature_c is not None:
        assert -90 <= now.temperature_c <= 60
        assert now.dew_point_c is None or now.dew_point_c <= now.temperature_c
    if now.pressure_hpa is not None:
        assert 860 <= now.pressure_hpa <= 1090


def assert_possible_wind(wind: ReportedWind) -> None:
    assert wind.from_true_deg is None or 0 <= wind.from_true_deg <= 360
    assert 0 <= wind.speed_mps <= 90
    assert wind.gust_mps is None or wind.speed_mps < wind.gust_mps <= 115


def assert_nothing_is_dropped(text: str, report: Report) -> None:
    """Every group between header and remarks leaves a mark: without it the reading is another one."""
    groups = text.strip().removesuffix("=").split()
    stops = {"RMK", "NOSIG", "BECMG", "TEMPO"}
    first = next(k for k, group in enumerate(groups) if len(group) == 7 and group.endswith("Z")) + 1
    last = next((k for k in range(first, len(groups)) if groups[k] in stops), len(groups))
    for k in range(first, last):
        without = read_metar(" ".join(groups[:k] + groups[k + 1 :]))
        assert attrs.evolve(without, raw="") != attrs.evolve(report, raw=""), groups[k]


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text):
    for read in (read_metar, read_taf):
        try:
            assert read(text).raw == text
        except WeatherReportError:
            continue


TAF = (
    "TAF KABC 251720Z 2518/2624 24012G22KT P6SM FEW045 FM252100 27015KT P6SM BKN050 "
    "TEMPO 2522/2602 2SM TSRA OVC020CB BECMG 2604/2606 VRB03KT PROB30 TEMPO 2608/2610 1/2SM FG VV002"
)


def test_a_forecast_in_its_periods():
    """By hand from the code's grammar (WMO FM 51 and the United States' forms, from memory, C)."""
    forecast = read_taf(TAF)
    assert forecast.raw == TAF
    assert (forecast.start, forecast.end) == (CodedTime(25, 18), CodedTime(26, 24))
    assert [period.change for period in forecast.periods] == [
        ChangeKind.PREVAILING, ChangeKind.FROM, ChangeKind.TEMPORARY,
        ChangeKind.BECOMING, ChangeKind.PROBABLE,
    ]  # fmt: skip
    first, later, storm, calm, fog = forecast.periods
    assert first.conditions.wind.gust_mps == pytest.approx(22 * KNOT)
    assert later.start == CodedTime(25, 21)
    assert later.conditions.ceiling_m == pytest.approx(5000 * FOOT_M)
    assert storm.conditions.visibility.m == pytest.approx(2 * 1609.344)
    assert storm.conditions.weather == ("TSRA",)
    assert calm.conditions.wind.from_true_deg is None
    assert (fog.probability, fog.conditions.ceiling_m) == (30, pytest.approx(200 * FOOT_M))
    assert forecast.unread == ()


@pytest.mark.parametrize(
    ("change", "unread"),
    [
        ("FM259900 27015KT", ("FM259900", "27015KT")),
        ("TEMPO 27015KT", ("TEMPO", "27015KT")),
        ("BECMG 2640/2606 27015KT", ("BECMG", "2640/2606", "27015KT")),
        ("PROB99 2600/2602 FG", ("PROB99", "2600/2602", "FG")),
    ],
)
def test_a_change_without_a_time_is_shown_whole_and_not_applied(change, unread):
    forecast = read_taf(f"TAF KABC 251720Z 2518/2624 24012KT P6SM SKC {change}")
    assert len(forecast.periods) == 1
    assert forecast.periods[0].conditions.wind.speed_mps == pytest.approx(12 * KNOT)
    assert forecast.unread == unread


def test_a_forecast_without_validity_is_shown_and_not_used():
    forecast = read_taf("TAF KABC 251720Z 9918/2624 24012KT P6SM")
    assert forecast.periods == ()
    assert forecast.unread == ("9918/2624", "24012KT", "P6SM")
    assert read_taf("TAF KABC 251720Z 2518/2624 CNL").cancelled
    assert read_taf("TAF AMD KABC 251720Z NIL").missing


def test_times_of_the_code_across_months():
    """By hand: the code names no month, the nearest counts; hour 24 is the next midnight."""
    near = datetime(2027, 3, 1, 2, 0, tzinfo=UTC)
    assert moment_near(CodedTime(28, 18), near) == datetime(2027, 2, 28, 18, 0, tzinfo=UTC)
    assert moment_near(CodedTime(1, 24), near) == datetime(2027, 3, 2, 0, 0, tzinfo=UTC)
    assert moment_near(CodedTime(31, 23, 50), datetime(2027, 1, 1, tzinfo=UTC)) == datetime(
        2026, 12, 31, 23, 50, tzinfo=UTC
    )
    assert moment_near(CodedTime(30, 1), datetime(2027, 2, 10, tzinfo=UTC)).day == 30
