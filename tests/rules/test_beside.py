"""What a path passes close beside: distances by hand, in an even plane."""

import pytest
import shapely

from planner.assess import assess, assess_live
from planner.geo.heights import AboveGround
from planner.plan.model import Purpose
from planner.rules.beside import BESIDE_M
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.units import GROUND_LIMIT_M, STRUCTURE_RADIUS_M
from planner.world.airspace import AirspaceKind
from tests.worlds import above_ground, area, box, plan, points, tower, volume, world


def found(answer, rule):
    return [one for one in answer.findings if one.rule == rule]


def beside(aside_m, kind=AirspaceKind.RESTRICTED, **limits):
    """A volume whose southern edge runs so far north of the path, from 100 m west to 200 m east."""
    return volume(kind, box(-100, aside_m, 200, aside_m + 500), name="INVENTED V", **limits)


@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D, AirspaceKind.PROHIBITED])
def test_an_airspace_passed_half_a_metre_beside_is_told(kind):
    answer = assess(plan(), world(airspace=(beside(0.5, kind),)))
    (told,) = found(answer, "close-beside-airspace")
    assert told.mark is Mark.ACT
    assert told.numbers["aside_m"] == pytest.approx(0.5, abs=0.05)
    assert "INVENTED V" in told.title
    assert answer.verdict is Verdict.READY


# check_values 1.13 (standing A) on extensions, 1.8 (standing B) on recreational flights in low Class E.
@pytest.mark.parametrize(
    ("kind", "purpose", "told"),
    [
        (AirspaceKind.CLASS_E4, Purpose.PART_107, 1),
        (AirspaceKind.CLASS_E3, Purpose.RECREATIONAL, 1),
        (AirspaceKind.CLASS_E_OTHER, Purpose.RECREATIONAL, 1),
        (AirspaceKind.CLASS_E_OTHER, Purpose.PART_107, 0),
    ],
)
def test_where_only_the_authority_can_say_who_may_fly_its_edge_is_told_too(kind, purpose, told):
    answer = assess(plan(purpose), world(airspace=(beside(1.0, kind),)))
    assert len(found(answer, "close-beside-airspace")) == told
    entered = assess(plan(purpose), world(airspace=(beside(-50.0, kind),)))
    assert not found(entered, "close-beside-airspace")


def test_from_the_stated_distance_on_nothing_is_said():
    assert found(assess(plan(), world(airspace=(beside(BESIDE_M - 0.2),))), "close-beside-airspace")
    assert not found(assess(plan(), world(airspace=(beside(BESIDE_M + 0.2),))), "close-beside-airspace")


def test_only_an_airspace_at_the_height_flown_is_told():
    over = beside(0.5, floor=above_ground(60.0))
    assert not found(assess(plan(), world(airspace=(over,))), "close-beside-airspace")
    under = beside(0.5, top=above_ground(20.0))
    assert not found(assess(plan(), world(airspace=(under,))), "close-beside-airspace")


def test_an_airspace_that_is_entered_is_told_as_such_only():
    answer = assess(plan(), world(airspace=(beside(-50.0),)))
    assert not found(answer, "close-beside-airspace")
    assert answer.verdict is Verdict.MUST_CHANGE


def test_the_place_is_where_the_path_comes_nearest():
    """A wedge that points at the path from the north: its tip at 300 m east, 7 m away."""
    from tests.worlds import at

    tip, left, right = at(300, 7), at(200, 400), at(400, 400)
    wedge = shapely.Polygon([(one.lon_deg, one.lat_deg) for one in (tip, left, right)])
    answer = assess(plan(), world(airspace=(volume(AirspaceKind.RESTRICTED, wedge, name="INVENTED V"),)))
    (told,) = found(answer, "close-beside-airspace")
    assert told.numbers["aside_m"] == pytest.approx(7.0, abs=0.05)
    assert told.from_m == pytest.approx(800.0, abs=0.5)


@pytest.mark.parametrize(("aside_m", "told"), [(0.5, 1), (BESIDE_M - 0.2, 1), (BESIDE_M + 0.2, 0), (-5.0, 0)])
def test_an_airspace_beside_a_flying_area_is_told_as_beside_a_path(aside_m, told):
    """Our own rule: an area is flown to its edge."""
    drawn = area(box(-100, -200, 100, 0), AboveGround(60.0))
    answer = assess_live(plan(path=(), area=drawn), world(airspace=(beside(aside_m),)))
    told_of = found(answer, "close-beside-airspace")
    assert [one.mark for one in told_of] == [Mark.ACT] * told
    assert all(one.numbers["aside_m"] == pytest.approx(aside_m, abs=0.1) for one in told_of)
    high = beside(aside_m, floor=above_ground(60.5))
    answer = assess_live(plan(path=(), area=drawn), world(airspace=(high,)))
    assert not found(answer, "close-beside-airspace")


@pytest.mark.parametrize(("inside_m", "told"), [(5.0, 1), (BESIDE_M + 1.0, 0), (-50.0, 0)])
def test_an_allowance_that_is_needed_close_to_its_radius_is_told(inside_m, told):
    """Where it is left while needed, the stop on height says where: not twice (own rule)."""
    mast = tower(200.0, (0.0, 0.0), key="mast")
    reach_m = STRUCTURE_RADIUS_M - mast.horizontal_error_m
    east_m = reach_m - inside_m
    high = points([(0, 0, GROUND_LIMIT_M + 20), (east_m, 0, GROUND_LIMIT_M + 20)])
    answer = assess(plan(path=high, structures_standing=frozenset({"mast"})), world(structures=(mast,)))
    assert len(found(answer, "close-to-allowance-end")) == told
    assert bool(found(answer, "above-height-limit")) is (inside_m < 0)
    low = points([(0, 0, GROUND_LIMIT_M - 20), (east_m, 0, GROUND_LIMIT_M - 20)])
    answer = assess(plan(path=low, structures_standing=frozenset({"mast"})), world(structures=(mast,)))
    assert not found(answer, "close-to-allowance-end")
