"""What is told of visibility, cloud and reports, where what is typed and what they say is put in by hand.

Law: 14 CFR 107.51(c), (d) (standing A): 3 statute miles, 500 ft below cloud. 49 USC 44809 names neither (A):
guidance there. That no worse report is outvoted by a typed figure is the project's own rule.
"""

import math

import attrs
import numpy as np
import pytest

from planner.flight.reported import Cloud, Reported, Visibility
from planner.flight.reports import Reading
from planner.flight.weather_now import TYPED, WeatherNow, Where
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Basis, Mark
from planner.rules.flight_words import fine_miles
from planner.rules.sight_against_report import sight_against_report
from planner.rules.stretches import place_at
from planner.rules.weather import cloud, reports, station_words, visibility
from planner.rules.weather_reports import cloud_against_report, visibility_against_report
from planner.saying import told
from planner.units import STATUTE_MILE_M
from tests.rules.hand_made import complete, judged
from tests.worlds import area, box, ft, plan, points, record

CASE = complete()
TRACK = CASE.track
LAW, FUN = Purpose.PART_107, Purpose.RECREATIONAL
MILE = STATUTE_MILE_M
METAR = "METAR of XX01"


def case(purpose=LAW, waivers=(), base=CASE, planned_m=None, **weather):
    records = tuple(record(text, None, PermissionKind.WAIVER) for text in waivers)
    flight = attrs.evolve(base.plan, purpose=purpose, permissions=records)
    base = attrs.evolve(base, plan=flight, weather=WeatherNow(**weather))
    if planned_m is not None:
        heights = TRACK.ground_amsl_m + planned_m
        base = attrs.evolve(base, track=attrs.evolve(TRACK, planned_amsl_m=heights))
    return base


def one_of(rule, given):
    found = list(rule(given))
    assert len(found) <= 1
    return found[0] if found else None


RULES = (visibility, cloud, reports, visibility_against_report, sight_against_report, cloud_against_report)


@pytest.mark.parametrize("rule", RULES)
def test_without_any_weather_nothing_is_told(rule):
    assert not list(rule(attrs.evolve(CASE, weather=None)))
    assert not list(rule(case()))


# ---- visibility


def seeing(m, source=METAR, less_than=False, at_least=False):
    return Visibility(m, less_than, source, at_least)


@pytest.mark.parametrize(
    ("miles", "words"),
    [
        (1.0, "1 statute mile"),
        (2.0, "2 statute miles"),
        (0.5, "0.5 statute miles"),
        (2.996, "2.99 statute miles"),  # rounded down: it is held against a limit
    ],
)
def test_a_visibility_in_statute_miles(miles, words):
    assert fine_miles(miles * MILE) == words


def test_less_than_three_miles_is_a_stop_by_law_and_something_to_do_by_guidance():
    stop = one_of(visibility, case(visibility=seeing(2.996 * MILE)))
    assert (stop.rule, stop.mark, stop.basis) == ("visibility-too-low", Mark.STOP, Basis.LAW)
    assert (
        stop.message
        == f"Visibility is 2.99 statute miles ({METAR}); 3.0 statute miles are the least under Part 107."
    )
    assert stop.numbers == {"visibility_m": 2.996 * MILE}
    assert "waiver" in stop.remedy
    for purpose in (FUN, None):
        act = one_of(visibility, case(purpose, visibility=seeing(2.996 * MILE)))
        assert (act.rule, act.mark, act.basis) == ("visibility-below-guidance", Mark.ACT, Basis.SAFETY)
        assert act.message.endswith(
            "3.0 statute miles are what guidance asks for; the statute names no figure."
        )
        assert act.citation != stop.citation
        assert act.remedy == "wait for better visibility"
    assert one_of(visibility, case(visibility=seeing(3 * MILE))) is None
    bound = one_of(visibility, case(visibility=seeing(3 * MILE, less_than=True)))
    assert bound.message.startswith("Visibility is less than 3 statute miles (")


def test_what_is_typed_under_part_107_or_waived_is_told_elsewhere():
    low = seeing(1 * MILE, TYPED)
    assert one_of(visibility, case(visibility=low)) is None
    assert one_of(visibility, case(FUN, visibility=low)).mark is Mark.ACT
    waived = ("14 CFR 107.51(c)",)
    assert one_of(visibility, case(waivers=waived, visibility=seeing(1 * MILE))) is None
    assert one_of(visibility, case(FUN, waived, visibility=seeing(1 * MILE))).mark is Mark.ACT
    assert one_of(visibility, case(waivers=("14 CFR 107.51(d)",), visibility=seeing(1 * MILE)))


