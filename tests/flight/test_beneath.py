"""Fall zone and what lies beneath, against figures worked by hand."""

import numpy as np
import pytest
import shapely

from planner.flight.below import GRAVEST_FIRST, Below
from planner.flight.beneath import NOTHING, UNKNOWN, beneath_of
from planner.flight.every_wind import InWinds
from planner.flight.fall_zone import fall_zone
from planner.flight.wind import CALM, Wind
from planner.plan.aircraft import Aircraft
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Plan
from planner.plan.performance import Performance
from planner.plan.weather import TypedWind, WindLaw
from planner.world.sites import GroundFeature, GroundKind
from tests.flight.scenes import flown, level, points, track_over
from tests.worlds import GROUND_M, at, level_terrain, terrain

HEIGHT_M = 60.0


def scene(wind=CALM, terminal_mps=None, speed_mps=20.0, grown_m=0.5):
    path = points(
        (0, 0, level(GROUND_M + HEIGHT_M)), (800, 0, level(GROUND_M + HEIGHT_M)), speed_mps=speed_mps
    )
    track, _ = track_over(level_terrain(), path)
    return track, fall_zone(track, InWinds((flown(track, path, wind),), (wind,)), terminal_mps, grown_m)


def line(*corners):
    return shapely.LineString([(at(*c).lon_deg, at(*c).lat_deg) for c in corners])


def patch(west, south, east, north):
    corners = ((west, south), (east, south), (east, north), (west, north))
    return shapely.Polygon([(at(*c).lon_deg, at(*c).lat_deg) for c in corners])


def under(*features, plan=None, height_m=HEIGHT_M, speed_mps=20.0, stops=((0, 0), (800, 0)), ground=None):
    path = points(*((*stop, level(GROUND_M + height_m)) for stop in stops), speed_mps=speed_mps)
    track, _ = track_over(ground or level_terrain(), path)
    return track, beneath_of(plan or Plan(), features, track, InWinds((flown(track, path),), ()))


def told(answer):
    return [(answer.things[one.thing].name, one.overhead) for one in answer.crossings]


def test_ballistic_reach_ahead():
    """60 m up at 20 m/s: 69.96 m (computed, check values 8.2), more than the 1:1 rule's 60."""
    _, zone = scene()
    assert zone.reach_m == pytest.approx(69.96, abs=0.01)
    assert zone.separation_m == pytest.approx(69.96, abs=0.01)
    assert not zone.one_to_one_enough.any()
    west, south, east, north = zone.polygon.bounds
    assert east == pytest.approx(800 + 69.96 + 0.5, abs=0.1)
    assert west == pytest.approx(-0.5, abs=0.1)
    assert (south, north) == (pytest.approx(-0.5, abs=0.1), pytest.approx(0.5, abs=0.1))


def test_what_fails_in_a_climb_rises_first_and_comes_farther():
    """By hand: 100 m ahead and 75 m up at 20 m/s are 16 m/s ahead and 12 m/s up; from 60 m it falls for
    (12 + sqrt(144 + 2 g 60)) / g = 4.928 s, where a level one falls for 3.498 s; sinking helps nobody.
    """
    level_s, climbing_s = np.sqrt(2 * 60 / 9.80665), (12 + np.sqrt(144 + 2 * 9.80665 * 60)) / 9.80665
    assert (level_s, climbing_s) == (pytest.approx(3.498, abs=0.001), pytest.approx(4.930, abs=0.005))
    up = points((0, 0, level(GROUND_M + 60)), (100, 0, level(GROUND_M + 135)), speed_mps=20.0)
    down = points((0, 0, level(GROUND_M + 60)), (100, 0, level(GROUND_M - 15 + 1)), speed_mps=20.0)
    for path, time_s, ahead_mps in ((up, climbing_s, 16.0), (down, level_s, 20 * 100 / np.hypot(100, 74))):
        track, _ = track_over(level_terrain(), path)
        zone = fall_zone(track, InWinds((flown(track, path, CALM),), (CALM,)), None, 0.5)
        assert zone.reach_m[0] == pytest.approx(ahead_mps * time_s, rel=1e-3)


