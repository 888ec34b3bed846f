"""Aerodromes near the path: how far, where to, what of their traffic is met, where to listen.

Part 77 (check values 10.1 to 10.5, A to C) speaks of construction: here an indicator only.
"""

import attrs
import pytest
import shapely

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.geo.place import Place
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot
from planner.rules.finding import Basis, Mark
from planner.rules.near_traffic import traffic_of
from planner.world.sites import Aerodrome, AerodromeKind, Frequency, GroundFeature, GroundKind
from tests import worlds
from tests.worlds import GROUND_M, at, ft


def line(*offsets):
    return shapely.LineString([(at(*one).lon_deg, at(*one).lat_deg) for one in offsets])


def judged(
    north_m, height_m=30.0, kind=AerodromeKind.UNTOWERED, runway=True, frequencies=(), elevation_m=GROUND_M
):
    """A path of 400 m to the east; the aerodrome so far north of it, its runway 1,000 m east-west."""
    place = at(0, north_m)
    field = Aerodrome("XX01", "Field (INVENTED)", place, elevation_m, kind)
    strip = GroundFeature(GroundKind.RUNWAY, "XX01 09/27 09 27", line((-500, north_m), (500, north_m)))
    plan = worlds.plan(path=worlds.points([(0, 0, height_m), (400, 0, height_m)], LegShape.STRAIGHT))
    world = worlds.world(
        aerodromes=(field,),
        ground_features=(strip,) if runway else (),
        frequencies=tuple(Frequency("XX01", use, mhz, shapely.Point()) for use, mhz in frequencies),
    )
    return assess(plan, world)


def finding(answer):
    return next((one for one in answer.findings if one.rule.startswith("aerodrome-")), None)


def test_far_away_nothing_is_said():
    """5 statute miles are 8,046.72 m (exact)."""
    assert finding(judged(8_060)) is None
    assert finding(judged(8_030)) is not None


def test_distance_and_true_bearing():
    answer = judged(6_000)
    note = finding(answer)
    assert note.mark is Mark.NOTE
    assert note.numbers["distance_m"] == pytest.approx(6_000, abs=0.5)
    assert note.numbers["toward_true_deg"] % 360 == pytest.approx(0.0, abs=0.05)
    assert "6.00 km away, 0 degrees true" in note.message


def test_within_two_miles_there_are_circuits():
    """2 nautical miles are 3,704 m (exact); that circuits lie within is common practice."""
    near, off = finding(judged(3_690)), finding(judged(3_720))
    assert (near.mark, near.basis) == (Mark.ACT, Basis.SAFETY)
    assert "circuits" in near.message
    assert off.mark is Mark.NOTE


def test_circuits_are_flown_about_the_runway_not_about_the_fields_reference_point():
    """940 m beside a runway of 7.6 km whose middle is 4.3 km away (2 nautical miles are 3.7 km)."""
    field = Aerodrome("XX01", "Field (INVENTED)", at(4_300, 1_000), GROUND_M, AerodromeKind.UNTOWERED)
    strip = GroundFeature(GroundKind.RUNWAY, "XX01 09/27 09 27", line((500, 1_000), (8_100, 1_000)))
    plan = worlds.plan(path=worlds.points([(0, 60, 30.0), (300, 60, 30.0)], LegShape.STRAIGHT))
    told = finding(assess(plan, worlds.world(aerodromes=(field,), ground_features=(strip,))))
    assert told.numbers["distance_m"] > 3_704
    assert (told.mark, "circuits" in told.message) == (Mark.ACT, True)


@pytest.mark.parametrize(("aside_m", "mark"), [(145, Mark.ACT), (155, Mark.NOTE)])
def test_so_near_a_pad_helicopters_are_low_at_any_height(aside_m, mark):
    """Under the 8:1 surface of 77.23 all the way; 150 m are an own choice."""
    assert finding(judged(aside_m, height_m=3.0, kind=AerodromeKind.HELIPORT, runway=False)).mark is mark


