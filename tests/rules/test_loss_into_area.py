"""What lands, falls or holds on lost link from a flying area comes down beside it, too (own rule).

That what is closed stays closed to whoever comes down in it: 14 CFR 107.45, 107.41. Ways by hand: 1.5 s at
25 m/s are 37.5 m; a fall from 30 m takes 2.47 s without drag (kinematics), in which 25 m/s are 61.8 m.
"""

import attrs
import pytest

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules.finding import Mark
from planner.rules.inquiry_uses import inquiry_uses
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import above_ground, box, plan, record, sea_level, volume, world

LAND, DROP, HOLD = LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.HOLD
RULES = ("link-loss-comes-through", "reach-not-known", "link-loss-drifts-into")
SHUT = AirspaceKind.RESTRICTED


def told(east_m, action=LAND, kind=SHUT, fast_mps=25.0, fix=True, wind=None, ground=None, **changes):
    """An area of 100 m, its top at 30 m; what is closed begins so far east of it."""
    records = changes.pop("records", ())
    there = volume(kind, changes.pop("outline", box(100 + east_m, -400, 900, 400)), name="R", **changes)
    made = plan(
        path=(),
        area=worlds.area(box(-100, -100, 100, 100), AboveGround(30.0)),
        permissions=records,
        weather=None if wind is None else PlannedWeather(wind=TypedWind(*wind)),
    )
    loss = LinkLoss(action, 1.5, needs_fix=fix, descent_mps=2.0)
    able = None if fast_mps is None else Performance(highest_mps=fast_mps, drag_area_m2=0.02)
    craft = attrs.evolve(made.aircraft, link_loss=loss, performance=able)
    answer = assess(
        attrs.evolve(made, aircraft=craft), world(airspace=(there,), terrain=worlds.terrain(ground))
    )
    return [(one.rule, one.mark) for one in answer.findings if one.rule in RULES], answer


COMES = [("link-loss-comes-through", Mark.STOP)]


@pytest.mark.parametrize(
    ("east_m", "changes", "expected"),
    [
        (37.0, {}, COMES),
        (38.0, {}, []),
        (37.0, {"action": HOLD}, COMES),
        (98.0, {"action": DROP}, COMES),
        (101.0, {"action": DROP}, []),
        (37.0, {"action": LinkLossAction.RETURN_FIXED}, []),
        (37.0, {"kind": AirspaceKind.PROHIBITED}, COMES),
        # What is to be asked for is a permission needed.
        (37.0, {"kind": AirspaceKind.CLASS_D}, []),
        (37.0, {"kind": AirspaceKind.CLASS_E4}, [("link-loss-comes-through", Mark.UNKNOWN)]),
        (37.0, {"kind": AirspaceKind.WARNING}, []),
        # A shelf over the area's top.
        (37.0, {"floor": sea_level(worlds.GROUND_M + 31.0)}, []),
        (37.0, {"floor": above_ground(29.0)}, COMES),
        # 87 kt, the speed limit, are 44.8 m/s: 67 m in 1.5 s.
        (66.0, {"fast_mps": None}, [("reach-not-known", Mark.UNKNOWN)]),
        (68.0, {"fast_mps": None}, []),
        # Wind of 5 m/s from the west, gusts of 8: it flies on 45 m, and lands in 15 s without a fix.
        (150.0, {"fix": False, "wind": (5.0, 270.0, 8.0)}, [("link-loss-drifts-into", Mark.ACT)]),
        (150.0, {"fix": False, "wind": (5.0, 90.0, 8.0)}, []),
        (150.0, {"wind": (5.0, 270.0, 8.0)}, []),
    ],
)
def test_what_acts_at_the_edge_of_an_area_comes_down_beside_it(east_m, changes, expected):
    assert told(east_m, **changes)[0] == expected


def test_the_words_say_how_far_it_flies_on_and_what_it_comes_down_in():
    found, answer = told(20.0)
    assert found == COMES
    (one,) = [one for one in answer.findings if one.rule == COMES[0][0]]
    # 37.5 m are 123.03 ft, rounded up; 20 m are 65.6 ft, rounded down.
    for words in (
        "Lost at the edge of the flying area the aircraft flies on for 1.5 s, 124 ft at its highest speed",
        "and on its way down it is in R, 65 ft outside.",
    ):
        assert words in one.message
    assert one.place is not None


