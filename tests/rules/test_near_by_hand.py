"""What lies near the path, where it is met by hand: edges, the numbers told and their words.

A statute mile is 1,609.344 m, a nautical mile 1,852 m (exact). That 5 statute miles are near, and circuits
are flown within 2 nautical miles, are own choices from common practice.
"""

import math
from datetime import timedelta

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.near_traffic import NearAerodrome
from planner.flight.runway import NearRunway
from planner.geo.geodesy import TrueBearing, distance_m
from planner.plan.model import Purpose
from planner.rules import near_traffic as rule
from planner.rules.finding import Mark
from planner.rules.near_activity import near_activity
from planner.rules.near_times import restrictions_near_in_time
from planner.rules.near_traffic import MetRunway, Traffic, near_traffic, traffic_of
from planner.saying import Units, said
from planner.world.airspace import AirspaceKind
from planner.world.sites import Aerodrome, AerodromeKind, GroundFeature, GroundKind
from tests.rules.hand_made import complete, judged
from tests.worlds import GROUND_M, HERE, START, above_ground, at, box, plan, volume, world

CASE = complete()
TRACK = CASE.track
ALONG_M = TRACK.distance_m
N = len(TRACK)
NEAR_M, CIRCUIT_M = 5 * 1_609.344, 2 * 1_852.0


# ---- routes and sites


def activity(outline, track=TRACK, purpose=Purpose.PART_107, **changes):
    given = {"kind": AirspaceKind.PARACHUTE, "outline": outline, "name": "DROP", **changes}
    charts = attrs.evolve(CASE.world, airspace=(volume(**given),))
    flight = attrs.evolve(CASE.plan, purpose=purpose)
    return list(near_activity(attrs.evolve(CASE, world=charts, track=track, plan=flight)))


@pytest.mark.parametrize(("away_m", "told"), [(NEAR_M - 5, True), (NEAR_M + 5, False)])
@pytest.mark.parametrize("side", [1, -1])
def test_an_activity_is_near_within_five_miles(away_m, told, side):
    edges = sorted((side * away_m, side * (away_m + 500)))
    found = activity(box(-300, edges[0], -200, edges[1]))
    assert bool(found) is told
    for one in found:
        assert (one.rule, one.mark, one.title) == ("activity-near", Mark.NOTE, "DROP: parachute jumping near")
        assert one.numbers["distance_m"] == pytest.approx(away_m, abs=2)


def test_where_from_and_in_which_direction():
    """From (500, 0) a corner at (800, 400) is 500 m away, toward 36.87 degrees."""
    (one,) = activity(box(800, 400, 900, 500))
    assert one.numbers["distance_m"] == pytest.approx(500.0, abs=0.5)
    assert one.numbers["toward_true_deg"] == pytest.approx(math.degrees(math.atan2(300, 400)), abs=0.3)
    assert (one.from_m, one.to_m) == (ALONG_M[-1], ALONG_M[-1])
    assert one.message.startswith("500 m away, 37 degrees true from 1,000 m along. People fall from the sky")
    # From (-500, 0) a corner at (-800, -400): 216.87 degrees; one in the northwest: 323.13.
    (one,) = activity(box(-900, -500, -800, -400))
    assert one.numbers["toward_true_deg"] == pytest.approx(216.87, abs=0.3)
    assert one.from_m == 0.0
    (one,) = activity(box(-900, 400, -800, 500))
    assert one.numbers["toward_true_deg"] == pytest.approx(323.13, abs=0.3)
    assert " 323 degrees true" in one.message


def test_the_nearest_place_of_a_way_that_leads_elsewhere():
    """Up the side of a square: the sample at the height of the site, not its mirror image."""
    upward = attrs.evolve(TRACK, x_m=np.zeros(N), y_m=TRACK.x_m)
    (one,) = activity(box(300, 190, 400, 210), upward)
    assert one.from_m == pytest.approx(ALONG_M[int(np.argmin(np.abs(TRACK.x_m - 200.0)))], abs=31)
    assert one.from_m > 600.0


