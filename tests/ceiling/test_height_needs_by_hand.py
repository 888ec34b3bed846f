"""What is asked for of a flight of which only a part is above the limit: how much, where, of which records.

14 CFR 107.51(b), 49 USC 44809(c)(2) (check_values 1.1, 1.6); 400 ft are 121.92 m. Figures worked by hand.
"""

from datetime import timedelta

import attrs
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround
from planner.permission.need import Subject
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from tests.worlds import WINDOW, area, box, fixed_site, ft, plan, points, record, world

# Over level ground from 100 ft to 600 ft: at 60 % of the way, 100 m east, it passes 400 ft.
RISING = points([(-500, 0, ft(100)), (500, 0, ft(600))])
BEFORE_M, PASSES_M = 30.0, 600.0
FUN = Purpose.RECREATIONAL


def waiver(height_ft, **changes):
    return record("14 CFR 107.51(b)", ft(height_ft), PermissionKind.WAIVER, **changes)


def needed(*held, purpose=Purpose.PART_107, charts=None, path=RISING, **changes):
    answer = assess_live(plan(purpose, path=path, permissions=held, **changes), charts or world())
    (need,) = [
        one for one in answer.permissions if one.subject in (Subject.HEIGHT_LIMIT, Subject.SITE_HEIGHT)
    ]
    return need, answer


def test_it_is_asked_for_where_the_limit_is_passed_and_for_the_most_that_is_flown():
    need, answer = needed(waiver(500))
    grown = answer.track.length_m / 1_000  # along the path in 3D
    assert 0 <= need.from_m - PASSES_M * grown < BEFORE_M
    assert need.to_m == pytest.approx(answer.track.length_m)
    assert need.asked_agl_m == pytest.approx(ft(600), abs=0.01)
    east_m, _ = answer.scene.mapped.frame.place_to_xy(need.place)
    origin_m = answer.track.x_m[0]
    assert 0 <= east_m - origin_m - PASSES_M < BEFORE_M
    assert not need.recorded
    assert "The plan is 100 ft above record INVENTED-1" in f"{need.shortfall[0].upper()}{need.shortfall[1:]}"


@pytest.mark.parametrize(("height_ft", "covers"), [(599.0, False), (600.5, True)])
def test_what_lies_under_the_limit_anyway_needs_no_record(height_ft, covers):
    need, _ = needed(waiver(height_ft))
    assert need.recorded is covers


@pytest.mark.parametrize(("top_ft", "asked_ft"), [(500, 600), (700, 700)])
def test_of_path_and_area_the_most_is_asked_for_and_the_path_says_where(top_ft, asked_ft):
    box_m = area(box(-550, -50, 550, 50), AboveGround(ft(top_ft)))
    need, answer = needed(waiver(450), area=box_m)
    assert need.asked_agl_m == pytest.approx(ft(asked_ft), abs=0.5)
    assert need.from_m is not None
    assert need.from_m > PASSES_M
    assert need.to_m == pytest.approx(answer.track.length_m)


def test_an_area_alone_has_no_place_along_a_path():
    flying_area = area(box(-50, -50, 50, 50), AboveGround(ft(500)))
    need, _ = needed(waiver(450), path=(), area=flying_area, launch=None, landing=None)
    assert (need.from_m, need.to_m) == (None, None)
    assert need.asked_agl_m == pytest.approx(ft(500), abs=0.5)


# ---- fixed sites


WEST = attrs.evolve(fixed_site(box(-600, -100, 200, 100)), name="WEST (INVENTED)", key="west")
EAST = attrs.evolve(fixed_site(box(200, -100, 600, 100)), name="EAST (INVENTED)", key="east")


@pytest.mark.parametrize("sites", [(WEST, EAST), (EAST, WEST)])
def test_the_site_is_the_one_in_which_most_of_what_is_too_high_lies(sites):
    """Above 400 ft it flies 100 m in the west and 300 m in the east; below, all of it in the west."""
    need, _ = needed(purpose=FUN, charts=world(fixed_sites=sites))
    assert (need.subject, need.airspace) == (Subject.SITE_HEIGHT, "EAST (INVENTED)")


def test_only_an_authorization_of_that_site_speaks_of_it():
    late = {"valid_to_utc": WINDOW.end_utc - timedelta(minutes=9)}
    charts = world(fixed_sites=(EAST,))
    other = record("ANOTHER (INVENTED)", 200.0, **late)
    agreement = record("EAST (INVENTED)", 200.0, PermissionKind.FIXED_SITE_AGREEMENT, **late)
    need, _ = needed(other, agreement, purpose=FUN, charts=charts)
    assert (need.falls_short, need.shortfall) == (None, "")
    own = attrs.evolve(other, airspace="east", reference="INVENTED-2")
    need, _ = needed(other, own, purpose=FUN, charts=charts)
    assert need.falls_short == own
    assert "ends 9 min before the time window ends" in need.shortfall


def test_an_area_too_high_over_a_site_is_told_which_permission_would_do():
    given = {"path": (), "launch": None, "landing": None}
    flying_area = area(box(250, -50, 350, 50), AboveGround(ft(500)))
    _, answer = needed(purpose=FUN, charts=world(fixed_sites=(EAST,)), area=flying_area, **given)
    (stop,) = [one for one in answer.findings if one.rule == "area-above-limit"]
    assert stop.remedy.endswith(", or record the authorization of the fixed site")
    bare = assess_live(plan(FUN, area=flying_area, **given), world())
    (stop,) = [one for one in bare.findings if one.rule == "area-above-limit"]
    assert stop.remedy.endswith("let it follow the ground")