def test_a_slow_aircraft_falls_within_its_height():
    _, zone = scene(speed_mps=17.0)
    assert zone.one_to_one_enough.all()
    assert zone.separation_m == pytest.approx(HEIGHT_M)


def test_wind_carries_what_falls_slowly():
    """60 m at 15 m/s of terminal speed: 15 / g arcosh exp(60 g / 225) s; 21.5 m/s from aside / 8 g more.

    A gust of 8 m/s carries it so long toward where it blows; thrown ahead with 20 m/s it comes farther.
    """
    wind = Wind.typed(TypedWind(5.0, 180.0, 8.0, law=WindLaw.NONE))
    _, zone = scene(wind, terminal_mps=15.0)
    took_s = (15.0 * np.arccosh(np.exp(60 * 9.80665 / 225)) + np.hypot(20.0, 8.0) / 8) / 9.80665
    assert zone.polygon.bounds[3] == pytest.approx(8.0 * took_s + 0.5, abs=0.1)
    ahead_m, longer_s = 20.0 * np.sqrt(120 / 9.80665), took_s - np.sqrt(120 / 9.80665)
    assert zone.drift_m == pytest.approx(np.hypot(ahead_m, 8.0 * longer_s))
    assert zone.polygon.bounds[1] == pytest.approx(-0.5, abs=0.1)
    far = Wind.typed(TypedWind(18.0, 180.0, law=WindLaw.NONE))
    assert not scene(far, terminal_mps=15.0, speed_mps=5.0)[1].one_to_one_enough.any()


def test_the_zone_holds_every_place_of_impact():
    """Brute force: each sample's own places, tested one by one."""
    wind = Wind.typed(TypedWind(6.0, 75.0, 9.0))
    path = points(
        (0, 0, level(GROUND_M + 30)), (500, 300, level(GROUND_M + 90)), (200, 900, level(GROUND_M + 45))
    )
    track, _ = track_over(level_terrain(), path)
    motion = flown(track, path, wind)
    zone = fall_zone(track, InWinds((motion,), (wind,)), 14.0, 0.5)
    toward = wind.toward()
    for k in range(len(track)):
        # Thrown by the wind's gust at 14 m/s of terminal speed; those held up by air from aside go farther.
        height_m = zone.height_m[k]
        gust_mps = wind.at(height_m, wind.gust_mps)
        drift = gust_mps * 14.0 / 9.80665 * np.arccosh(np.exp(height_m * 9.80665 / 14.0**2))
        assert zone.polygon.covers(shapely.Point(track.x_m[k], track.y_m[k]))
        assert zone.polygon.covers(
            shapely.Point(track.x_m[k] + toward[0] * drift, track.y_m[k] + toward[1] * drift)
        )
        leg = track.leg[k]
        ends = track.point_sample[leg : leg + 2]
        way = np.array([np.diff(track.x_m[ends])[0], np.diff(track.y_m[ends])[0]])
        ahead = way / np.hypot(*way) * zone.reach_m[k]
        assert zone.polygon.buffer(0.01).covers(
            shapely.Point(track.x_m[k] + ahead[0], track.y_m[k] + ahead[1])
        )


def test_a_road_across_the_path():
    """At 400 m, at 45 degrees, 10 m wide by assumption: 7.07 m along the path to either side, by hand."""
    road = GroundFeature(GroundKind.ROAD, "coast road", line((300, -100), (500, 100)))
    _, answer = under(road)
    (crossing,) = answer.crossings
    assert crossing.overhead
    assert crossing.from_m == pytest.approx(400.0 - 5 * 2**0.5, abs=0.05)
    assert crossing.to_m == pytest.approx(400.0 + 5 * 2**0.5, abs=0.05)
    assert crossing.angle_deg == pytest.approx(45.0, abs=0.05)


