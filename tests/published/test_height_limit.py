"""The height limit against published cases. Uncertainties are zero, as the tables compare without them.

Heights are compared to 0.01 ft: terrain is stored in 32 bits.
"""

import pytest

from planner.assess import assess
from planner.ceiling.profile import Binding
from planner.geo.heights import AboveSeaLevel
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.units import FOOT_M, ft_from_m
from tests import worlds
from tests.worlds import GROUND_M, at, ft, hover, plan, record, recreational, tower, world

FOOT_TOLERANCE = 0.01


def ceiling_agl_ft(answer) -> float:
    """The ceiling above the ground at the start of the path [ft]."""
    above_m = answer.profile.ceiling_amsl_m[0] - answer.track.ground_amsl_m[0]
    return float(ft_from_m(above_m))


def beside(height_ft, distance_ft, planned_m=30.0, **changes):
    """A plan that hovers at a distance east of a structure that the pilot has seen standing."""
    there = tower(height_ft, **changes)
    charts = world(structures=(there,))
    # One metre further out, so that the whole path is at least that far away.
    path = worlds.points([(ft(distance_ft), 0, planned_m), (ft(distance_ft) - 1e-3, 0, planned_m)])
    return charts, {"path": path, "structures_standing": frozenset({there.key})}


# Source: 14 CFR 107.51(b) with FAA-CT-8080-2H Fig. 78 (towers 4 NM SW of SUX), check_values 1.1.
# Standing B. Tolerance 0 ft on the logic.
@pytest.mark.parametrize(("structure_ft", "limit_ft"), [(402, 802), (275, 675), (500, 900)])
def test_400_ft_above_a_structure_under_part_107(structure_ft, limit_ft):
    charts, changes = beside(structure_ft, 100)
    answer = assess(plan(**changes), charts)
    assert ceiling_agl_ft(answer) == pytest.approx(limit_ft, abs=FOOT_TOLERANCE)
    assert answer.profile.binding[0] is Binding.STRUCTURE
    assert answer.verdict is Verdict.READY


# check_values 1.1, standing B: "at 401 ft horizontally -> 400"; distance compare <= 0.1 ft.
@pytest.mark.parametrize(("distance_ft", "limit_ft"), [(399.9, 802), (400.1, 400), (401, 400)])
def test_the_radius_is_400_ft(distance_ft, limit_ft):
    charts, changes = beside(402, distance_ft)
    assert ceiling_agl_ft(assess(plan(**changes), charts)) == pytest.approx(limit_ft, abs=FOOT_TOLERANCE)


# check_values 1.1 again, as verdicts: one foot under and one foot over the limit.
@pytest.mark.parametrize(("planned_ft", "verdict"), [(801, Verdict.READY), (803, Verdict.MUST_CHANGE)])
def test_802_ft_is_where_the_verdict_turns(planned_ft, verdict):
    charts, changes = beside(402, 100, planned_m=ft(planned_ft))
    assert assess(plan(**changes), charts).verdict is verdict


# Source: derived from 107.51(b), check_values 1.2. Standing computed, tolerance 1 ft.
# Base 1,000 ft MSL, a 100-ft mast (top 1,100), the point over ground at 950 ft.
@pytest.mark.parametrize(
    ("distance_ft", "limit_msl_ft", "limit_agl_ft"), [(300, 1500, 550), (401, 1350, 400)]
)
def test_structure_and_terrain_limits_are_compared_above_sea_level(distance_ft, limit_msl_ft, limit_agl_ft):
    mast = tower(100, base_m=ft(1000))
    charts = world(terrain=worlds.terrain(worlds.level(ft(950))), structures=(mast,))
    answer = assess(
        plan(path=hover(30.0, (ft(distance_ft), 0)), structures_standing=frozenset({mast.key})), charts
    )
    assert ft_from_m(answer.profile.ceiling_amsl_m[0]) == pytest.approx(limit_msl_ft, abs=FOOT_TOLERANCE)
    assert ceiling_agl_ft(answer) == pytest.approx(limit_agl_ft, abs=FOOT_TOLERANCE)