def back_over(pad, return_m=40.0, path=((-400, 1_200, 30.0), (400, 1_200, 30.0))):
    """Launched at HERE, far from the path; a pad on the way back."""
    field = Aerodrome("XX02", "Pad (INVENTED)", at(*pad), GROUND_M, AerodromeKind.HELIPORT)
    craft = attrs.evolve(
        worlds.plan().aircraft,
        link_loss=LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(return_m), speed_mps=10.0),
    )
    plan = worlds.plan(
        path=worlds.points(path, LegShape.STRAIGHT),
        aircraft=craft,
        launch=GroundSpot(at(0, 0)),
        landing=GroundSpot(at(0, 1_200)),
    )
    return assess(plan, worlds.world(aerodromes=(field,)))


def test_a_pad_beneath_the_way_home_on_lost_link_or_one_that_is_not_drawn_is_told():
    beneath = finding(back_over((150, 600)))
    assert beneath.mark is Mark.ACT
    assert "the nearest place of the way home on lost link" in beneath.message
    assert finding(back_over((700, 600))).mark is Mark.NOTE
    out = finding(back_over((-200, 600)))
    assert (out.mark, "of a way that is not drawn" in out.message) == (Mark.ACT, True)


def test_the_extended_centre_line_and_the_approach():
    """By hand: the path lies on the centre line; its start at the end of a runway that ends 500 m east."""
    field = Aerodrome("XX01", "Field (INVENTED)", at(-2_000, 0), GROUND_M, AerodromeKind.UNTOWERED)
    strip = GroundFeature(GroundKind.RUNWAY, "XX01 09/27 09 27", line((-2_500, 0), (-1_500, 0)))
    plan = worlds.plan(path=worlds.points([(0, 0, 100.0), (400, 0, 100.0)], LegShape.STRAIGHT))
    answer = assess(plan, worlds.world(aerodromes=(field,), ground_features=(strip,)))
    (one,) = traffic_of(answer.case)
    (met,) = one.runways
    assert met.name == "09/27"
    assert met.beyond_m == pytest.approx(1_500, abs=0.5)
    assert met.aside_m == pytest.approx(0, abs=0.5)
    assert met.under_approach
    # 20:1 from 200 ft out: at 1,500 m it is 72 m up (77.19(d), C), lower than the path.
    assert met.above_surface
    assert "under an approach" in finding(answer).message


@pytest.mark.parametrize(("height_ft", "above"), [(149, False), (152, True)])
def test_the_horizontal_surface_is_150_ft_above_the_airport(height_ft, above):
    """77.19(a) (A): within 5,000 ft of the runway; 1,200 m aside is inside, and out of the 7:1."""
    (one,) = traffic_of(judged(1_200, height_m=ft(height_ft)).case)
    assert one.runways[0].above_surface is above


@pytest.mark.parametrize(("height_ft", "meets"), [(99, False), (101, True)])
def test_a_heliport_800_ft_away(height_ft, meets):
    """77.23 (C): 8:1, so 100 ft up at 800 ft."""
    answer = judged(ft(800), height_m=ft(height_ft), kind=AerodromeKind.HELIPORT, runway=False)
    assert traffic_of(answer.case)[0].above_heliport is meets
    assert finding(answer).mark is (Mark.ACT if meets else Mark.NOTE)


def test_frequencies_are_for_listening_only():
    answer = judged(3_000, frequencies=[("CTAF", 122.8), ("ATIS", 118.3)])
    assert "Listen only, never transmit: CTAF 122.800 MHz" in finding(answer).message
    assert "118.3" not in finding(answer).message
    assert "No frequency is on record" in finding(judged(3_000)).message


def test_without_an_elevation_no_surface_is_made_up_and_the_runway_lies_where_it_lies():
    answer = judged(1_000, elevation_m=None)
    (one,) = traffic_of(answer.case)
    (met,) = one.runways
    assert met.aside_m == pytest.approx(1_000, abs=0.5)
    assert not met.above_surface
    assert one.in_circuit
    assert "not on record, so no surface" in finding(answer).message


