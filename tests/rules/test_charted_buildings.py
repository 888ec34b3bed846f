"""A charted building that says how high it is stands in the way like one that is drawn.

Heights and places by hand. That an aircraft must not be flown into what stands there: 14 CFR 107.23(a)
(check values 1, A). That a building of unknown height may be 20 m high is our own choice, as for sight.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from planner.world.sites import GroundFeature, GroundKind
from planner.world.terrain import SurfaceKind
from tests.rules.hand_flown import CONTROL
from tests.worlds import area, at, box, level, plan, points, terrain, world

HALL = "INVENTED HALL"
# A path about the hall, whose straight way home leads over it.
AROUND = {
    "path": points([(-500, 0, 30.0), (-500, 300, 30.0), (500, 300, 30.0), (500, 0, 30.0)]),
    "launch": GroundSpot(at(-500), LandStatus.OWN),
    "landing": GroundSpot(at(500), LandStatus.OWN),
    "action": LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(40.0)),
}


def hall(height_m, west_m=98.0, south_m=-20.0, east_m=102.0, north_m=20.0):
    return GroundFeature(GroundKind.BUILDING, HALL, box(west_m, south_m, east_m, north_m), height_m)


def told(*buildings, ground=None, height_m=30.0, action=None, **changes):
    """What is said of a path over 1 km from west to east, by rule."""
    flight = plan(**{"path": points([(-500, 0, height_m), (500, 0, height_m)]), **changes})
    if action is not None:
        flight = attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, link_loss=action))
    charts = world(ground_features=buildings, **({} if ground is None else {"terrain": ground}))
    return {one.rule: one for one in assess(flight, charts).findings}


@pytest.mark.parametrize(
    ("height_m", "flown_m", "mark"),
    [
        (31.0, 30.0, Mark.STOP),
        (29.0, 30.0, None),
        (60.0, 5.0, Mark.STOP),
        # Of unknown height: up to 20 m of it are to be reckoned with.
        (None, 19.0, Mark.ACT),
        (None, 21.0, None),
        (0.0, 19.0, Mark.ACT),
        (0.01, 19.0, Mark.ACT),
    ],
)
def test_the_path_leads_into_it(height_m, flown_m, mark):
    found = told(hall(height_m), height_m=flown_m)
    one = found.get("into-cover") or found.get("cover-without-height")
    assert (one and one.mark) == mark
    if mark is Mark.STOP:
        # It stands from 98 to 102 m east, the path begins 500 m west.
        assert one.message.startswith("598 m to 602 m")
        assert "charted as" in one.message


def test_buildings_without_a_height_are_told_together():
    row = [hall(None, 98.0 + 20 * k, -20, 102.0 + 20 * k, 20) for k in range(4)]
    one = told(*row, height_m=15.0)["cover-without-height"]
    assert f"leads over {HALL}, and 3 more" in one.message
    assert "66 ft high" in one.message


def test_close_beside_it():
    assert told(hall(60.0, 98, 3, 102, 20))["close-beside-cover"].numbers["aside_m"] == pytest.approx(
        3.0, abs=0.1
    )
    assert "close-beside-cover" not in told(hall(29.0, 98, 3, 102, 20))
    assert "close-beside-cover" not in told(hall(60.0, 98, 9, 102, 20))


def test_a_surface_model_has_its_roof_already():
    roofs = attrs.evolve(terrain(level()), surface=SurfaceKind.SURFACE)
    assert "into-cover" not in told(hall(60.0), ground=roofs)
    drawn = BeneathItem(
        BeneathKind.BUILDING,
        DrawnAs.AREA,
        (at(98, -20), at(102, -20), at(102, 20), at(98, 20)),
        height_m=60.0,
    )
    assert "into-cover" in told(ground=roofs, beneath=(drawn,))


def test_what_is_drawn_in_its_place_stands_for_it():
    corners = (at(97, -21), at(103, -21), at(103, 21), at(97, 21))
    low = BeneathItem(BeneathKind.BUILDING, DrawnAs.AREA, corners, name=HALL, height_m=10.0)
    assert "into-cover" not in told(hall(60.0), beneath=(low,))
    assert told(hall(60.0), **AROUND)["link-loss-too-low"].mark is Mark.STOP
    assert "link-loss-too-low" not in told(hall(60.0), beneath=(low,), **AROUND)


def test_the_way_home_on_lost_link_hits_it():
    hit = told(hall(60.0), **AROUND)["link-loss-too-low"]
    # 40 m over level ground are 20 m under its roof, and 10 m of room are wanted.
    assert HALL in hit.message
    assert "66 ft too low" in hit.message
    assert "link-loss-too-low" not in told(hall(29.0), **AROUND)


def test_the_way_that_is_not_drawn_meets_it():
    spot = {"launch": GroundSpot(at(-800), LandStatus.OWN), "landing": GroundSpot(at(500), LandStatus.OWN)}
    ahead = (-650, -10, -640, 10)
    assert HALL in told(hall(60.0, *ahead), **spot)["undrawn-way-over"].message
    # It is some 15 m up there: over a building that may be 20 m high.
    assert "nobody has said how high" in told(hall(None, *ahead), **spot)["undrawn-way-over"].message
    assert "undrawn-way-over" not in told(hall(None, -530, -10, -520, 10), **spot)


def test_its_height_counts_for_the_radio_too():
    """A building on the way takes from a link what one that is drawn takes."""
    corners = (at(98, -20), at(102, -20), at(102, 20), at(98, 20))
    drawn = BeneathItem(BeneathKind.BUILDING, DrawnAs.AREA, corners, name=HALL, height_m=60.0)
    base = plan(path=points([(300, 0, 30.0), (500, 0, 30.0)]))
    flight = attrs.evolve(base, aircraft=attrs.evolve(base.aircraft, radios=(CONTROL,)))
    charted = assess(flight, world(ground_features=(hall(60.0),))).case.flight.links[0].profile.margin_db
    by_hand = assess(attrs.evolve(flight, beneath=(drawn,)), world()).case.flight.links[0].profile.margin_db
    open_air = assess(flight, world()).case.flight.links[0].profile.margin_db
    assert charted == pytest.approx(by_hand, abs=0.01)
    assert (charted < open_air - 3.0).all()


@pytest.mark.parametrize(("home_m", "told_of_it"), [(19.0, True), (21.0, False)])
def test_the_way_home_on_lost_link_leads_low_over_buildings_without_a_height(home_m, told_of_it):
    """Told together: charts show whole towns without a height. 20 m is our own choice, as for sight."""
    back = LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(home_m))
    row = [hall(None, -200.0 + 50 * k, -20.0, -195.0 + 50 * k, 20.0) for k in range(4)]
    low = points([(-500, 0, 12.0), (-500, 300, 12.0), (500, 300, 12.0), (500, 0, 12.0)])
    about = {**AROUND, "action": back, "path": low}
    found = told(*row, hall(None, 98.0, 800.0, 102.0, 900.0), **about)
    one = found.get("return-over-cover")
    assert (one is not None) is told_of_it
    if one is not None:
        assert one.mark is Mark.ACT
        assert f"lower than 66 ft over {HALL}" in one.message
    corners = (at(-210, -21), at(-40, -21), at(-40, 21), at(-210, 21))
    drawn_there = BeneathItem(BeneathKind.BUILDING, DrawnAs.AREA, corners, height_m=5.0)
    assert "return-over-cover" not in told(*row, **about, beneath=(drawn_there,))


def in_area(*buildings, action, drawn=(), **performance):
    """What is said of a flying area of 400 m, 40 m high, 300 m east of its launch."""
    flight = plan(path=(), area=area(box(100, -200, 500, 200), AboveGround(40.0)), beneath=drawn)
    able = Performance(**performance)
    craft = attrs.evolve(flight.aircraft, link_loss=action, performance=able)
    answer = assess(attrs.evolve(flight, aircraft=craft), world(ground_features=buildings))
    return {one.rule: one for one in answer.findings}


def test_what_stands_in_and_about_an_area_counts_charted_as_drawn():
    """A hall of 60 m between the area and home; one of 45 m in the area is not begun from; 1 s at 10 m/s."""
    back = LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(40.0))
    between = in_area(hall(60.0, 48.0, -20.0, 52.0, 20.0), action=back, highest_mps=10.0)
    assert HALL in between["link-loss-too-low"].message
    inside = in_area(hall(45.0, 250.0, -60.0, 350.0, 60.0), action=back, highest_mps=10.0)
    corners = (at(250, -60), at(350, -60), at(350, 60), at(250, 60))
    drawn = BeneathItem(BeneathKind.BUILDING, DrawnAs.AREA, corners, name=HALL, height_m=45.0)
    by_hand = in_area(drawn=(drawn,), action=back, highest_mps=10.0)
    assert [one.numbers for one in (inside["link-loss-too-low"], by_hand["link-loss-too-low"])] == [
        pytest.approx(by_hand["link-loss-too-low"].numbers)
    ] * 2
    low = LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(15.0))
    untold = in_area(hall(None, 48.0, -20.0, 52.0, 20.0), action=low, highest_mps=10.0)
    assert HALL in untold["return-over-cover"].message


def test_ground_that_an_area_flies_on_into_is_not_hidden_by_what_stands_higher_there():
    """A wall 20 m above the top begins 30 m outside; the hall before it is 100 m high: 5 s at 10 m/s."""
    land = LinkLoss(LinkLossAction.LAND, 5.0, needs_fix=True)
    wall = terrain(lambda east, _north: 300.0 + 60.0 * (east > 530.0))
    flight = plan(path=(), area=area(box(100, -200, 500, 200), AboveGround(40.0)))
    craft = attrs.evolve(flight.aircraft, link_loss=land, performance=Performance(highest_mps=10.0))
    for buildings in ((), (hall(100.0, 510.0, -20.0, 514.0, 20.0),)):
        answer = assess(attrs.evolve(flight, aircraft=craft), world(terrain=wall, ground_features=buildings))
        rules = {one.rule: one for one in answer.findings}
        assert rules["link-loss-too-low"].title == "On lost link it hits the ground"
        assert ("link-loss-flies-on" in rules) is bool(buildings)