# Source: JO 7210.3 ch. 12 sec. 10 NOTE, check_values 1.3. Standing A: by default man-made things only.
def test_a_cliff_adds_nothing():
    charts = world(terrain=worlds.terrain(worlds.cliff(ft(300)), cell_m=10.0, cells=401))
    top, foot = hover(30.0, (-60.0, 0.0)), hover(30.0, (60.0, 0.0))
    assert ceiling_agl_ft(assess(plan(path=top), charts)) == pytest.approx(400, abs=FOOT_TOLERANCE)
    below = assess(plan(path=foot), charts)
    assert ceiling_agl_ft(below) == pytest.approx(400, abs=FOOT_TOLERANCE)
    assert ft_from_m(below.profile.ceiling_amsl_m[0]) == pytest.approx(1100, abs=FOOT_TOLERANCE)


# Source: 14 CFR 107.51(b), check_values 1.1, standing B: within 400 ft of any of them the higher one counts.
def test_neighbouring_structures_unite():
    """Two towers 700 ft apart: between them the path never leaves a radius; beyond the second it does."""
    low, high = tower(300, (0.0, 0.0)), tower(402, (ft(700), 0.0))
    path = worlds.points([(0.0, 0.0, ft(390)), (ft(1_200), 0.0, ft(390))])
    standing = frozenset({low.key, high.key})
    answer = assess(plan(path=path, structures_standing=standing), world(structures=(low, high)))
    at_ft = ft_from_m(answer.track.distance_m)
    limit_ft = ft_from_m(answer.profile.ground_limit_amsl_m - answer.track.ground_amsl_m)
    assert limit_ft[at_ft < 299.9] == pytest.approx(700, abs=FOOT_TOLERANCE)
    assert limit_ft[(at_ft > 300.1) & (at_ft < 1_099.9)] == pytest.approx(802, abs=FOOT_TOLERANCE)
    assert limit_ft[at_ft > 1_100.1] == pytest.approx(400, abs=FOOT_TOLERANCE)
    edges_ft = sorted({round(float(each), 1) for each in at_ft})
    assert {300.0, 1_100.0} <= set(edges_ft)


def test_a_structure_nobody_has_seen_standing_adds_nothing():
    """Design of the program: the allowance wants the pilot's word that the structure still stands."""
    charts, changes = beside(402, 100)
    answer = assess(plan(path=changes["path"]), charts)
    assert ceiling_agl_ft(answer) == pytest.approx(400, abs=FOOT_TOLERANCE)


# Source: Order 8260.19J App. C and check_values 10 ("Use"), 15. Standing A: code 1A shrinks the
# radius to 380 ft and the top by 3 ft; 2B (row 10) to 350 ft and 10 ft; 4D to 150 ft and 50 ft.
@pytest.mark.parametrize(
    ("accuracy_ft", "radius_ft", "limit_ft"),
    [((20, 3), 380, 799), ((50, 10), 350, 792), ((250, 50), 150, 752)],
)
def test_the_allowance_shrinks_by_the_accuracy_of_the_record(accuracy_ft, radius_ft, limit_ft):
    errors = {"horizontal_error_m": ft(accuracy_ft[0]), "vertical_error_m": ft(accuracy_ft[1])}
    inside, changes = beside(402, radius_ft - 1, **errors)
    assert ceiling_agl_ft(assess(plan(**changes), inside)) == pytest.approx(limit_ft, abs=FOOT_TOLERANCE)
    outside, changes = beside(402, radius_ft + 1, **errors)
    assert ceiling_agl_ft(assess(plan(**changes), outside)) == pytest.approx(400, abs=FOOT_TOLERANCE)


# The same sources: worse than 4, 9 or I, unknown or blank, dismantled, a point of a line: no allowance.
@pytest.mark.parametrize(
    "changes",
    [
        {"horizontal_error_m": ft(500)},
        {"horizontal_error_m": None},
        {"vertical_error_m": None},
        {"top_amsl_m": None},
        {"dismantled": True},
        {"is_point_of_line": True},
    ],
)
def test_a_record_that_can_not_be_relied_on_gives_no_allowance(changes):
    charts, plan_changes = beside(402, 50, **changes)
    answer = assess(plan(**plan_changes), charts)
    assert ceiling_agl_ft(answer) == pytest.approx(400, abs=FOOT_TOLERANCE)


# Source: 49 USC 44809(a)(6) as amended 16 May 2024 (P.L. 118-63 sec. 928), check_values 1.4. Standing A.
def test_recreational_flights_have_no_structure_allowance():
    charts, changes = beside(402, 100)
    answer = assess(recreational(**changes), charts)
    assert ceiling_agl_ft(answer) == pytest.approx(400, abs=FOOT_TOLERANCE)
    assert answer.profile.binding[0] is Binding.GROUND


