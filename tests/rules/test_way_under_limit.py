"""The way that is not drawn, held against the limit where it leads: worked by hand.

The limit is that of 14 CFR 107.51(b): 400 ft above the ground, and within 400 ft of a structure 400 ft above
its top; 49 USC 44809(a)(6) knows no structures, and holds in Class G. That a straight way too high is
something to do and no stop is a choice of our own: nobody has said that it is flown straight.
"""

import re

import pytest
import shapely

from planner.assess import assess_live
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.transit import undrawn_way
from planner.world.airspace import AirspaceKind
from tests.worlds import above_ground, area, at, box, disc, ft, plan, points, record, tower, volume, world

MAST = tower(402, key="MAST")
RADIUS_M = ft(400)


def ways(launch_m, height_ft, *, purpose=Purpose.PART_107, charts=None, **changes):
    """Launch so far west of a path of 60 m that ends above the landing point."""
    given = {
        "path": points([(0, 0, ft(height_ft)), (60, 0, ft(height_ft))]),
        "launch": GroundSpot(at(-launch_m, 0), LandStatus.OWN),
        "landing": GroundSpot(at(60, 0), LandStatus.OWN),
        "structures_standing": ("MAST",),
    }
    charts = world(**{"structures": (MAST,), **(charts or {})})
    case = assess_live(plan(purpose, **{**given, **changes}), charts).case
    assert case is not None
    return list(undrawn_way(case))


def metres_from(place, east_m):
    there = shapely.Point(at(east_m, 0).lon_deg, at(east_m, 0).lat_deg)
    return there.distance(shapely.Point(place.lon_deg, place.lat_deg)) * 111_000


@pytest.mark.parametrize(
    ("launch_m", "height_ft", "agl_ft"),
    [
        (600, 795, 634),  # The radius begins 478.1 m from the launch point: 633.5 ft up.
        (300, 795, 472),  # 178.1 m of 300: 471.9 ft.
        (600, 500, None),  # 398.4 ft.
        (121, 795, None),  # All of the way lies in the radius.
    ],
)
def test_the_climb_to_a_height_that_only_a_structure_allows(launch_m, height_ft, agl_ft):
    found = ways(launch_m, height_ft)
    if agl_ft is None:
        assert found == []
        return
    (one,) = found
    assert one.mark is Mark.ACT
    assert f"{agl_ft - 400} ft higher than 400 ft above the ground: {agl_ft} ft above ground" in one.message
    told_m = int(re.search(r"(\d+) m from its end", one.message)[1])
    assert told_m == pytest.approx(launch_m - RADIUS_M, abs=1.0)
    assert metres_from(one.place, -RADIUS_M) < 1.0


def test_the_way_down_counts_as_the_way_up():
    path = points([(-60, 0, ft(795)), (0, 0, ft(795))])
    ends = {"launch": GroundSpot(at(-60, 0)), "landing": GroundSpot(at(600, 0))}
    (one,) = ways(0, 0, path=path, **ends)
    assert "from the path to the landing point" in one.title
    assert "234 ft higher than 400 ft" in one.message


def test_a_path_that_is_itself_too_high_is_judged_by_the_rules_on_height():
    assert not ways(600, 803)
    assert not ways(600, 500, structures_standing=())


def test_a_waiver_opens_the_way_as_it_opens_the_path():
    """14 CFR 107.205(f): 107.51 can be waived."""
    waiver = record("14 CFR 107.51", ft(800), PermissionKind.WAIVER)
    assert not ways(600, 795, permissions=(waiver,))


def test_to_an_area_whose_top_a_structure_allows():
    top = points([(0, 0, ft(795))])[0].height
    (one,) = ways(600, 0, path=(), area=area(box(-20, -20, 20, 20), top), landing=None)
    assert "to the flying area" in one.title
    # 458.1 m of the 580 m to its edge: 655.3 ft.
    assert "656 ft above ground" in one.message


@pytest.mark.parametrize(("launch_m", "too_high"), [(700, False), (900, True)])
def test_height_by_agreement_inside_controlled_airspace_is_none_before_it(launch_m, too_high):
    """49 USC 44809(c)(2)(C); 700 ft: 300 m before the end, of 700 m 400.0 ft are reached, of 900 m 466.7."""
    ring = disc(300.0)
    agreed = record("INVENTED D", ft(800), PermissionKind.AUTHORIZATION)
    charts = {"airspace": (volume(outline=ring, name="INVENTED D"),), "structures": ()}
    found = ways(launch_m, 700, purpose=Purpose.RECREATIONAL, charts=charts, permissions=(agreed,))
    assert len(found) == too_high
    assert all("67 ft higher than 400 ft above the ground" in one.message for one in found)


def test_an_answer_that_the_path_itself_overtops_is_told_of_the_path_alone():
    """Own rule: a way that is too high only because the path is asks for no drawing; what is lower does."""
    low_e = volume(AirspaceKind.CLASS_E_OTHER, floor=above_ground(ft(100)), name="HIGH E")
    changes = {"purpose": Purpose.RECREATIONAL, "charts": {"airspace": (low_e,), "structures": ()}}
    answer = record("HIGH E", ft(240))
    assert not ways(600, 250, permissions=(answer,), **changes)
    assert not ways(600, 235, permissions=(answer,), **changes)
    part = record("HIGH E", ft(240), ring=area(box(-50, -50, 100, 50), None).ring)
    (one,) = ways(600, 235, permissions=(part,), **changes)
    assert "leads through HIGH E" in one.message