def test_of_a_way_of_one_point_its_point_counts():
    single = attrs.evolve(
        TRACK,
        **{name: getattr(TRACK, name)[:1] for name in ("x_m", "y_m", "distance_m", "lon_deg", "lat_deg")},
    )
    (one,) = activity(box(-900, -10, -600, 10), single)
    assert one.numbers["distance_m"] == pytest.approx(100.0, abs=1)
    assert not activity(box(-900, -10, -600, 10), None)
    two = attrs.evolve(
        TRACK,
        **{
            name: getattr(TRACK, name)[[0, -1]] for name in ("x_m", "y_m", "distance_m", "lon_deg", "lat_deg")
        },
    )
    (one,) = activity(box(600, -10, 900, 10), two)
    assert one.numbers["distance_m"] == pytest.approx(100.0, abs=1)


# ---- restrictions in time


def restricted(begins, ends, kind=AirspaceKind.TEMPORARY):
    hour = timedelta(hours=1)
    one = volume(
        kind,
        top=above_ground(900.0),
        name="CLOSED",
        active_from_utc=None if begins is None else START + begins * hour,
        active_to_utc=None if ends is None else START + ends * hour,
    )
    return list(restrictions_near_in_time(judged(plan(), world(airspace=(one,)))))


@pytest.mark.parametrize(
    ("begins", "ends", "rule_name", "gap_s"),
    [
        # The window lasts from 0 to 1 h. One that only begins, or only ends, is told as well.
        (-5.0, -0.5, "restriction-just-over", 1_800.0),
        (None, -0.5, "restriction-just-over", 1_800.0),
        (1.5, None, "restriction-soon", 1_800.0),
        (1.5, 9.0, "restriction-soon", 1_800.0),
        (None, 0.5, None, 0.0),
        (0.5, None, None, 0.0),
    ],
)
def test_a_restriction_of_which_one_end_is_not_given(begins, ends, rule_name, gap_s):
    found = restricted(begins, ends)
    assert [one.rule for one in found] == ([rule_name] if rule_name else [])
    for one in found:
        assert one.numbers == {"gap_s": gap_s}
        assert "30 min" in one.message


# ---- aerodromes


@pytest.fixture(autouse=True)
def only_the_path(monkeypatch):
    """Figures put in by hand are those of the path; other ways are asked in test_near_traffic."""
    monkeypatch.setattr(rule, "flown_unheld", lambda _case: ())


FIELD = Aerodrome("XX01", "Field (INVENTED)", at(0, 9_000), GROUND_M, AerodromeKind.UNTOWERED)
STRIP = MetRunway("09", 0.0, 0.0, None, False, False)


def traffic(runways=(), in_circuit=False, above_heliport=False, at_m=0.0, frequencies=()):
    near = NearAerodrome(FIELD, 3_218.688, at_m, HERE, TrueBearing(45.4), None)
    return Traffic(near, tuple(runways), (), in_circuit, above_heliport, tuple(frequencies))


@pytest.mark.parametrize(
    ("given", "meets"),
    [
        ({}, False),
        ({"in_circuit": True}, True),
        ({"above_heliport": True}, True),
        ({"runways": [STRIP]}, False),
        ({"runways": [STRIP, MetRunway("18", 0.0, 0.0, None, True, False)]}, True),
        ({"runways": [MetRunway("18", 0.0, 0.0, None, False, True), STRIP]}, True),
    ],
)
def test_whose_traffic_the_path_meets(given, meets, monkeypatch):
    monkeypatch.setattr(rule, "traffic_of", lambda _case: (traffic(**given),))
    assert traffic(**given).meets is meets
    (one,) = near_traffic(CASE)
    assert (one.rule, one.mark) == (
        ("aerodrome-traffic", Mark.ACT) if meets else ("aerodrome-near", Mark.NOTE)
    )
    assert one.title == ("Field (INVENTED): others may be low" if meets else "Field (INVENTED) is near")
    assert bool(one.remedy) is meets