def test_a_gathering_under_the_path_and_one_ahead_of_it():
    """The fall ahead of the end is 69.96 m (check values 8.2): 50 m ahead is reached, 80 m is not."""
    market = GroundFeature(GroundKind.GATHERING, "market", patch(200, -30, 260, 30))
    ahead = GroundFeature(GroundKind.GATHERING, "beach", patch(850, -30, 900, 30))
    beyond = GroundFeature(GroundKind.GATHERING, "hill", patch(880, -30, 900, 30))
    track, answer = under(ahead, market, beyond)
    assert told(answer) == [("market", True), ("beach", False)]
    first, second = answer.crossings
    assert (first.from_m, first.to_m) == (pytest.approx(200, abs=0.05), pytest.approx(260, abs=0.05))
    # From 850 - 69.96 on it falls there; samples lie on raster lines, so the step before counts, too.
    assert 740.0 <= second.from_m <= 780.1
    assert second.to_m == pytest.approx(800.0)
    over = [GRAVEST_FIRST[k] if k >= 0 else k for k in answer.over.tolist()]
    assert set(over) == {Below.GATHERING_PLACE, NOTHING}
    inside = (track.distance_m > 200) & (track.distance_m < 260)
    assert all(kind is Below.GATHERING_PLACE for kind, here in zip(over, inside, strict=True) if here)
    assert over[0] == over[-1] == NOTHING
    assert GRAVEST_FIRST[answer.falls_on[-1]] is Below.GATHERING_PLACE


def test_a_trail_crossed_on_two_legs_is_two_crossings():
    trail = GroundFeature(GroundKind.TRAIL, "trail", line((300, -50), (300, 250)))
    _, answer = under(trail, height_m=30.0, stops=((0, 0), (600, 0), (600, 200), (0, 200)))
    middles = [(one.from_m + one.to_m) / 2 for one in answer.crossings]
    assert middles == pytest.approx([300.0, 600 + 200 + 300.0], abs=0.1)


def test_a_crossing_goes_on_over_a_corner_of_the_path():
    """By hand: 400 m corner inside a patch from 350 m to 30 m beyond the corner: one crossing of 80 m."""
    field = GroundFeature(GroundKind.GATHERING, "field", patch(350, -20, 450, 30))
    _, answer = under(field, stops=((0, 0), (400, 0), (400, 300)))
    (crossing,) = [one for one in answer.crossings if one.overhead]
    assert (crossing.from_m, crossing.to_m) == (pytest.approx(350, abs=0.1), pytest.approx(430, abs=0.1))


def test_nothing_beneath():
    _, answer = under()
    assert answer.crossings == ()
    assert set(answer.over.tolist()) == set(answer.falls_on.tolist()) == {NOTHING}
    _, answer = under(GroundFeature(GroundKind.WATER, "", patch(0, 300, 800, 350)))
    assert answer.crossings == ()


def item(kind, drawn_as, *offsets, **changes):
    return BeneathItem(kind, drawn_as, tuple(at(*offset) for offset in offsets), **changes)


def test_what_is_drawn_stands_for_what_a_chart_shows_under_that_name():
    road = GroundFeature(GroundKind.ROAD, "Coast road", line((300, -100), (300, 100)))
    drawn = item(BeneathKind.ROAD, DrawnAs.LINE, (300, -100), (300, 100), name="coast ROAD",
                 moving_vehicles=False)  # fmt: skip
    _, answer = under(road, plan=Plan(beneath=(drawn,)))
    assert [thing.below for thing in answer.things] == [Below.QUIET_ROAD]