@pytest.mark.parametrize(
    ("used", "said", "tells"),
    [
        (seeing(10 * MILE, TYPED), seeing(2 * MILE), True),
        (seeing(10 * MILE, TYPED), seeing(3 * MILE), False),
        (seeing(10 * MILE, TYPED), seeing(3 * MILE, less_than=True), True),
        # Too little that is typed is a stop anyway; what is not typed is judged itself.
        (seeing(2 * MILE, TYPED), seeing(1 * MILE), False),
        (seeing(10 * MILE), seeing(2 * MILE), False),
        (None, seeing(2 * MILE), False),
        (seeing(10 * MILE, TYPED), None, False),
    ],
)
def test_a_report_below_three_miles_is_not_outvoted(used, said, tells):
    given = {"visibility": used, "reported": Reported(visibility=said)}
    found = one_of(visibility_against_report, case(**given))
    assert (found is not None) is tells
    if found:
        assert (found.rule, found.mark, found.basis) == ("visibility-against-report", Mark.UNKNOWN, Basis.LAW)
        less = "less than " if said.less_than else ""
        assert found.message.startswith(
            f"{METAR} says {less}{said.m / MILE:g} statute miles, the plan counts on 10.0 statute miles; 3.0 "
        )
        act = one_of(visibility_against_report, case(FUN, **given))
        assert (act.mark, act.basis) == (Mark.ACT, Basis.SAFETY)
        assert found.message.endswith("3.0 statute miles are the least under Part 107.")
        assert act.message.endswith("3.0 statute miles are what guidance asks for.")
        assert one_of(visibility_against_report, case(waivers=("14 CFR 107.51(c)",), **given)) is None
        assert one_of(visibility_against_report, case(waivers=("14 CFR 107.51(d)",), **given))


@pytest.mark.parametrize(
    ("used", "said", "tells"),
    [
        (seeing(10_000.0, TYPED), seeing(9_800.0), True),
        # Reports are rounded: less than a hundredth apart is the same (own choice).
        (seeing(10_000.0, TYPED), seeing(9_901.0), False),
        (seeing(10_000.0, TYPED), seeing(9_899.0), True),
        (seeing(10_000.0, TYPED), seeing(9_800.0, at_least=True), False),
        (seeing(10_000.0), seeing(9_800.0), False),
        (None, seeing(9_800.0), False),
        (seeing(10_000.0, TYPED), None, False),
    ],
)
def test_less_than_sight_is_reckoned_with_is_something_to_do(used, said, tells):
    found = one_of(sight_against_report, case(visibility=used, reported=Reported(visibility=said)))
    assert (found is not None) is tells
    if found:
        assert (found.rule, found.mark) == ("sight-against-report", Mark.ACT)
        assert "with the plan's 6.21 statute miles." in found.message
    bound = Reported(visibility=seeing(5 * MILE, less_than=True))
    less = one_of(sight_against_report, case(visibility=seeing(10 * MILE, TYPED), reported=bound))
    assert less.message.startswith(f"{METAR} says less than 5 statute miles. How far")


# ---- cloud


GROUND_M = float(TRACK.ground_amsl_m[0])


def base(agl_m, covers=True, source=METAR):
    return Cloud(GROUND_M + agl_m, covers, source, above_station_m=agl_m)


def heights(rest, **at):
    made = np.full(len(TRACK), float(rest))
    for sample, value in at.items():
        made[int(sample[1:])] = value
    return made


@pytest.mark.parametrize(
    ("planned_m", "tells"),
    [
        (heights(50.0), False),
        # 500 ft below a base at 252.4 m are 100 m above the ground.
        (heights(50.0, s4=99.9), False),
        (heights(50.0, s4=100.1), True),
        (heights(50.0, s4=math.nan), False),
        (heights(50.0, s4=math.nan, s6=100.1), True),
        (heights(math.nan), False),
    ],
)
def test_closer_than_500_ft_below_cloud_is_told_at_the_highest(planned_m, tells):
    found = one_of(cloud, case(clouds=(base(252.4),), planned_m=planned_m))
    assert (found is not None) is tells