def test_it_is_told_where_the_path_is_nearest(monkeypatch):
    monkeypatch.setattr(rule, "traffic_of", lambda _case: (traffic(at_m=123.0),))
    (one,) = near_traffic(CASE)
    assert one.place == HERE
    assert (one.from_m, one.to_m) == (123.0, 123.0)
    assert one.numbers == {"distance_m": 3_218.688, "toward_true_deg": 45.4}
    # By hand: (0, 6,000) is nearest to the middle of a path from 500 m west to 500 m east.
    charts = attrs.evolve(CASE.world, aerodromes=(attrs.evolve(FIELD, place=at(0, 6_000)),))
    (found,) = traffic_of(attrs.evolve(CASE, world=charts))
    assert found.near.at_m == pytest.approx(500.0, abs=16.0)
    assert distance_m(found.near.place, at(0, 0)) == pytest.approx(0.0, abs=0.5)


def test_what_is_told_of_its_runways_and_frequencies(monkeypatch):
    strips = (
        MetRunway("09", 1_609.344, 804.672, 2_414.016, True, False),
        MetRunway("18", 0.0, 160.9344, 0.0, False, True),
        MetRunway("27", 0.5, 0.0, None, False, False),
    )
    one = traffic(
        strips, in_circuit=True, above_heliport=True, frequencies=(("ATIS", 127.5), ("CTAF", 122.8))
    )
    monkeypatch.setattr(rule, "traffic_of", lambda _case: (one,))
    (told,) = near_traffic(CASE)
    assert told.message == (
        "3.22 km away, 45 degrees true from 0 m along. "
        "Runway 09: 1.61 km beyond its end, 805 m beside its centre line. "
        "The path crosses its extended centre line 2.41 km beyond its end. The path is under an approach. "
        "Runway 18: 161 m beside its centre line. The path crosses the runway itself. "
        "It comes above a surface about the runway: others are low there. "
        "Runway 27: 0 m beyond its end, 0 m beside its centre line. "
        "So near a runway aircraft fly circuits. Helicopters come in low, from any side. "
        "Listen only, never transmit: CTAF 122.800 MHz."
    )
    # In whatever unit of ways is preferred.
    assert said(told.message, Units(way="NM")).startswith("1.74 NM away, 45 degrees")
    assert "Runway 09: 1.00 mi beyond its end, 0.50 mi beside" in said(told.message, Units(way="mi"))
    monkeypatch.setattr(rule, "traffic_of", lambda _case: (traffic(frequencies=(("ATIS", 127.5),)),))
    (told,) = near_traffic(CASE)
    assert told.message.endswith("No frequency is on record; look it up.")


@pytest.mark.parametrize(
    ("purpose", "cites"), [(Purpose.PART_107, True), (None, True), (Purpose.RECREATIONAL, False)]
)
def test_107_43_is_no_rule_of_a_recreational_flight(purpose, cites, monkeypatch):
    monkeypatch.setattr(rule, "traffic_of", lambda _case: (traffic(),))
    (one,) = near_traffic(attrs.evolve(CASE, plan=attrs.evolve(CASE.plan, purpose=purpose)))
    assert ("107.43" in one.citation) is cites


def met(
    monkeypatch,
    shape=None,
    kind=AerodromeKind.UNTOWERED,
    elevation_m=GROUND_M,
    owner="XX01 ",
    place=None,
    **by,
):
    """The traffic of a field with one strip, the path by its runway put in by hand."""
    figures = {"beyond_m": 9_000.0, "aside_m": 9_000.0, "end": 0, "surface_amsl_m": 9_000.0}
    made = {name: np.full(N, value) for name, value in figures.items()}
    made["in_approach"] = np.zeros(N, dtype=bool)
    for name, values in by.items():
        for sample, value in values.items():
            made[name][sample] = value
    flown = []
    monkeypatch.setattr(rule, "by_runway", lambda runway, _x, _y: flown.append(runway) or NearRunway(**made))
    ends = [
        (at(-500, 6_000).lon_deg, at(-500, 6_000).lat_deg),
        (at(500, 6_000).lon_deg, at(500, 6_000).lat_deg),
    ]
    shape = shapely.LineString(ends) if shape is None else shape
    field = attrs.evolve(FIELD, place=place or at(0, 6_000), kind=kind, elevation_amsl_m=elevation_m)
    feature = GroundFeature(GroundKind.RUNWAY, f"{owner}09/27 09 27", shape)
    charts = attrs.evolve(CASE.world, aerodromes=(field,), ground_features=(feature,))
    found = traffic_of(attrs.evolve(CASE, world=charts))
    return (found[0] if found else None), flown