def test_a_runway_drawn_as_an_area_is_one_along_its_middle():
    """By hand: 1,000 m by 30 m; the path 400 m south of its middle line."""
    field = Aerodrome("XX01", "Field (INVENTED)", at(0, 400), GROUND_M, AerodromeKind.UNTOWERED)
    strip = GroundFeature(GroundKind.RUNWAY, "XX01 09/27", worlds.box(-500, 385, 500, 415))
    plan = worlds.plan(path=worlds.points([(0, 0, 30.0), (300, 0, 30.0)], LegShape.STRAIGHT))
    answer = assess(plan, worlds.world(aerodromes=(field,), ground_features=(strip,)))
    (met,) = traffic_of(answer.case)[0].runways
    assert met.aside_m == pytest.approx(400, abs=0.5)
    assert met.beyond_m == 0.0


def in_area(place, runway, top_m=60.0, kind=AerodromeKind.UNTOWERED, path=()):
    """A box of 400 m about HERE; an aerodrome at `place`, its runway between two offsets."""
    field = Aerodrome("XX01", "Field (INVENTED)", at(*place), GROUND_M, kind)
    strip = GroundFeature(GroundKind.RUNWAY, "XX01 09/27 09 27", line(*runway))
    area = worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(top_m))
    return assess(
        worlds.plan(path=path, area=area), worlds.world(aerodromes=(field,), ground_features=(strip,))
    )


def test_a_field_beside_a_flying_area_is_told_as_beside_a_path():
    """By hand: 1,000 m east of the middle is 800 m from the edge; the runway's end 300 m from it."""
    answer = in_area((1_000, 0), ((500, 0), (1_500, 0)))
    (one,) = traffic_of(answer.case)
    (met,) = one.runways
    assert one.near.distance_m == pytest.approx(800, abs=0.5)
    assert one.near.toward.deg == pytest.approx(90, abs=0.2)
    assert (met.beyond_m, met.aside_m) == (pytest.approx(300, abs=0.5), pytest.approx(0, abs=0.5))
    assert met.crossed_m == pytest.approx(300, abs=0.5)
    assert met.under_approach
    told = finding(answer)
    assert told.mark is Mark.ACT
    assert told.from_m is None
    assert "800 m away, 90 degrees true from the nearest place of the flying area" in told.message
    assert "crosses its extended centre line 300 m beyond its end" in told.message


@pytest.mark.parametrize(("north_m", "crossed"), [(214, True), (216, False)])
def test_the_centre_line_crosses_the_area_or_passes_it(north_m, crossed):
    """Half of a usual runway, 15 m, is crossed like the line itself (own choice)."""
    (one,) = traffic_of(in_area((2_000, north_m), ((1_500, north_m), (2_500, north_m))).case)
    assert (one.runways[0].crossed_m is not None) is crossed
    # From 200 ft out, 5,000 ft long, 500 to 1,500 ft wide (77.19(d), C): 1,300 m out some 200 m to a side.
    assert one.runways[0].under_approach


@pytest.mark.parametrize(("top_ft", "above"), [(149, False), (152, True)])
def test_the_top_of_the_area_is_held_against_the_horizontal_surface(top_ft, above):
    """77.19(a) (A): 150 ft above the airport within 5,000 ft; the area 1,000 m aside is out of the 7:1."""
    answer = in_area((0, 1_200), ((-500, 1_200), (500, 1_200)), ft(top_ft))
    assert traffic_of(answer.case)[0].runways[0].above_surface is above


def test_a_heliport_inside_the_area():
    (one,) = traffic_of(in_area((50, 50), ((40, 50), (60, 50)), 5.0, AerodromeKind.HELIPORT).case)
    assert one.near.distance_m == 0.0
    assert one.above_heliport


def test_of_path_and_area_one_is_told_which_meets_more():
    """A path far from the field inside an area whose edge is near it."""
    path = worlds.points([(-190, 0, 30.0), (-180, 0, 30.0)], LegShape.STRAIGHT)
    answer = in_area((3_850, 0), ((3_700, 0), (4_000, 0)), path=path)
    told = [one for one in answer.findings if one.rule.startswith("aerodrome-")]
    assert [one.mark for one in told] == [Mark.ACT]
    assert "flying area" in told[0].message


