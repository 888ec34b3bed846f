"""How the ceiling came about where it jumps: there the axis holds two samples at one distance.

Heights by 14 CFR 107.51(b) (check_values 1.1, standing B): a 402-ft tower allows 802 ft within 400 ft.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess_live
from planner.ceiling.derivation import StepKind, derive_along
from planner.geo.heights import AboveSeaLevel
from tests.worlds import GROUND_M, cliff, ft, plan, points, terrain, tower, world

MAST = tower(402)


def stop_of(path, charts):
    answer = assess_live(plan(path=path, structures_standing=frozenset({MAST.key})), charts)
    (stop,) = [one for one in answer.findings if one.rule == "above-height-limit"]
    return answer, stop


def derived(answer, at_m):
    return derive_along(answer.scene, answer.track, at_m)


@pytest.mark.parametrize(("west_m", "east_m"), [(-100.0, 200.0), (200.0, -100.0)])
def test_beside_a_radius_the_ceiling_that_was_passed_is_told(west_m, east_m):
    answer, stop = stop_of(points([(west_m, 0, ft(500)), (east_m, 0, ft(500))]), world(structures=(MAST,)))
    for at_m in (stop.numbers["at_m"], stop.from_m, stop.to_m):
        there = derived(answer, at_m)
        assert there.ceiling_amsl_m == pytest.approx(GROUND_M + ft(400))
        assert StepKind.STRUCTURE_LIMIT not in {step.kind for step in there.steps}
    inside = derived(answer, stop.from_m - 1.0 if west_m < east_m else stop.to_m + 1.0)
    assert inside.ceiling_amsl_m == pytest.approx(GROUND_M + ft(802))


def test_a_finding_leads_to_its_worst_place_not_to_its_first():
    """A level run 50 m over a plateau, and 150 m over the ground 100 m lower beyond its edge."""
    ground = terrain(cliff(100.0), cell_m=5.0, cells=301)
    level_run = points([(-300, 0, AboveSeaLevel(GROUND_M + 50)), (300, 0, AboveSeaLevel(GROUND_M + 50))])
    answer, stop = stop_of(level_run, world(terrain=ground))
    there = derived(answer, stop.numbers["at_m"])
    over_m = GROUND_M + 50 - there.ceiling_amsl_m
    assert over_m == pytest.approx(stop.numbers["over_m"])
    assert over_m == pytest.approx(150 - ft(400), abs=0.01)


def test_where_one_side_of_a_jump_is_not_known_that_side_is_told():
    answer, stop = stop_of(points([(-100.0, 0, ft(500)), (200.0, 0, ft(500))]), world(structures=(MAST,)))
    track = answer.track
    sample = int(np.argmin(np.abs(track.distance_m - stop.from_m)))
    unknown = track.lowest_ground_amsl_m.copy()
    unknown[sample] = np.nan
    torn = attrs.evolve(track, lowest_ground_amsl_m=unknown)
    assert derive_along(answer.scene, torn, stop.from_m).ceiling_amsl_m is None