def test_the_nearest_place_by_a_runway_and_what_is_met_anywhere(monkeypatch):
    near = {"beyond_m": {4: 300.0, 9: 500.0}, "aside_m": {4: 400.0, 9: 100.0}}
    (one, _) = met(monkeypatch, **near)
    # 300 and 400 are 500 m away, 500 and 100 are 510 m: so near a runway aircraft fly circuits.
    assert one.runways == (MetRunway("09/27", 300.0, 400.0, None, False, False),)
    assert one.in_circuit
    assert one.meets
    (far, _) = met(monkeypatch)
    assert not far.in_circuit
    assert not far.meets
    (one, _) = met(monkeypatch, surface_amsl_m={20: GROUND_M + 29.0})
    assert one.runways[0].above_surface
    (one, _) = met(monkeypatch, surface_amsl_m={20: GROUND_M + 31.0, 21: math.nan})
    assert not one.runways[0].above_surface


@pytest.mark.parametrize(("short_m", "under"), [(-2.0, True), (2.0, False)])
def test_an_approach_is_met_within_two_miles_of_the_runways_end(short_m, under):
    """A precision approach is 50,000 ft long (77.19(d), C); the path begins 500 m west of HERE."""
    ends = [at(-500 - CIRCUIT_M - short_m - out_m, 0) for out_m in (0.0, 800.0)]
    strip = shapely.LineString([(one.lon_deg, one.lat_deg) for one in ends])
    charts = attrs.evolve(
        CASE.world,
        aerodromes=(attrs.evolve(FIELD, place=ends[0], kind=AerodromeKind.TOWERED),),
        ground_features=(GroundFeature(GroundKind.RUNWAY, "XX01 09/27 09 27", strip),),
    )
    (one,) = traffic_of(attrs.evolve(CASE, world=charts))
    assert one.runways[0].under_approach is under
    assert one.runways[0].crossed_m == pytest.approx(CIRCUIT_M + short_m, abs=1.0)


def test_a_runway_is_a_line_of_the_aerodrome_from_its_first_point_to_its_last(monkeypatch):
    (_, (runway,)) = met(monkeypatch)
    assert runway.length_m == pytest.approx(1_000.0, abs=2)
    assert runway.airport_amsl_m == GROUND_M
    assert [end.elevation_amsl_m for end in runway.ends] == [GROUND_M] * 2
    places = [(at(*one).lon_deg, at(*one).lat_deg) for one in ((0, 6_000), (50, 6_010), (90, 6_120))]
    (_, (runway,)) = met(monkeypatch, shapely.LineString(places))
    assert runway.length_m == pytest.approx(150.0, abs=1)
    tiny = [(at(*one).lon_deg, at(*one).lat_deg) for one in ((0, 6_000), (0, 6_001.6))]
    assert len(met(monkeypatch, shapely.LineString(tiny))[1]) == 1
    tiny[1] = (at(0, 6_000.5).lon_deg, at(0, 6_000.5).lat_deg)
    for shape in (shapely.LineString(tiny), shapely.Point(places[0])):
        assert met(monkeypatch, shape)[0].runways == ()
    assert met(monkeypatch, owner="XX02 ")[0].runways == ()


