"""What is not known yet beside what is: half of a flight in Class E4, in a Class D, or closed at times.

Class E4 (check_values 1.13: only the authority can say), restricted airspace with hours (14 CFR part 73),
Class D (14 CFR 107.41). That what is open goes before what is known is our own rule (design 2).
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.ceiling.evaluate import vertical_doubt_m
from planner.ceiling.profile import Binding
from planner.geo.heights import AboveGround
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import above_ground, area, box, ft, plan, points, tower, volume, world

EAST = box(0, -900, 900, 900)
E4 = volume(AirspaceKind.CLASS_E4, EAST, name="E4")
AREA = {"path": (), "area": area(box(-200, -200, 200, 200), AboveGround(60.0))}


def test_of_an_area_what_only_the_authority_can_say_goes_before_what_is_known():
    """Under the restricted airspace in the west 10 m are left: the least room that is known."""
    low = volume(AirspaceKind.RESTRICTED, box(-900, -900, -50, 900), name="R", floor=above_ground(10.0))
    found = judged(plan(**AREA), world(airspace=(E4, low))).area
    assert (found.lowest_limit_amsl_m, found.binding) == (None, Binding.UNKNOWN)
    known = judged(plan(**AREA), world(airspace=(low,))).area
    assert known.lowest_limit_agl_m == pytest.approx(10.0, abs=0.01)
    assert (known.in_closed, known.in_unpermitted) == (True, False)


def test_an_area_of_which_a_part_needs_an_authorization_needs_it():
    found = judged(plan(**AREA), world(airspace=(volume(outline=EAST, name="D"),))).area
    assert (found.in_closed, found.in_unpermitted) == (False, True)


def test_up_to_where_it_is_open_while_the_authority_is_asked():
    """Beside a Class D over the west of the path, which asks nobody."""
    other = volume(outline=box(-900, -900, -200, 900), name="D")
    high = attrs.evolve(E4, floor=above_ground(20.0))
    case = judged(plan(path=points([(-500, 0, 30.0), (500, 0, 30.0)])), world(airspace=(high, other)))
    profile, ground_m = case.profile, case.track.ground_amsl_m
    east = case.track.x_m > 1.0
    assert np.isnan(profile.ceiling_amsl_m[east]).all()
    assert profile.unasked_amsl_m[east] == pytest.approx(ground_m[east] + 20.0, abs=0.01)
    assert profile.open_below_amsl_m(ground_m)[east] == pytest.approx(ground_m[east] + 20.0, abs=0.01)
    none = judged(plan(), world(airspace=(other,))).profile
    assert none.unasked_amsl_m is None


def test_what_may_be_closed_is_named_where_it_leaves_the_ceiling_open():
    """Without a time nobody knows whether R is closed; in the west, which E4 leaves open, it is not named."""
    shut = volume(AirspaceKind.RESTRICTED, EAST, name="R", schedule="0900-1700")
    west = volume(AirspaceKind.CLASS_E4, box(-900, -900, -200, 900), name="E4")
    case = judged(plan(window=None), world(airspace=(shut, west)))
    east = case.track.x_m > 1.0
    assert {case.profile.binding_name[k] for k in np.flatnonzero(east)} == {"R"}
    assert {case.profile.binding[k] for k in np.flatnonzero(east)} == {Binding.UNKNOWN}
    assert {case.profile.binding_name[k] for k in np.flatnonzero(case.track.x_m < -1.0)} == {""}


def test_a_structure_raises_the_limit_of_the_part_of_a_path_that_is_near_it():
    """14 CFR 107.51(b)(1): within 400 ft, 121.9 m, of it 400 ft above its top; 300 ft are 91.4 m."""
    mast = tower(300)
    standing = frozenset({mast.standing_key})
    case = judged(plan(structures_standing=standing), world(structures=(mast,)))
    limit_m = case.profile.ground_limit_amsl_m - case.track.ground_amsl_m
    near, far = np.abs(case.track.x_m) < 120.0, np.abs(case.track.x_m) > 123.0
    assert limit_m[near] == pytest.approx(ft(700), abs=0.01)
    assert limit_m[far] == pytest.approx(ft(400), abs=0.01)


@pytest.mark.parametrize(
    ("terrain_m", "aircraft", "doubt_m"),
    [
        (3.0, SimpleNamespace(readout=SimpleNamespace(error_m=1.5)), 4.5),
        (3.0, SimpleNamespace(readout=SimpleNamespace(error_m=None)), 3.0),
        (3.0, SimpleNamespace(readout=None), 3.0),
        (3.0, None, 3.0),
        (None, SimpleNamespace(readout=SimpleNamespace(error_m=1.5)), 1.5),
    ],
)
def test_what_ground_and_readout_may_be_off_adds_up(terrain_m, aircraft, doubt_m):
    """Added, not squared: nobody has shown them independent (own choice, the careful side)."""
    ground = SimpleNamespace(terrain=SimpleNamespace(vertical_uncertainty_m=terrain_m))
    mapped = SimpleNamespace(ground=None if terrain_m is None else ground)
    assert vertical_doubt_m(SimpleNamespace(aircraft=aircraft), mapped) == doubt_m