@pytest.mark.parametrize(("end_m", "expected"), [(37.0, COMES), (38.0, [])])
def test_where_a_record_ends_what_it_does_not_open_begins(end_m, expected):
    ring = worlds.area(box(-300, -300, 100 + end_m, 300), None).ring
    opens = record("R", 100.0, PermissionKind.AGENCY, ring=ring)
    assert told(0.0, records=(opens,), outline=worlds.disc(4_000.0))[0] == expected


@pytest.mark.parametrize("outline", [None, box(-900, -900, 900, 900), box(110, -400, 900, 400)])
@pytest.mark.parametrize(("ceiling_m", "opens"), [(5.0, False), (29.0, False), (100.0, True)])
def test_a_record_too_low_for_what_comes_down_there_opens_nothing(outline, ceiling_m, opens):
    """It comes down from 30 m; of all of it, about the area and it, or of it alone."""
    ring = {} if outline is None else {"ring": worlds.area(outline, None).ring}
    held = record("R", ceiling_m, PermissionKind.AGENCY, **ring)
    assert told(10.0, records=(held,))[0] == ([] if opens else COMES)
    # Reached at 87 kt alone, where no airspeed is given.
    open_yet = [("reach-not-known", Mark.UNKNOWN)]
    assert told(60.0, records=(held,), fast_mps=None)[0] == ([] if opens else open_yet)


@pytest.mark.parametrize(("end_m", "expected"), [(125.0, COMES), (145.0, [])])
def test_of_records_of_which_each_opens_a_part_of_a_slope_the_end_of_both_counts(end_m, expected):
    """The ground rises 0.2 m a metre: 10 m over the middle's in the west it flies, 50 m in the east."""
    # The lower one is too low in the east of its own, which the higher one opens.
    halves = ((-300.0, 20.0, 32.0), (-20.0, end_m, 80.0))
    held = tuple(
        record(
            "R",
            AboveSeaLevel(worlds.GROUND_M + up_m),
            PermissionKind.AGENCY,
            ring=worlds.area(box(west, -300, east, 300), None).ring,
            reference=f"INVENTED-{up_m:.0f}",
        )
        for west, east, up_m in halves
    )
    slope = {"ground": lambda x, _y: worlds.GROUND_M + 0.2 * x, "outline": worlds.disc(4_000.0)}
    assert told(0.0, records=held, **slope)[0] == expected


def test_what_the_area_itself_enters_is_told_of_the_area():
    found, answer = told(-50.0)
    assert found == []
    assert "closed-airspace" in {one.rule for one in answer.findings}


@pytest.mark.parametrize("action", [LAND, DROP, HOLD])
def test_what_it_comes_down_through_alone_is_asked_for(action):
    """14 CFR 107.41. The area's top is 30 m over level ground, the airspace begins 37 m beside it."""
    _, answer = told(37.0, action=action, kind=AirspaceKind.CLASS_D)
    (need,) = answer.permissions
    assert answer.verdict is Verdict.PERMISSION_NEEDED
    assert (need.not_drawn, need.asked_agl_m) == (True, pytest.approx(30.0))
    assert not told(38.0, action=LAND, kind=AirspaceKind.CLASS_D)[1].permissions


def test_it_is_asked_for_no_higher_than_the_airspace_goes_and_not_above_the_area():
    (need,) = told(10.0, kind=AirspaceKind.CLASS_D, top=above_ground(20.0))[1].permissions
    assert need.asked_agl_m == pytest.approx(20.0)
    assert not told(10.0, kind=AirspaceKind.CLASS_D, floor=above_ground(31.0))[1].permissions


@pytest.mark.parametrize("outline", [box(-900, -900, 900, 900), box(137, -400, 900, 400)])
def test_who_is_granted_just_what_the_sheet_asks_for_comes_down_inside(outline):
    """A drop comes down up to 99 m ahead of the edge, about twice as far as a sheet's margin."""
    drop = {"action": DROP, "kind": AirspaceKind.CLASS_D, "outline": outline}
    found, before = told(0.0, **drop)
    (request,) = requests_for(before)
    paper = record("R", request.highest_agl_m, PermissionKind.AUTHORIZATION, ring=request.area.ring)
    after, answer = told(0.0, records=(paper,), **drop)
    assert (found, before.verdict) == ([], Verdict.PERMISSION_NEEDED)
    assert (after, answer.verdict) == ([], Verdict.READY)


def test_an_extension_beside_it_is_asked_about_as_well():
    """Of Class E4 only the authority can say: check_values 1.13."""
    (use,) = inquiry_uses(told(37.0, kind=AirspaceKind.CLASS_E4)[1].case)
    assert (use.need.not_drawn, use.need.asked_agl_m) == (True, pytest.approx(30.0))