def test_where_by_how_much_and_under_what_cloud():
    given = {"planned_m": heights(50.0, s4=103.0, s6=110.0, s9=105.0)}
    stop = one_of(cloud, case(clouds=(base(252.4), base(200.0)), **given))
    assert (stop.rule, stop.mark, stop.basis) == ("cloud-too-near", Mark.STOP, Basis.LAW)
    at_m = float(TRACK.distance_m[6])
    # 152.4 m less 10 m are 467.2 ft.
    assert stop.message.startswith(f"At {at_m:.0f} m it is 467 ft under cloud at ")
    assert (
        f"{(GROUND_M + 252.4) / ft(1):,.0f} ft above the sea ({METAR}). 500 ft below it are asked for."
        in stop.message
    )
    assert (stop.from_m, stop.to_m) == (at_m, at_m)
    there = place_at(TRACK, 6)
    assert (stop.place.lon_deg, stop.place.lat_deg) == (
        pytest.approx(there.lon_deg, abs=1e-7), pytest.approx(there.lat_deg, abs=1e-7)
    )  # fmt: skip
    assert stop.numbers["over_m"] == pytest.approx(10.0, abs=0.01)
    assert stop.numbers["cloud_base_amsl_m"] == pytest.approx(GROUND_M + 252.4)
    act = one_of(cloud, case(FUN, clouds=(base(252.4),), **given))
    assert (act.mark, act.basis) == (Mark.ACT, Basis.SAFETY)
    assert act.message.endswith("Guidance asks for that; the statute names no figure.")
    assert one_of(cloud, case(waivers=("14 CFR 107.51(d)",), clouds=(base(252.4),), **given)) is None
    assert one_of(cloud, case(waivers=("14 CFR 107.51(c)",), clouds=(base(252.4),), **given))


def test_beside_a_cloud_that_covers_less_it_is_something_to_do_and_each_kind_is_told():
    given = {"planned_m": heights(50.0, s6=110.0)}
    few = one_of(cloud, case(clouds=(base(252.4, covers=False),), **given))
    assert few.mark is Mark.ACT
    assert few.basis is Basis.LAW
    assert few.message.endswith("Beside that cloud 2,000 ft are enough.")
    most, some = cloud(case(clouds=(base(200.0, covers=False), base(252.4)), **given))
    assert [most.mark, some.mark] == [Mark.STOP, Mark.ACT]
    assert "enough" not in most.message


def test_of_an_area_its_top_is_held_against_the_cloud():
    free = judged(plan(path=(), area=area(box(-50, -50, 50, 50), points([(0, 0, 110.0)])[0].height)))
    stop = one_of(cloud, case(base=free, clouds=(base(252.4),)))
    assert stop.mark is Mark.STOP
    assert (stop.from_m, stop.to_m) == (None, None)
    assert " it is 467 ft under cloud" in stop.message
    assert one_of(cloud, case(base=free, clouds=(base(263.0),))) is None


NEAR = Reported(unplaced_ceiling_m=252.4, unplaced_source=METAR)


@pytest.mark.parametrize(
    ("planned_m", "tells", "up_to"),
    [
        (heights(50.0, s4=99.9), False, ""),
        # 100.1 m are 328.4 ft.
        (heights(50.0, s4=100.1), True, "328 ft"),
        (heights(50.0, s4=math.nan), True, "an unknown height"),
    ],
)
def test_cloud_over_a_station_of_unknown_height_counts_from_the_ground(planned_m, tells, up_to):
    seen = {"reported": NEAR, "clouds": (base(900.0, source=TYPED),)}
    found = one_of(cloud_against_report, case(planned_m=planned_m, **seen))
    assert (found is not None) is tells
    if found:
        assert (found.rule, found.mark) == ("cloud-of-unknown-height", Mark.UNKNOWN)
        # 252.4 m are 828.1 ft.
        assert f"{METAR} says cloud over most of the sky at 828 ft above its station" in found.message
        assert f"The flight goes up to {up_to} above the ground, " in found.message
        assert (
            found.remedy == "enter place and height of the station, type the base that you see, or fly lower"
        )
        waived = case(waivers=("14 CFR 107.51(d)",), planned_m=planned_m, **seen)
        assert one_of(cloud_against_report, waived) is None


@pytest.mark.parametrize("kind", ["unplaced_ceiling_m", "unplaced_part_m"])
def test_where_no_base_is_typed_the_station_may_be_the_lowest_there_is(kind):
    """100 m below the sea (own choice; the lowest land is at -86 m, from memory), 152.4 m below cloud."""
    need_m = GROUND_M + 60.0 + 152.4 + 100.0
    for base_m, tells in ((need_m - 0.1, True), (need_m + 0.1, False)):
        told = Reported(**{kind: base_m}, unplaced_source=METAR)
        found = one_of(cloud_against_report, case(reported=told, planned_m=heights(60.0)))
        assert (found is not None) is tells