@pytest.mark.parametrize(
    "shape", [shapely.Point(at(0, 1_000).lon_deg, at(0, 1_000).lat_deg), line((0, 1_000), (0, 1_000))]
)
def test_a_runway_whose_ends_are_not_on_record_is_said_and_not_dropped(shape):
    field = Aerodrome("XX01", "Field (INVENTED)", at(0, 1_000), GROUND_M, AerodromeKind.UNTOWERED)
    strip = GroundFeature(GroundKind.RUNWAY, "XX01 09/27 09 27", shape)
    plan = worlds.plan(path=worlds.points([(0, 0, 30.0), (400, 0, 30.0)], LegShape.STRAIGHT))
    answer = assess(plan, worlds.world(aerodromes=(field,), ground_features=(strip,)))
    assert not traffic_of(answer.case)[0].runways
    assert "Where runway 09/27 begins and ends is not on record: not judged." in finding(answer).message


@pytest.mark.parametrize("kind", [GroundKind.ROAD, GroundKind.TRAIL, GroundKind.WIRE, GroundKind.RUNWAY])
def test_a_line_of_one_place_among_others_ends_no_check(kind):
    ways = (line((200, 0), (200, 0)), line((100, -80), (100, 80)))
    features = tuple(GroundFeature(kind, f"XX01 0{k} (INVENTED)", way) for k, way in enumerate(ways))
    field = Aerodrome("XX01", "Field (INVENTED)", at(0, 1_000), GROUND_M, AerodromeKind.UNTOWERED)
    plan = worlds.plan(path=worlds.points([(0, 0, 30.0), (400, 0, 30.0)], LegShape.STRAIGHT))
    answer = assess(plan, worlds.world(aerodromes=(field,), ground_features=features))
    assert finding(answer) is not None


class GoneThrough(tuple):
    """Counts how often somebody goes through it."""

    times = 0

    def __iter__(self):
        type(self).times += 1
        return super().__iter__()


def fields_of(places):
    """Fields with a runway and a frequency each."""
    fields = [Aerodrome(f"X{k:04d}", f"Field {k} (INVENTED)", one, GROUND_M) for k, one in enumerate(places)]
    strips = [
        GroundFeature(
            GroundKind.RUNWAY,
            f"{one.ident} 09/27 09 27",
            shapely.LineString(
                [(one.place.lon_deg + aside, one.place.lat_deg) for aside in (-0.004, 0.004)],
            ),
        )
        for one in fields
    ]
    spoken = [Frequency(one.ident, "CTAF", 122.8 + k / 1000, shapely.Point()) for k, one in enumerate(fields)]
    return {"aerodromes": tuple(fields), "ground_features": tuple(strips), "frequencies": tuple(spoken)}


def test_a_country_of_fields_far_away_changes_nothing_that_is_said():
    near = [at(300, 2_000), at(-1_000, -4_000), at(200, 8_030), at(7_000, 300)]
    far = [at(east, north) for east in range(-90_000, 90_000, 9_000) for north in (-60_000, 30_000, 90_000)]
    far += [
        Place(one.lon_deg + 180.0 if one.lon_deg < 0 else one.lon_deg - 180.0, one.lat_deg) for one in near
    ]
    plan = worlds.plan(path=worlds.points([(0, 0, 30.0), (400, 0, 30.0)], LegShape.STRAIGHT))
    alone, among = (assess(plan, worlds.world(**fields_of(places))) for places in (near, [*near, *far]))
    assert len(traffic_of(alone.case)) == 4
    assert among.findings == alone.findings


def test_what_the_charts_hold_is_gone_through_once_however_many_fields_are_near():
    """Our own rule: a country of 20,000 aerodromes slows no verdict."""
    plan = worlds.plan(path=worlds.points([(0, 0, 30.0), (400, 0, 30.0)], LegShape.STRAIGHT))
    held = fields_of([at(300 * k, 1_500 + 200 * k) for k in range(8)])
    answer = assess(plan, worlds.world(**held))
    counted = {
        name: type("Gone", (GoneThrough,), {})(held[name]) for name in ("ground_features", "frequencies")
    }
    case = attrs.evolve(answer.case, world=attrs.evolve(answer.case.world, **counted))
    found = traffic_of(case)
    assert len(found) == 8
    assert traffic_of(case) is found
    assert [type(one).times for one in counted.values()] == [1, 1]
