"""What sets a ceiling and what a flight is inside of, one thing at a time; design of the program.

400 ft above the ground and the waiver of it: 14 CFR 107.51(b), 107.200 (check_values 1.1, standing B).
"""

import numpy as np
import pytest

from planner.assess import assess_live
from planner.ceiling.profile import Binding
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.aircraft import Aircraft, Readout, ReadoutSource
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.records import PermissionKind
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import (
    GROUND_M,
    above_ground,
    at,
    box,
    ft,
    hover,
    plan,
    points,
    record,
    terrain,
    tower,
    volume,
    world,
)

RESTRICTED, CLASS_D = AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D
NOWHERE = {"launch": None, "landing": None}


def live(charts, **changes):
    return assess_live(plan(**{**NOWHERE, "path": hover(30.0), **changes}), charts)


def bound(charts, **changes):
    found = live(charts, **changes).profile
    return set(zip(found.binding, found.binding_name, strict=True))


@pytest.mark.parametrize(
    ("charts", "changes", "binding", "name"),
    [
        ({}, {}, Binding.GROUND, ""),
        (
            {"structures": (tower(300),)},
            {"structures_standing": frozenset({"tower 300"})},
            Binding.STRUCTURE,
            "TOWER of 300 ft",
        ),
        ({"structures": (tower(300),)}, {}, Binding.GROUND, ""),
        (
            {},
            {"permissions": (record("107.51", ft(600), PermissionKind.WAIVER),)},
            Binding.PERMITTED_HEIGHT,
            "waiver",
        ),
        ({"airspace": (volume(CLASS_D),)}, {}, Binding.NO_PERMISSION, "INVENTED CLASS-D"),
        ({"airspace": (volume(RESTRICTED),)}, {}, Binding.CLOSED, "INVENTED RESTRICTED"),
        (
            {"airspace": (volume(RESTRICTED, floor=above_ground(ft(200))),)},
            {},
            Binding.CLOSED,
            "INVENTED RESTRICTED",
        ),
        (
            {"airspace": (volume(CLASS_D, floor=above_ground(ft(200))),)},
            {},
            Binding.AIRSPACE_FLOOR,
            "INVENTED CLASS-D",
        ),
        ({"terrain": None}, {}, Binding.UNKNOWN, ""),
    ],
)
def test_what_sets_the_ceiling_is_named(charts, changes, binding, name):
    assert bound(world(**charts), **changes) == {(binding, name)}


@pytest.mark.parametrize(
    ("kind", "closed", "unpermitted"), [(RESTRICTED, True, False), (CLASS_D, False, True)]
)
def test_closed_airspace_and_airspace_that_wants_a_permission_are_kept_apart(kind, closed, unpermitted):
    charts = world(airspace=(volume(kind),))
    found = live(charts)
    assert set(found.profile.in_closed.tolist()) == {closed}
    assert set(found.profile.in_unpermitted.tolist()) == {unpermitted}
    area = worlds.area(box(-100, -100, 100, 100), AboveGround(30.0))
    over = live(charts, path=(), area=area).area
    assert (over.in_closed, over.in_unpermitted) == (closed, unpermitted)


def test_above_its_top_a_flight_is_in_no_airspace_that_begins_at_the_ground():
    low = world(airspace=(volume(CLASS_D, top=above_ground(ft(300))),))
    assert not live(low, path=hover(ft(350))).profile.in_unpermitted.any()
    assert live(low, path=hover(ft(300))).profile.in_unpermitted.all()


@pytest.mark.parametrize(("floor", "inside"), [(worlds.SURFACE, True), (above_ground(ft(100)), False)])
def test_a_height_that_is_not_known_is_inside_what_begins_at_the_ground(floor, inside):
    """Launch, from which it counts, has no known ground; the ground beneath the path is known."""
    ground = terrain(lambda east_m, _: np.where(east_m < -600, np.nan, GROUND_M))
    launch = GroundSpot(at(-1_000), LandStatus.OWN)
    charts = world(terrain=ground, airspace=(volume(RESTRICTED, box(-300, -300, 300, 300), floor=floor),))
    found = live(charts, path=hover(AboveLaunch(30.0)), launch=launch)
    assert np.isnan(found.track.planned_amsl_m).all()
    assert set(found.profile.in_closed.tolist()) == {inside}


