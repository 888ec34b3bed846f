"""Who flies in cloud over most of the sky, or above it, is seen by nobody, whatever law names a distance.

A recreational flight is kept in sight by 49 USC 44809(a)(3), one under Part 107 by 14 CFR 107.31 (standing
A); 44809 names no distance from cloud (A). That a typed base is a stop there and a reported one, which may
be another over the place, leaves it open, is the project's own rule, as for visibility.
"""

import math

import attrs
import pytest

from planner.flight.reported import Reported
from planner.flight.weather_now import TYPED
from planner.rules.finding import Basis, Mark
from planner.rules.weather import cloud
from planner.rules.weather_reports import cloud_against_report, cloud_not_measured
from tests.rules.hand_made import judged
from tests.rules.test_weather_by_hand import FUN, GROUND_M, LAW, METAR, base, case, heights, one_of
from tests.worlds import area, box, plan, points

WAIVES_CLOUD, WAIVES_SIGHT = ("14 CFR 107.51(d)",), ("14 CFR 107.31",)


@pytest.mark.parametrize(
    ("purpose", "below", "source", "mark"),
    [
        (FUN, -0.1, TYPED, Mark.ACT),
        (FUN, 0.0, TYPED, Mark.STOP),
        (FUN, 0.1, TYPED, Mark.STOP),
        (FUN, 0.1, METAR, Mark.UNKNOWN),
        (LAW, -0.1, METAR, Mark.STOP),
        (LAW, 0.1, TYPED, Mark.STOP),
        (LAW, 0.1, METAR, Mark.STOP),
    ],
)
def test_at_the_base_and_above_nobody_sees_it(purpose, below, source, mark):
    over = case(purpose, clouds=(base(60.0, source=source),), planned_m=heights(20.0, s4=60.0 + below))
    found = one_of(cloud, over)
    assert (found.rule, found.mark) == ("cloud-too-near", mark)
    inside = below >= 0.0
    assert found.title == ("In cloud or above it" if inside else "Less than 500 ft below cloud")
    assert ("nobody sees it" in found.message) is inside
    assert ("Guidance asks for that" in found.message) is (purpose is FUN and not inside)
    if purpose is FUN:
        assert (found.basis is Basis.LAW) is inside
        assert ("44809(a)(3)" in found.citation) is inside


def test_by_how_much_it_is_in_it():
    """30 m over the base are 98.4 ft, rounded up."""
    found = one_of(cloud, case(FUN, clouds=(base(30.0, source=TYPED),), planned_m=heights(20.0, s6=60.0)))
    base_ft = (GROUND_M + 30.0) / 0.3048
    assert f"it is 99 ft above the base of cloud at {base_ft:,.0f} ft above the sea" in found.message


@pytest.mark.parametrize(
    ("purpose", "below_m", "may_be"), [(FUN, 2.9, True), (LAW, 2.9, True), (FUN, 3.1, False)]
)
def test_closer_under_it_than_the_height_is_known_it_may_be_in_it(purpose, below_m, may_be, monkeypatch):
    """3 m of doubt are 9.8 ft, rounded up; 2.9 m of room 9.5, rounded down."""
    monkeypatch.setattr("planner.rules.weather.vertical_doubt_m", lambda _plan, _mapped: 3.0)
    under = case(purpose, clouds=(base(60.0 + below_m),), planned_m=heights(20.0, s4=60.0))
    words = one_of(cloud, under).message
    assert ("It may be in it: 10 ft are uncertainty of the terrain" in words) is may_be
    assert ("it is 9 ft under cloud" in words) is may_be
    thin = case(purpose, clouds=(base(60.0 + below_m, covers=False),), planned_m=heights(20.0, s4=60.0))
    assert "may be in it" not in one_of(cloud, thin).message


@pytest.mark.parametrize("purpose", [FUN, LAW])
def test_beside_cloud_over_a_part_of_the_sky_it_may_be_seen(purpose):
    over = case(purpose, clouds=(base(30.0, covers=False),), planned_m=heights(60.0))
    found = one_of(cloud, over)
    assert found.mark is Mark.ACT
    assert "nobody" not in found.message
    assert "Beside that cloud 2,000 ft are enough." in found.message


def test_how_much_a_station_can_not_tell_leaves_it_open():
    told = attrs.evolve(base(30.0), untold_share=True)
    assert one_of(cloud, case(FUN, clouds=(told,), planned_m=heights(60.0))).mark is Mark.UNKNOWN
    assert one_of(cloud, case(FUN, clouds=(told,), planned_m=heights(20.0))).mark is Mark.ACT


def test_a_waiver_of_the_distance_is_none_of_sight():
    given = {"clouds": (base(30.0, source=TYPED),), "planned_m": heights(60.0)}
    found = one_of(cloud, case(LAW, waivers=WAIVES_CLOUD, **given))
    assert (found.mark, found.basis) == (Mark.STOP, Basis.LAW)
    assert "107.31" in found.citation
    assert one_of(cloud, case(LAW, waivers=WAIVES_CLOUD + WAIVES_SIGHT, **given)) is None


def test_the_top_of_an_area_in_cloud():
    free = judged(plan(path=(), area=area(box(-50, -50, 50, 50), points([(0, 0, 60.0)])[0].height)))
    for base_m, mark in ((59.0, Mark.STOP), (61.0, Mark.ACT)):
        assert one_of(cloud, case(FUN, base=free, clouds=(base(base_m, source=TYPED),))).mark is mark


@pytest.mark.parametrize(
    ("planned_m", "mark"),
    [(69.0, Mark.ACT), (70.0, Mark.UNKNOWN), (71.0, Mark.UNKNOWN), (math.nan, Mark.ACT)],
)
def test_a_report_of_cloud_about_the_flight_is_not_outvoted_by_a_typed_base(planned_m, mark):
    given = {"clouds": (base(900.0, source=TYPED),), "planned_m": heights(planned_m)}
    found = one_of(cloud_against_report, case(FUN, reported=Reported(clouds=(base(70.0),)), **given))
    assert found.mark is mark
    assert ("nobody sees it there" in found.message) is (mark is Mark.UNKNOWN)
    unplaced = Reported(unplaced_ceiling_m=70.0, unplaced_source=METAR)
    assert one_of(cloud_against_report, case(FUN, reported=unplaced, **given)).mark is mark


@pytest.mark.parametrize(
    ("purpose", "source", "typed", "waivers", "mark"),
    [
        (LAW, METAR, (), (), Mark.UNKNOWN),
        # It may lie as low as the ground, and then nobody sees what flies in it.
        (FUN, METAR, (), (), Mark.UNKNOWN),
        (FUN, "", (), (), None),
        (FUN, METAR, (base(60.0, source=TYPED),), (), None),
        (FUN, METAR, (base(60.0, source=TYPED), base(90.0)), (), None),
        (FUN, METAR, (base(90.0), base(60.0, source=TYPED)), (), None),
        (FUN, METAR, (base(90.0),), (), Mark.UNKNOWN),
        (LAW, METAR, (), WAIVES_CLOUD, None),
    ],
)
def test_a_covered_sky_of_which_nobody_measured_the_base(purpose, source, typed, waivers, mark):
    given = case(purpose, waivers, reported=Reported(covered_source=source), clouds=typed)
    found = one_of(cloud_not_measured, given)
    assert (found and found.mark) is mark
    assert not list(cloud_not_measured(attrs.evolve(given, weather=None)))