def test_a_runway_of_no_line_lies_along_the_oblong_about_it(monkeypatch):
    """By hand: 400 m long, 30 m wide, whichever way it is turned."""
    for shape in (box(-200, 6_000, 200, 6_030), box(0, 5_800, 30, 6_200)):
        (_, (runway,)) = met(monkeypatch, shape)
        assert runway.length_m == pytest.approx(400.0, abs=1)
    spots = [(at(east_m, 6_000).lon_deg, at(east_m, 6_000).lat_deg) for east_m in (0, 90, 110, 200)]
    pieces = shapely.MultiLineString([spots[:2], spots[2:]])
    (_, (runway,)) = met(monkeypatch, pieces)
    assert runway.length_m == pytest.approx(200.0, abs=1)


def test_without_an_elevation_a_runway_lies_where_it_lies(monkeypatch):
    (one, (runway,)) = met(monkeypatch, elevation_m=None)
    assert len(one.runways) == 1
    assert math.isnan(runway.airport_amsl_m)


def test_a_runway_of_unknown_approaches_counts_as_flown_by_instruments_with_a_tower(monkeypatch):
    for kind, flown in (
        (AerodromeKind.TOWERED, rule.Approach.PRECISION),
        (AerodromeKind.UNTOWERED, rule.Approach.VISUAL),
    ):
        (_, (runway,)) = met(monkeypatch, kind=kind)
        assert {end.approach for end in runway.ends} == {flown}


def test_circuits_are_flown_about_a_runway_not_a_heliport(monkeypatch):
    for north_m, circuit in ((CIRCUIT_M - 5, True), (CIRCUIT_M + 5, False)):
        assert met(monkeypatch, place=at(0, north_m))[0].in_circuit is circuit
    assert not met(monkeypatch, place=at(0, 100), kind=AerodromeKind.HELIPORT)[0].in_circuit


@pytest.mark.parametrize(("east_m", "north_m"), [(0.0, 600.0), (700.0, 500.0), (-700.0, -500.0)])
def test_a_path_above_the_approach_of_a_heliport(east_m, north_m, monkeypatch):
    """14 CFR 77.23: 8 to 1 out to 4,000 ft: the nearest place of the path decides at one height."""
    away_m = math.hypot(max(abs(east_m) - 500.0, 0.0), north_m)
    for higher_m, above in ((0.3, True), (-0.3, False)):
        elevation_m = GROUND_M + 30.0 - away_m / 8.0 - higher_m
        (one, _) = met(
            monkeypatch, kind=AerodromeKind.HELIPORT, elevation_m=elevation_m, place=at(east_m, north_m)
        )
        assert one.above_heliport is above
    # The mirror image of the path is another one.
    for moved in ({"x_m": TRACK.x_m + 150.0}, {"y_m": TRACK.y_m + 100.0}):
        track = attrs.evolve(TRACK, **moved)
        x_m, y_m = TRACK.frame.place_to_xy(at(east_m, north_m))
        away_m = float(np.hypot(track.x_m - x_m, track.y_m - y_m).min())
        field = attrs.evolve(
            FIELD,
            place=at(east_m, north_m),
            kind=AerodromeKind.HELIPORT,
            elevation_amsl_m=GROUND_M + 30.0 - away_m / 8.0 - 0.3,
        )
        charts = attrs.evolve(CASE.world, aerodromes=(field,))
        (one,) = traffic_of(attrs.evolve(CASE, track=track, world=charts))
        assert one.above_heliport
        charts = attrs.evolve(
            charts, aerodromes=(attrs.evolve(field, elevation_amsl_m=field.elevation_amsl_m + 0.6),)
        )
        (one,) = traffic_of(attrs.evolve(CASE, track=track, world=charts))
        assert not one.above_heliport
    assert not met(monkeypatch, place=at(east_m, north_m), elevation_m=GROUND_M - 900)[0].above_heliport
    unknown = met(monkeypatch, kind=AerodromeKind.HELIPORT, elevation_m=None, place=at(east_m, north_m))
    assert not unknown[0].above_heliport


def test_without_a_path_nothing_is_near():
    assert traffic_of(attrs.evolve(CASE, track=None)) == ()