@pytest.mark.parametrize(
    ("said", "typed", "planned_m", "tells"),
    [
        (base(252.4), base(900.0, source=TYPED), heights(50.0, s4=100.1), True),
        (base(252.4), base(900.0, source=TYPED), heights(50.0, s4=99.9), False),
        (base(252.4), base(900.0, source=TYPED), heights(50.0, s4=math.nan), True),
        (base(252.4, covers=False), base(900.0, source=TYPED), heights(110.0), False),
        # Where nothing is typed the report itself counts, and a base that is typed lower decides by itself.
        (base(252.4), base(252.4), heights(110.0), False),
        (base(252.4), base(16.0, source=TYPED), heights(110.0), False),
    ],
)
def test_reported_cloud_is_not_outvoted_by_a_higher_typed_one(said, typed, planned_m, tells):
    given = {"clouds": (base(1_000.0), typed), "reported": Reported(clouds=(said,)), "planned_m": planned_m}
    found = one_of(cloud_against_report, case(**given))
    assert (found is not None) is tells
    if found:
        assert (found.rule, found.mark) == ("cloud-against-report", Mark.UNKNOWN)
        assert "at 828 ft above its station, " in found.message
        assert (
            f"{(GROUND_M + 252.4) / ft(1):,.0f} ft above the sea: less than 500 ft over the flight"
            in found.message
        )
        assert f"Typed is {(GROUND_M + 900.0) / ft(1):,.0f} ft above the sea." in found.message
        assert one_of(cloud_against_report, case(FUN, **given)).mark is Mark.ACT


def test_nothing_flown_is_of_unknown_height():
    """The lowest that covers most of the sky is held against it, too."""
    nothing = attrs.evolve(CASE, track=None)
    both = Reported(
        unplaced_ceiling_m=9_000.0, unplaced_source=METAR, clouds=(base(900.0, covers=False), base(9_000.0))
    )
    typed = (base(9_500.0, source=TYPED),)
    found = list(cloud_against_report(case(base=nothing, reported=both, clouds=typed)))
    assert [one.rule for one in found] == ["cloud-of-unknown-height", "cloud-against-report"]


# ---- the reports themselves


@pytest.mark.parametrize(
    ("given", "mark", "title", "words"),
    [
        ({}, Mark.NOTE, "METAR as issued", "XX01 ... Where"),
        (
            {"why_unused": "too old"},
            Mark.ACT,
            "METAR does not count",
            "Nothing of it is used: too old. Where",
        ),
        ({"not_read": ("A", "B")}, Mark.ACT, "METAR counts only in part", "Not read: A, B. Where"),
        (
            {"left_out": "Cloud is not used"},
            Mark.ACT,
            "METAR counts only in part",
            "Cloud is not used. Where",
        ),
        ({"beside": "Remark says rain"}, Mark.NOTE, "METAR as issued", "Remark says rain. Where"),
        (
            {"why_unused": "too old", "beside": "Remark"},
            Mark.ACT,
            "METAR does not count",
            "XX01 ... Nothing of it is used: too old. Where",
        ),
    ],
)
def test_reports_are_told_as_issued_and_what_of_them_does_not_count(given, mark, title, words):
    reading = Reading("METAR", "XX01  \n ...", station="XX01", **given)
    found = one_of(reports, case(readings=(reading,)))
    assert (found.rule, found.mark, found.title) == ("weather-report", mark, title)
    assert found.message.startswith("XX01 ...")
    assert words in found.message
    assert bool(found.remedy) is (mark is Mark.ACT)


@pytest.mark.parametrize(
    ("where", "words"),
    [
        (None, "Where its station is, is not known."),
        (Where(None, 30.0), "Where its station is, is not known."),
        # 30 m are 98.4 ft.
        (Where(2 * MILE, 30.0), "XX01 is 3.22 km away, 98 ft higher than the launch point."),
        (Where(2 * MILE, -30.0), "XX01 is 3.22 km away, 98 ft lower than the launch point."),
        (Where(2 * MILE, 0.0), "XX01 is 3.22 km away, 0 ft higher than the launch point."),
        (Where(0.0, None), "XX01 is 0 m away, its height is not known."),
    ],
)
def test_where_a_station_is(where, words):
    now = WeatherNow(stations={} if where is None else {"XX01": where})
    assert told(station_words(now, "XX01")) == words
