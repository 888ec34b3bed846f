"""Airspace of which only the authority can say whether it is open: its floor is the ceiling.

49 USC 44809(a)(6) lets recreational flights into Class G and (a)(5) into surface areas, and names no other
Class E; whether extensions (E3, E4) need authorization sources part on (check_values 1.8 and 1.13, standing
B). That the floor bounds what is told as allowed until an answer is on record is the program's own rule.
"""

import math

import numpy as np
import pytest

from planner.assess import assess
from planner.ceiling.derivation import StepKind, derive_along
from planner.ceiling.profile import Binding
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    GROUND_M,
    above_ground,
    area,
    box,
    ft,
    hover,
    plan,
    points,
    record,
    sea_level,
    terrain,
    volume,
    world,
)

FUN = Purpose.RECREATIONAL
LOW_E = volume(AirspaceKind.CLASS_E_OTHER, floor=above_ground(ft(200)), name="INVENTED LOW E")


def judged(height_ft, *airspace, purpose=FUN, **flight):
    given = {"path": hover(ft(height_ft)), **flight}
    return assess(plan(purpose, **given), world(airspace=airspace))


def ceiling_ft(answer):
    (only,) = {round((height - GROUND_M) / 0.3048, 3) for height in answer.profile.ceiling_amsl_m}
    return only


def test_the_floor_of_class_e_is_the_ceiling_of_a_recreational_flight_under_it():
    answer = judged(100, LOW_E)
    assert answer.verdict is Verdict.READY
    assert ceiling_ft(answer) == pytest.approx(200, abs=0.05)
    assert set(answer.profile.binding) == {Binding.AIRSPACE_FLOOR}
    assert set(answer.profile.binding_name) == {"INVENTED LOW E"}
    steps = derive_along(answer.scene, answer.track, 10.0).steps
    assert any(step.kind is StepKind.AIRSPACE and step.name == "INVENTED LOW E" for step in steps)


def test_part_107_flies_in_that_class_e_unasked():
    """14 CFR 107.41 names B, C, D and surface areas of E. Standing A."""
    assert ceiling_ft(judged(100, LOW_E, purpose=Purpose.PART_107)) == pytest.approx(400, abs=0.05)


def test_at_the_floor_itself_a_flight_is_still_under_it():
    answer = judged(200, LOW_E)
    assert ceiling_ft(answer) == pytest.approx(200, abs=0.05)
    assert "class-e-recreational" not in {one.rule for one in answer.findings}


def test_close_under_the_floor_is_something_to_do():
    charts = world(airspace=(LOW_E,), terrain=terrain(vertical_uncertainty_m=2.0))
    found = assess(plan(FUN, path=hover(ft(198))), charts).findings
    marks = {one.mark for one in found if one.rule == "close-under-limit"}
    assert marks == {Mark.ACT}


def test_within_it_the_ceiling_is_not_known_and_only_the_authority_can_say():
    answer = judged(250, LOW_E)
    assert answer.verdict is Verdict.UNDETERMINED
    assert np.isnan(answer.profile.ceiling_amsl_m).all()
    assert set(answer.profile.binding) == {Binding.UNKNOWN}
    assert not answer.profile.in_unpermitted.any()
    derived = derive_along(answer.scene, answer.track, 10.0)
    assert derived.ceiling_amsl_m is None
    assert StepKind.OPEN_QUESTION in {step.kind for step in derived.steps}


@pytest.mark.parametrize(
    ("kind", "height_ft", "ceiling"),
    [
        (PermissionKind.AUTHORIZATION, 300, 300.0),
        (PermissionKind.AUTHORIZATION, 600, 400.0),
        (PermissionKind.AGENCY, 300, 300.0),
        # Own rule: an answer that names no height opens none; what is missing makes nothing ready.
        (PermissionKind.AUTHORIZATION, None, None),
        (PermissionKind.AGENCY, None, None),
        (PermissionKind.FIXED_SITE_AGREEMENT, 300, None),
    ],
)
def test_an_answer_on_record_opens_it_as_far_as_it_goes(kind, height_ft, ceiling):
    answer_on_record = record("INVENTED LOW E", None if height_ft is None else ft(height_ft), kind)
    answer = judged(250, LOW_E, permissions=(answer_on_record,))
    if ceiling is None:
        assert np.isnan(answer.profile.ceiling_amsl_m).all()
    else:
        assert ceiling_ft(answer) == pytest.approx(ceiling, abs=0.05)