@pytest.mark.parametrize(
    ("kind", "changes", "below"),
    [
        (BeneathKind.ROAD, {}, Below.ROAD),
        (BeneathKind.ROAD, {"moving_vehicles": True}, Below.VEHICLES),
        (BeneathKind.SUBJECT, {}, Below.SUBJECT),
        (BeneathKind.SUBJECT, {"under_cover": True}, Below.UNDER_COVER),
        (BeneathKind.PEOPLE, {"under_cover": False}, Below.PEOPLE),
        (BeneathKind.CREW, {}, Below.CREW),
        (BeneathKind.SPECTATOR_LINE, {}, Below.SPECTATORS),
    ],
)
def test_who_is_who(kind, changes, below):
    _, answer = under(plan=Plan(beneath=(item(kind, DrawnAs.LINE, (300, -9), (300, 9), **changes),)))
    assert [thing.below for thing in answer.things] == [below]
    assert GRAVEST_FIRST[answer.over.max()] is below


def test_crew_and_spectators_stand_where_the_plan_puts_them():
    crew = (
        CrewMember("pilot", Role.REMOTE_PILOT, place=at(100, 50)),
        CrewMember("guest", Role.SPECTATOR, place=at(300, 50)),
        CrewMember("nowhere", Role.SPECTATOR),
    )
    _, answer = under(plan=Plan(crew=crew))
    assert [(thing.name, thing.below) for thing in answer.things] == [
        ("pilot", Below.CREW),
        ("guest", Below.PEOPLE),
    ]
    # 50 m aside, less the 2 m of a spot.
    assert answer.apart_m[1].min() == pytest.approx(48.0, abs=0.05)
    assert 0 not in answer.apart_m


def test_where_the_ground_is_not_known_nobody_says_where_it_falls():
    ground = terrain(lambda east_m, _n: np.where(east_m > 400, np.nan, GROUND_M))
    track, answer = under(ground=ground)
    dark = np.isnan(track.ground_amsl_m)
    assert dark.any()
    assert (answer.falls_on[dark] == UNKNOWN).all()
    assert (answer.falls_on[~dark] == NOTHING).all()


def test_the_gravest_counts():
    people = item(BeneathKind.PEOPLE, DrawnAs.SPOT, (400, 0))
    water = GroundFeature(GroundKind.WATER, "", patch(0, -300, 800, 300))
    track, answer = under(water, plan=Plan(beneath=(people,)))
    here = np.argsort(np.abs(track.distance_m - 400))[:1]
    assert {GRAVEST_FIRST[k] for k in answer.over[here]} == {Below.PEOPLE}
    assert GRAVEST_FIRST[answer.over[0]] is Below.WATER


def test_falls_on_against_brute_force():
    """Every step's hull against every thing, by shapely one by one; wind and drag included.

    Half of 0.4 m, and 7 m to which a place is known (check value 8.4).
    """
    wind = Wind.typed(TypedWind(6.0, 20.0, 9.0))
    path = points(
        (0, 0, level(GROUND_M + 30)), (500, 300, level(GROUND_M + 90)), (200, 900, level(GROUND_M + 45))
    )
    track, _ = track_over(level_terrain(), path)
    motion = flown(track, path, wind)
    rng = np.random.default_rng(5)
    spots = tuple(
        item(BeneathKind.PEOPLE, DrawnAs.SPOT, (float(x), float(y)), name=str(k))
        for k, (x, y) in enumerate(rng.uniform((-150, -150), (650, 1000), (150, 2)))
    )
    craft = Aircraft("INVENTED", 0.7, 0.4, performance=Performance(drag_area_m2=0.02))
    answer = beneath_of(Plan(aircraft=craft, beneath=spots), (), track, InWinds((motion,), (wind,)))
    expected = np.zeros(len(track), dtype=bool)
    for k in range(len(track) - 1):
        hull = shapely.MultiPoint(
            np.concatenate([answer.zone.places[k], answer.zone.coming[k + 1]])
        ).convex_hull.buffer(7.2)
        if any(hull.intersects(thing.shape) for thing in answer.things):
            expected[k : k + 2] = True
    assert 0.1 < expected.mean() < 0.9
    assert ((answer.falls_on >= 0) == expected).all()