@pytest.mark.parametrize("readout_m", [None, 3.0])
def test_uncertainties_of_terrain_and_readout_are_added(readout_m):
    readout = None if readout_m is None else Readout(ReadoutSource.BAROMETER, readout_m)
    craft = Aircraft("5-inch quad", 0.62, 0.35, readout=readout)
    charts = world(terrain=terrain(vertical_uncertainty_m=5.0))
    area = worlds.area(box(-100, -100, 100, 100), AboveGround(30.0))
    found = live(charts, aircraft=craft, area=area)
    assert found.profile.uncertainty_m == pytest.approx(5.0 + (readout_m or 0.0))
    assert found.area.uncertainty_m == pytest.approx(5.0 + (readout_m or 0.0))


@pytest.mark.parametrize("top", [None, AboveGround(30.0)])
def test_of_an_area_the_place_with_least_room_is_told(top):
    """Ground that rises by a metre in ten to the east; its west is closed, where the ground is lowest."""
    ground = terrain(worlds.slope(0.1), cell_m=10.0)
    charts = world(terrain=ground, airspace=(volume(RESTRICTED, box(-900, -300, -100, 300)),))
    area = worlds.area(box(-200, -100, 200, 100), top)
    over = live(charts, path=(), area=area).area
    assert over.lowest_limit_agl_m == pytest.approx(0.0)
    assert over.binding is Binding.CLOSED
    assert over.place.lon_deg < at(-95).lon_deg
    assert over.planned_top_amsl_m == (None if top is None else pytest.approx(over.lowest_limit_amsl_m + 30))


def test_of_an_area_the_greatest_excess_over_the_rules_on_height_is_told_where_it_is():
    """A level top over ground that falls by a metre in ten to the west: 20 m more than in the middle."""
    ground = terrain(worlds.slope(0.1), cell_m=10.0)
    area = worlds.area(box(-200, -100, 200, 100), AboveSeaLevel(GROUND_M + 130.0))
    over = live(world(terrain=ground), path=(), area=area).area
    assert over.over_height_limit_m == pytest.approx(130 + 20 - ft(400), abs=0.4)
    assert over.height_limit_place.lon_deg < at(-195).lon_deg
    assert over.unknown_share == 0.0


def test_where_some_ground_is_not_known_the_rest_of_an_area_is_still_judged():
    """North is not known; of the south the west is the lowest, and a level top highest above it."""

    def half(east_m, north_m):
        return np.where(north_m > 0, np.nan, GROUND_M + 0.1 * east_m)

    area = worlds.area(box(-200, -100, 200, 100), AboveSeaLevel(GROUND_M + 130.0))
    over = live(world(terrain=terrain(half, cell_m=10.0)), path=(), area=area).area
    assert 0.3 < over.unknown_share < 0.7
    assert over.over_by_m == pytest.approx(over.over_height_limit_m)
    assert over.over_height_limit_m == pytest.approx(130 + 20 - ft(400), abs=0.4)
    assert over.place == over.height_limit_place
    assert over.place.lon_deg < at(-195).lon_deg


def test_along_a_path_each_sample_has_its_own_binding():
    path = points([(-500, 0, 30.0), (500, 0, 30.0)])
    charts = world(airspace=(volume(RESTRICTED, box(-900, -300, 0, 300)),))
    found = live(charts, path=path)
    west = found.track.x_m < -1
    kinds = np.array([str(one) for one in found.profile.binding])
    assert set(kinds[west]) == {Binding.CLOSED}
    assert set(kinds[found.track.x_m > 1]) == {Binding.GROUND}
