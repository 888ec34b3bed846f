"""What the rules on height say beside the mark: what a small fault in them would change unnoticed.

Figures are arithmetic on made worlds; limits are those of 14 CFR 107.51(b) and 49 USC 44809 (as in
tests/published), the choice of words is the project's own.
"""

import math

import attrs
import pytest

from planner.assess import assess
from planner.ceiling.profile import Binding
from planner.geo.heights import AboveSeaLevel
from planner.plan.aircraft import Aircraft, OverPeople, RemoteId
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    GROUND_M,
    disc,
    hover,
    level,
    plan,
    points,
    record,
    sea_level,
    slope,
    terrain,
    tower,
    volume,
    world,
)


def of_rule(answer, rule):
    return [finding for finding in answer.findings if finding.rule == rule]


# 14 CFR 107.51(b) (check_values 1.1, standing B): a 402-ft tower raises the limit to 802 ft, if it stands.
def test_above_the_ground_limit_beside_a_tower_the_remedy_names_it():
    charts = world(structures=(tower(402, (0.0, 30.0), key="t"),))
    high = plan(path=hover(700 * FOOT_M))
    (stop,) = of_rule(assess(high, charts), "above-height-limit")
    assert stop.mark is Mark.STOP
    assert "confirm that the structure" in stop.remedy
    stands = assess(attrs.evolve(high, structures_standing=frozenset({"t"})), charts)
    assert not of_rule(stands, "above-height-limit")
    (note,) = of_rule(stands, "structure-allowance")
    assert note.mark is Mark.NOTE
    away = assess(plan(path=hover(700 * FOOT_M, (400.0, 0.0))), charts)
    (stop,) = of_rule(away, "above-height-limit")
    assert "waiver of 14 CFR 107.51" in stop.remedy


def test_with_much_room_nothing_is_close():
    assert not of_rule(assess(plan(), world()), "close-under-limit")


def test_close_under_the_limit_to_the_very_end_of_the_path():
    ground = terrain(level(), cell_m=10, cells=301, vertical_uncertainty_m=5.0)
    path = points([(-300, 0, 30.0), (300, 0, AboveSeaLevel(GROUND_M + 400 * FOOT_M - 2.0))])
    answer = assess(plan(path=path), world(terrain=ground))
    (act,) = of_rule(answer, "close-under-limit")
    assert act.to_m == pytest.approx(answer.track.length_m)
    assert act.numbers["room_m"] == pytest.approx(2.0, abs=0.01)
    assert answer.verdict is Verdict.READY


def test_where_nobody_can_say_what_could_be_asked_nothing_is_promised():
    """Recreational in Class D without a cell: the statute names no height (check_values 1.5, standing A)."""
    charts = world(airspace=(volume(AirspaceKind.CLASS_D, disc(5_000), name="INVENTED D"),))
    answer = assess(plan(Purpose.RECREATIONAL, path=hover(30.0)), charts)
    for asked, ceiling in zip(answer.profile.requestable_amsl_m, answer.profile.ceiling_amsl_m, strict=True):
        assert math.isnan(asked) or asked <= ceiling


def test_a_mast_of_unknown_top_stands_on_the_ground_nearest_to_it():
    """Wires count from the ground at the mast, not from that at the far end of the path (rule of thumb)."""
    ground = terrain(slope(0.2), cell_m=10, cells=301)
    mast = tower(400, (0.0, 0.0), guyed=True, top_amsl_m=None)
    path = points([(-400, 50, 30.0), (400, 50, 30.0)])
    assert of_rule(assess(plan(path=path), world(terrain=ground, structures=(mast,))), "guy-wires")
    above = points([(-400, 50, 75.0), (400, 50, 75.0)])
    found = of_rule(assess(plan(path=above), world(terrain=ground, structures=(mast,))), "guy-wires")
    assert not found