# The same statute: from the surface to not more than 400 ft; standing A, tolerance 0.
@pytest.mark.parametrize("purpose", Purpose)
@pytest.mark.parametrize(("planned_ft", "verdict"), [(400, Verdict.READY), (401, Verdict.MUST_CHANGE)])
def test_400_ft_above_ground_in_class_g(purpose, planned_ft, verdict):
    level = hover(AboveSeaLevel(GROUND_M + ft(planned_ft) - 1e-4))
    assert assess(plan(purpose, path=level), world()).verdict is verdict


# Source: 49 USC 44809(c)(2)(C) as amended 2024, check_values 1.6. Standing A: a fixed site in Class G,
# 500 ft planned, no authorization fails, with one it passes; an ordinary field at 500 ft fails.
@pytest.mark.parametrize(
    ("site", "permissions", "verdict"),
    [
        (True, (), Verdict.MUST_CHANGE),
        (True, (record("INVENTED MEADOW", ft(500)),), Verdict.READY),
        (True, (record("INVENTED MEADOW", ft(450)),), Verdict.MUST_CHANGE),
        # An agreement with a facility is for controlled airspace; in Class G it authorizes nothing.
        (
            True,
            (record("INVENTED MEADOW", ft(500), PermissionKind.FIXED_SITE_AGREEMENT),),
            Verdict.MUST_CHANGE,
        ),
        (False, (record("INVENTED MEADOW", ft(500)),), Verdict.MUST_CHANGE),
    ],
)
def test_fixed_site_in_class_g(site, permissions, verdict):
    charts = world(fixed_sites=(worlds.fixed_site(),) if site else ())
    flight = recreational(path=hover(ft(500)), permissions=permissions)
    assert assess(flight, charts).verdict is verdict


# Source: community organization FAQ, 23 Apr 2025, check_values 1.7. Standing B: a listed field under a
# 700-ft floor may go to 700, an unlisted one to 400.
def test_a_fixed_site_never_exceeds_its_published_ceiling():
    charts = world(fixed_sites=(worlds.fixed_site(ceiling_ft=700),))
    allowed = (record("INVENTED MEADOW", ft(900)),)
    answer = assess(recreational(path=hover(30.0), permissions=allowed), charts)
    assert ceiling_agl_ft(answer) == pytest.approx(700, abs=FOOT_TOLERANCE)
    assert answer.profile.binding[0] is Binding.SITE_HEIGHT


def test_part_107_has_no_fixed_sites():
    """49 USC 44809(c) speaks of recreational flights only. Standing A."""
    charts = world(fixed_sites=(worlds.fixed_site(),))
    flight = plan(path=hover(ft(500)), permissions=(record("INVENTED MEADOW", ft(500)),))
    assert assess(flight, charts).verdict is Verdict.MUST_CHANGE


# Source: 14 CFR 107.200, 107.205, check_values 15. Standing A and B: 107.51 can be waived; the program
# counts a waiver only when it is recorded, and never for a recreational flight.
@pytest.mark.parametrize(
    ("purpose", "ceiling_ft", "verdict"),
    [
        (Purpose.PART_107, 600, Verdict.READY),
        (Purpose.PART_107, 500, Verdict.MUST_CHANGE),
        (Purpose.PART_107, None, Verdict.MUST_CHANGE),
        (Purpose.RECREATIONAL, 600, Verdict.MUST_CHANGE),
    ],
)
def test_a_waiver_counts_when_recorded(purpose, ceiling_ft, verdict):
    height = None if ceiling_ft is None else ft(ceiling_ft)
    waiver = record("14 CFR 107.51(b)", height, PermissionKind.WAIVER)
    assert assess(plan(purpose, path=hover(ft(550)), permissions=(waiver,)), world()).verdict is verdict


def test_the_stop_says_how_far_above():
    answer = assess(plan(path=hover(ft(450))), world())
    stop = next(finding for finding in answer.findings if finding.mark is Mark.STOP)
    assert stop.rule == "above-height-limit"
    assert stop.numbers["over_m"] / FOOT_M == pytest.approx(50, abs=FOOT_TOLERANCE)
    assert stop.place is not None
    assert stop.place.lon_deg == pytest.approx(at().lon_deg, abs=1e-6)
