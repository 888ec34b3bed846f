"""What the rules of the flight ask, where inputs are given, and that nothing absent counts as fine.

Law: 14 CFR 107.51 (check values 1.24, standing A); 49 USC 44809 names no visibility and no cloud (1.25, A).
Ground, path and aircraft are invented.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import Battery, LinkLoss, LinkLossAction, Radio, RadioUse
from planner.plan.geometry import LegShape
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, Station, TypedWind
from planner.rules.finding import Basis, Mark
from planner.rules.verdict import Verdict
from planner.units import STATUTE_MILE_M
from tests import worlds

ABLE = Performance(hover_w=180.0, cruise_w=200.0, cruise_mps=15.0, highest_mps=20.0)
PACK = Battery("LiPo", 6, 1_300.0)
FIXED = LinkLoss(LinkLossAction.RETURN_FIXED, 2.0, AboveLaunch(60.0))
VIDEO = Radio(
    RadioUse.VIDEO,
    5_800.0,
    25.0,
    analog=True,
    ground_gain_dbi=5.0,
    air_gain_dbi=2.0,
    sensitivity_dbm=-90.0,
)


def judged(
    *, weather=None, ground=None, purpose=Purpose.PART_107, far_m=400.0, visibility_m=9_000.0, **aircraft
):
    shape = LegShape.FOLLOW_GROUND if ground else LegShape.STRAIGHT
    plan = worlds.plan(purpose=purpose, path=worlds.points([(0, 0, 40.0), (far_m, 0, 40.0)], shape))
    plan = attrs.evolve(
        plan,
        aircraft=attrs.evolve(plan.aircraft, **aircraft),
        weather=weather,
        visibility_m=visibility_m,
    )
    return assess(plan, worlds.world(terrain=ground) if ground else worlds.world())


def finding(assessment, rule):
    return next((one for one in assessment.findings if one.rule == rule), None)


def blowing(speed_mps, gust_mps=None, from_deg=270.0, measured_at_m=40.0):
    return PlannedWeather(wind=TypedWind(speed_mps, from_deg, gust_mps, measured_at_m))


def test_nothing_given_is_not_checked_and_never_fine():
    assessment = judged()
    assert finding(assessment, "flight-time").mark is Mark.NOTE
    said = " ".join(assessment.not_known)
    for what in ("wind: not given", "cloud: not given", "battery and way home: ",
                 "radio links: ", "loss of the control link: "):  # fmt: skip
        assert what in said
    assert finding(assessment, "home-reached") is None


def test_what_is_given_is_no_longer_called_not_given():
    weather = attrs.evolve(blowing(3.0), cloud_base_m=2_000.0)
    given = judged(weather=weather, battery=PACK, performance=ABLE, radios=(VIDEO,),
                   link_loss=FIXED)  # fmt: skip
    said = " ".join(given.not_known)
    for what in ("wind:", "cloud:", "battery and way home:", "radio links:", "loss of the"):
        assert what not in said


@pytest.mark.parametrize(
    ("wind_mps", "gust_mps", "rule"),
    [(15.0, None, None), (17.0, 24.0, "way-not-held-in-gusts"), (21.0, None, "way-not-held")],
)
def test_wind_stronger_than_the_aircraft(wind_mps, gust_mps, rule):
    # From east onto a path that leads east, at the height of the measurement; highest airspeed is 20 m/s.
    assessment = judged(weather=blowing(wind_mps, gust_mps, 90.0), performance=ABLE)
    found = {one.rule for one in assessment.findings if one.rule.startswith("way-not-held")}
    assert found == ({rule} if rule else set())
    assert (assessment.verdict is Verdict.MUST_CHANGE) is (rule is not None)


@pytest.mark.parametrize(
    ("purpose", "miles", "mark"),
    [
        (Purpose.PART_107, 2.99, Mark.STOP),
        (Purpose.PART_107, 3.0, None),
        (Purpose.RECREATIONAL, 2.99, Mark.ACT),
    ],
)
def test_visibility_is_law_for_one_and_guidance_for_the_other(purpose, miles, mark):
    assessment = judged(purpose=purpose, visibility_m=miles * STATUTE_MILE_M)
    found = finding(assessment, "visibility-too-low") or finding(assessment, "visibility-below-guidance")
    assert (found.mark if found else None) is mark
    if found:
        assert found.basis is (Basis.LAW if mark is Mark.STOP else Basis.SAFETY)


@pytest.mark.parametrize(
    ("purpose", "base_ft", "mark"),
    [
        # 40 m are 131.2 ft: with 500 ft below cloud the base must be at 631.3 ft or more.
        (Purpose.PART_107, 631.0, Mark.STOP),
        (Purpose.PART_107, 632.0, None),
        (Purpose.RECREATIONAL, 631.0, Mark.ACT),
    ],
)
def test_500_ft_below_cloud(purpose, base_ft, mark):
    weather = PlannedWeather(cloud_base_m=worlds.ft(base_ft))
    found = finding(judged(purpose=purpose, weather=weather), "cloud-too-near")
    assert (found.mark if found else None) is mark


def test_an_old_report_does_not_count_and_its_text_is_shown():
    # The flight begins on the 12th at 19:00 UTC.
    old, fresh = (f"XX01 12{hour}Z 27010KT 2SM OVC003 15/10 A2992" for hour in ("1553", "1653"))
    stale = judged(weather=PlannedWeather(metar=old))
    assert "wind: not given" not in " ".join(stale.not_known), "given it is, but not known"
    assert finding(stale, "wind-not-counted").mark is Mark.UNKNOWN
    report = finding(stale, "weather-report")
    assert report.mark is Mark.ACT
    assert old in report.message
    assert (
        finding(judged(weather=PlannedWeather(metar=fresh), visibility_m=None), "visibility-too-low").mark
        is Mark.STOP
    )


LOW = "XX01 121853Z 27010KT 1SM BR OVC003 15/10 A2992"


@pytest.mark.parametrize(
    ("purpose", "mark"), [(Purpose.PART_107, Mark.UNKNOWN), (Purpose.RECREATIONAL, Mark.ACT)]
)
def test_a_report_of_little_visibility_is_not_outvoted_by_a_better_typed_one(purpose, mark):
    assessment = judged(weather=PlannedWeather(metar=LOW), purpose=purpose, visibility_m=16_000.0)
    assert finding(assessment, "visibility-against-report").mark is mark
    assert (assessment.verdict is Verdict.READY) is (mark is Mark.ACT)


def test_a_report_of_enough_visibility_says_nothing_against_what_is_typed():
    enough = LOW.replace("1SM BR OVC003", "3SM OVC090")
    assert finding(judged(weather=PlannedWeather(metar=enough)), "visibility-against-report") is None


@pytest.mark.parametrize(
    ("reported", "told"),
    # The plan counts on 10 miles; sight on 0.3 of it (European guidance, B).
    [("4SM", True), ("9SM", True), ("10SM", False), ("P6SM", False), ("9999", False)],
)
def test_less_visibility_than_sight_is_reckoned_with_is_told(reported, told):
    report = LOW.replace("1SM BR OVC003", f"{reported} OVC090")
    found = finding(
        judged(weather=PlannedWeather(metar=report), visibility_m=16_093.44), "sight-against-report"
    )
    assert (found is not None) is told
    if told:
        assert found.mark is Mark.ACT
        assert f"{reported.removesuffix('SM')} statute miles. How far" in found.message
        assert "the plan's 10 statute miles" in found.message


@pytest.mark.parametrize(
    ("base", "rule"),
    # The ground lies at 1,000 ft, 40 m above it are 131.2 ft: with 500 ft below cloud, and a station that may
    # lie 100 m (328 ft) below the sea, the base must be at 1,959 ft or more; reports give hundreds.
    [
        ("OVC003", Mark.UNKNOWN), ("OVC007", Mark.UNKNOWN), ("OVC019", Mark.UNKNOWN), ("OVC020", None),
        ("SCT019", Mark.ACT), ("SCT020", None),
        # A high ceiling takes nothing from lower cloud over a part of the sky.
        ("SCT002 OVC100", Mark.ACT), ("FEW001 BKN090", Mark.ACT), ("FEW001 BKN009", Mark.UNKNOWN),
    ],
)  # fmt: skip
def test_cloud_over_a_station_nobody_knows_counts_from_the_lowest_there_is(base, rule):
    report = LOW.replace("1SM BR OVC003", f"10SM {base}")
    assessment = judged(weather=PlannedWeather(metar=report))
    found = finding(assessment, "cloud-of-unknown-height")
    assert (found.mark if found else None) is rule
    # A base that is typed is seen: the report is held against the ground flown over, as before. 631.3 ft.
    typed = judged(weather=PlannedWeather(metar=report, cloud_base_m=2_000.0))
    low = base[:6] in ("OVC003", "SCT002", "FEW001")
    assert (finding(typed, "cloud-of-unknown-height") is not None) is low


def test_a_report_of_low_cloud_is_not_outvoted_by_a_higher_typed_base():
    report = LOW.replace("1SM BR", "10SM")
    here = Station("XX01", worlds.at(0, 0).lon_deg, worlds.at(0, 0).lat_deg, 100.0)
    weather = PlannedWeather(metar=report, station=here, cloud_base_m=2_000.0)
    found = finding(judged(weather=weather), "cloud-against-report")
    assert found.mark is Mark.UNKNOWN
    assert "300 ft" in found.message


def test_reports_count_for_an_area_without_a_path_too():
    flown = worlds.plan(
        purpose=Purpose.PART_107,
        area=worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(60.0)),
        path=(),
    )
    flown = attrs.evolve(flown, weather=PlannedWeather(metar=LOW), visibility_m=16_000.0)
    assessment = assess(flown, worlds.world())
    assert finding(assessment, "visibility-against-report").mark is Mark.UNKNOWN
    assert finding(assessment, "cloud-of-unknown-height").mark is Mark.UNKNOWN
    assert finding(assessment, "weather-report").mark is Mark.NOTE
    typed = attrs.evolve(flown, weather=PlannedWeather(cloud_base_m=30.0))
    assert finding(assess(typed, worlds.world()), "cloud-too-near").mark is Mark.STOP


def test_a_report_of_more_wind_than_typed_is_said():
    storm = "XX01 121853Z 27045G60KT 10SM SKC 15/10 A2992"
    weather = attrs.evolve(blowing(3.0), metar=storm)
    found = finding(judged(weather=weather, performance=ABLE), "wind-against-report")
    assert found.mark is Mark.UNKNOWN, "it flies 20 m/s, 39 kt, at the most"
    assert "45 kt, gusts 60 kt" in found.message
    assert finding(judged(weather=blowing(3.0), performance=ABLE), "wind-against-report") is None


def test_wind_without_an_airspeed_is_never_called_held():
    assessment = judged(weather=blowing(23.0, 31.0))
    assert finding(assessment, "wind-not-compared").mark is Mark.ACT
    assert "wind: " in " ".join(assessment.not_known)
    assert "if the aircraft holds its speed" in finding(assessment, "flight-time").message
    assert finding(judged(weather=blowing(3.0), performance=ABLE), "wind-not-compared") is None


def test_a_text_that_is_no_report_is_shown_and_says_nothing():
    report = finding(judged(weather=PlannedWeather(metar="wind is fine")), "weather-report")
    assert report.mark is Mark.ACT
    assert report.message.startswith("wind is fine")


def test_the_battery_that_does_not_bring_it_home_names_the_turn_back_point():
    # Out with the wind; the way back takes twice the air distance and more.
    assessment = judged(
        weather=blowing(10.0), battery=Battery("LiPo", 6, 500.0), performance=ABLE, far_m=2_500.0
    )
    stop = finding(assessment, "home-not-reached")
    assert stop.mark is Mark.STOP
    assert stop.basis is Basis.SAFETY
    assert "mAh used" in stop.message
    assert "V a cell under load" in stop.message
    assert 0.0 < stop.from_m < assessment.track.length_m
    # At that place what is left after the way home is the reserve.
    left = np.interp(
        stop.from_m, assessment.track.distance_m, assessment.flight.charge.turn_back.left_fraction
    )
    assert left == pytest.approx(0.25, abs=0.002)


def test_an_own_reserve_is_an_own_limit_and_less_of_it_lets_the_flight_be():
    flight = {"weather": blowing(5.0), "battery": Battery("LiPo", 6, 800.0), "far_m": 1_200.0}
    wanted = {
        share: judged(performance=attrs.evolve(ABLE, landing_reserve=share), **flight) for share in (0.1, 0.6)
    }
    assert finding(wanted[0.6], "home-not-reached").basis is Basis.OWN_LIMIT
    assert finding(wanted[0.1], "home-not-reached") is None
    assert finding(wanted[0.1], "home-reached") is not None


def test_a_ridge_in_the_way_of_the_picture_is_a_stop():
    def ridge(east_m, north_m):
        return worlds.GROUND_M + 120.0 * np.exp(-(((east_m - 400.0) / 60.0) ** 2))

    behind = judged(radios=(VIDEO,), ground=worlds.terrain(ridge), far_m=900.0)
    stop = finding(behind, "video-margin")
    assert stop.mark is Mark.STOP
    assert stop.from_m > 400.0
    assert "Ground takes" in stop.message
    assert finding(judged(radios=(VIDEO,), far_m=450.0), "video-margin") is None


def test_a_radio_of_unknown_figures_is_not_checked():
    assessment = judged(radios=(attrs.evolve(VIDEO, sensitivity_dbm=None),))
    assert finding(assessment, "link-figures-missing").mark is Mark.ACT
    assert "radio links: " in " ".join(assessment.not_known)


def test_the_return_that_hits_the_ridge_and_raised_breaks_the_ceiling():
    def ridge(east_m, north_m):
        return worlds.GROUND_M + 150.0 * np.exp(-(((east_m - 400.0) / 80.0) ** 2))

    ground = worlds.terrain(ridge)
    low = judged(link_loss=FIXED, ground=ground, far_m=900.0)
    stop = finding(low, "link-loss-too-low")
    assert stop.mark is Mark.STOP
    assert stop.from_m > 400.0
    high = judged(link_loss=attrs.evolve(FIXED, height=AboveLaunch(180.0)), ground=ground, far_m=900.0)
    # At 87 kt, as nobody said how fast, it would meet the ridge's foot while it waits: something to do.
    assert finding(high, "link-loss-too-low").mark is Mark.ACT
    assert finding(high, "link-loss-above-ceiling").mark is Mark.STOP


def test_a_return_without_a_height_is_not_known():
    assessment = judged(link_loss=attrs.evolve(FIXED, height=None))
    one = finding(assessment, "link-loss-not-known")
    assert (one.mark, "height of its return is not said" in one.message) == (Mark.UNKNOWN, True)