def test_category_1_is_a_matter_of_part_107_alone_and_weights_are_told_to_the_gram():
    heavy = Aircraft("quad", 0.2495, 0.2, registration="X", remote_id=RemoteId.STANDARD)
    claimed = attrs.evolve(heavy, over_people=OverPeople.CATEGORY_1, propeller_guards=True)
    (stop,) = of_rule(assess(plan(aircraft=claimed), world()), "not-category-1")
    assert "0.551 lb (249.5 g)" in stop.message
    assert not of_rule(assess(plan(Purpose.RECREATIONAL, aircraft=claimed), world()), "not-category-1")
    assert not of_rule(assess(plan(aircraft=None), world()), "not-category-1")


def test_the_worst_place_is_told_not_the_first():
    """Over ground that falls by 0.1 m a metre a level run is worst at its far end."""
    ground = terrain(slope(-0.1), cell_m=10, cells=301)
    path = points([(-300, 0, AboveSeaLevel(GROUND_M + 122)), (300, 0, AboveSeaLevel(GROUND_M + 122))])
    answer = assess(plan(path=path), world(terrain=ground))
    (stop,) = of_rule(answer, "above-height-limit")
    assert stop.numbers["over_m"] == pytest.approx(122 + 30 - 400 * FOOT_M, abs=0.05)


def test_a_record_without_accuracy_adds_what_is_taken_of_it_to_the_reach_of_its_wires():
    """30 m, as of any record that does not state how far off it may be (own choice)."""
    mast = tower(400, (0.0, 0.0), guyed=True, horizontal_error_m=None)
    path = points([(-400, 50, 10.0), (400, 50, 10.0)])
    (act,) = of_rule(assess(plan(path=path), world(structures=(mast,))), "guy-wires")
    assert act.numbers["reach_m"] == pytest.approx(0.8 * 400 * FOOT_M + 30.0)
    assert act.numbers["aside_m"] == pytest.approx(50.0, abs=0.01)  # the nearest pass, between samples too


def test_up_to_the_top_of_the_airspace_it_is_the_record_that_permits():
    """49 USC 44809(a)(5) names no height (check_values 1.5, standing A): the record's is the limit."""
    tower_d = volume(AirspaceKind.CLASS_D, disc(5_000), name="INVENTED D", top=sea_level(GROUND_M + 300))
    granted = record("INVENTED D", AboveSeaLevel(GROUND_M + 1_000))
    answer = assess(
        plan(Purpose.RECREATIONAL, path=hover(250.0), permissions=(granted,)), world(airspace=(tower_d,))
    )
    assert answer.profile.ceiling_amsl_m[0] == pytest.approx(GROUND_M + 300)
    assert set(answer.profile.binding) == {Binding.PERMITTED_HEIGHT}


# Design of the program: a path begins and ends at the ground, so its very ends are not told as low; the
# terrain's stated uncertainty is 2 m here.
@pytest.mark.parametrize(
    ("heights_m", "low"),
    [
        ((1.0, 30.0, 30.0), False),
        ((30.0, 30.0, 1.0), False),
        ((30.0, 1.0, 30.0), True),
        ((3.0, 30.0, 3.0), False),
    ],
)
def test_only_between_its_ends_is_a_path_very_low(heights_m, low):
    charts = world(terrain=terrain(vertical_uncertainty_m=2.0))
    path = points([(200.0 * number, 0.0, height) for number, height in enumerate(heights_m)])
    found = [each for each in assess(plan(path=path), charts).findings if each.title == "Very low"]
    assert bool(found) is low
    for each in found:
        # The low point lies at the end of the first leg: 200 m along the ground, 29 m down.
        assert each.from_m <= math.hypot(200.0, 29.0) + 0.01
        assert each.to_m >= math.hypot(200.0, 29.0) - 0.01
        assert each.mark is Mark.ACT
        assert each.numbers["planned_agl_m"] == pytest.approx(1.0, abs=0.01)


def test_a_path_of_one_point_is_told_at_its_point():
    (found,) = of_rule(assess(plan(path=hover(30.0)[:1]), world()), "path-of-one-point")
    assert (found.mark, found.place) == (Mark.UNKNOWN, hover(30.0)[0].place)