def test_an_answer_for_part_of_the_path_opens_that_part_only():
    ring = tuple(Place(*corner) for corner in box(-900, -100, 0, 100).exterior.coords[:-1])
    west = record("INVENTED LOW E", ft(300), PermissionKind.AUTHORIZATION, ring=ring)
    path = points([(-200, 0, ft(250)), (200, 0, ft(250))])
    answer = judged(250, LOW_E, permissions=(west,), path=path)
    x_m, ceiling_m = answer.track.distance_m, answer.profile.ceiling_amsl_m
    np.testing.assert_allclose(ceiling_m[x_m < 199] - GROUND_M, ft(300), atol=0.02)
    assert np.isnan(ceiling_m[x_m > 201]).all()
    assert (x_m > 201).any()


@pytest.mark.parametrize("purpose", Purpose)
@pytest.mark.parametrize("kind", [AirspaceKind.CLASS_E3, AirspaceKind.CLASS_E4])
def test_in_an_extension_no_ceiling_is_known(purpose, kind):
    answer = judged(100, volume(kind), purpose=purpose)
    assert np.isnan(answer.profile.ceiling_amsl_m).all()
    assert answer.verdict is Verdict.UNDETERMINED


def test_where_nothing_is_allowed_anyway_that_stays_known():
    answer = judged(100, volume(AirspaceKind.CLASS_D), volume(AirspaceKind.CLASS_E4))
    assert ceiling_ft(answer) == 0.0
    assert set(answer.profile.binding) == {Binding.NO_PERMISSION}


def test_an_area_is_held_against_the_floor_too():
    field = area(box(-100, -100, 100, 100), AboveGround(ft(150)))
    answer = judged(0, LOW_E, path=(), area=field)
    assert answer.area.binding is Binding.AIRSPACE_FLOOR
    assert answer.area.lowest_limit_agl_m == pytest.approx(ft(200), abs=0.02)


def test_a_floor_above_the_height_limit_changes_nothing():
    high = volume(AirspaceKind.CLASS_E_OTHER, floor=sea_level(GROUND_M + ft(700)))
    answer = judged(100, high)
    assert ceiling_ft(answer) == pytest.approx(400, abs=0.05)
    assert set(answer.profile.binding) == {Binding.GROUND}
    assert not math.isnan(answer.profile.requestable_amsl_m[0])


# ---- what is closed at certain times, while no time is set (14 CFR 73.3: times of designation)


R = AirspaceKind.RESTRICTED
BY_DAY = {"schedule": "0600-2200Z", "name": "INVENTED R-1"}


@pytest.mark.parametrize(
    ("closed", "given", "binding"),
    [
        (volume(R, **BY_DAY), {"window": None}, Binding.UNKNOWN),
        (volume(R, **BY_DAY), {}, Binding.CLOSED),
        (volume(R), {"window": None}, Binding.CLOSED),
        (volume(R), {}, Binding.CLOSED),
        (
            volume(AirspaceKind.CLASS_D, schedule="0600-2200Z; OTHER TIMES CLASS G"),
            {"window": None},
            Binding.NO_PERMISSION,
        ),
    ],
)
def test_only_what_forbids_at_times_is_open_until_a_time_is_set(closed, given, binding):
    answer = judged(100, closed, purpose=Purpose.PART_107, **given)
    assert set(answer.profile.binding) == {binding}
    assert np.isnan(answer.profile.ceiling_amsl_m).all() == (binding is Binding.UNKNOWN)


def test_above_the_flight_it_bounds_the_ceiling_at_its_floor():
    above = volume(R, floor=above_ground(ft(200)), **BY_DAY)
    assert ceiling_ft(judged(100, above, purpose=Purpose.PART_107, window=None)) == pytest.approx(
        200, abs=0.05
    )


def test_of_one_name_one_part_that_is_closed_always_closes_all_that_is_entered():
    west = volume(R, box(-2_000, -500, 0, 500), key="west", **BY_DAY)
    east = volume(R, box(0, -500, 2_000, 500), key="east", name="INVENTED R-1")
    path = points([(-300, 0, 30.0), (300, 0, 30.0)])
    answer = judged(100, west, east, purpose=Purpose.PART_107, window=None, path=path)
    assert set(answer.profile.binding) == {Binding.CLOSED}
