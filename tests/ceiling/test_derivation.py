"""How a ceiling came about, reckoned again by hand at places of the demo missions.

The hand reckoning reads the raster, the records and the rules itself: 400 ft
above ground and structure by 14 CFR 107.51(b) (check_values 1.1, standing B),
cell values above ground by JO 7210.3 ch. 12 §10 (standing A).
"""

import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.derivation_words import derivation_lines
from planner.ceiling.derivation import StepKind, derive_along, derive_at, derive_sample
from planner.chart_folders import known_chart_sets
from planner.geo.geodesy import distance_m
from planner.geo.place import Place
from planner.locate import demo_missions_dir
from planner.plan.file import read_plan
from planner.surroundings import surroundings
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import at, disc, plan, tower, volume, world

LIMIT_M = 400 * FOOT_M
# The hand reckoning looks at 720 points of the rim where the program looks at 16.
HAND_M = 0.05


def assessed(name):
    mission = read_plan(demo_missions_dir() / f"{name}.lowline.geojson")
    return assess(mission, surroundings(mission, known_sets=known_chart_sets()))


def ground_by_hand(answer, place):
    """Ground straight below, and the lowest within the horizontal uncertainty, from the raster."""
    terrain, frame = answer.world.terrain, answer.scene.mapped.frame
    way = answer.scene.mapped.ground.way
    x_m, y_m = frame.place_to_xy(place)
    angle = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    radius_m = terrain.horizontal_uncertainty_m

    def heights(x, y):
        column, row = terrain.grid_position(*way.there(x, y))
        found = []
        for c, r in zip(np.atleast_1d(column), np.atleast_1d(row), strict=True):
            left, top = int(np.floor(c)), int(np.floor(r))
            corner = terrain.heights_m[top : top + 2, left : left + 2].astype(float)
            north = corner[0, 0] * (1 - (c - left)) + corner[0, 1] * (c - left)
            south = corner[1, 0] * (1 - (c - left)) + corner[1, 1] * (c - left)
            found.append(north * (1 - (r - top)) + south * (r - top))
        return np.array(found)

    here = float(heights(x_m, y_m)[0])
    rim = heights(x_m + radius_m * np.cos(angle), y_m + radius_m * np.sin(angle))
    return here, min(here, float(rim.min()))


def steps_of(derivation):
    return {step.kind: step for step in derivation.steps}


def test_under_the_open_sky_at_the_cliff():
    answer = assessed("cliff_level")
    derivation = derive_along(answer.scene, answer.track, 250.0)
    steps = steps_of(derivation)
    ground_m, lowest_m = ground_by_hand(answer, derivation.place)
    launch_m, _ = ground_by_hand(answer, answer.plan.launch.place)
    assert steps[StepKind.GROUND].result_m == pytest.approx(ground_m, abs=1e-3)
    assert steps[StepKind.LOWEST_GROUND].result_m == pytest.approx(lowest_m, abs=HAND_M)
    assert steps[StepKind.GROUND_LIMIT].result_m == pytest.approx(lowest_m + LIMIT_M, abs=HAND_M)
    assert (
        derivation.ceiling_amsl_m == steps[StepKind.CEILING].result_m == steps[StepKind.GROUND_LIMIT].result_m
    )
    readout_m = answer.plan.aircraft.readout.error_m
    expected = lowest_m + LIMIT_M - launch_m - readout_m
    assert steps[StepKind.ABOVE_LAUNCH].result_m == pytest.approx(expected, abs=HAND_M)


def test_beside_the_mast():
    answer = assessed("mast_dive_part107")
    derivation = derive_along(answer.scene, answer.track, 60.0)
    steps = steps_of(derivation)
    (mast,) = [one for one in answer.world.structures if one.key in answer.plan.structures_standing]
    away_m = distance_m(derivation.place, mast.place)
    assert away_m < 400 * FOOT_M - mast.horizontal_error_m
    top_m = mast.top_amsl_m - mast.vertical_error_m
    assert steps[StepKind.STRUCTURE_TOP].result_m == mast.top_amsl_m
    assert steps[StepKind.STRUCTURE_TOP].change_m == mast.horizontal_error_m
    assert steps[StepKind.STRUCTURE_ERROR].change_m == -mast.vertical_error_m
    assert steps[StepKind.STRUCTURE_ERROR].result_m == pytest.approx(top_m, abs=1e-6)
    assert derivation.ceiling_amsl_m == pytest.approx(top_m + LIMIT_M, abs=1e-6)


def test_under_a_facility_map_cell_and_under_the_agreement_of_a_site():
    answer = assessed("under_the_cell_value")
    derivation = derive_along(answer.scene, answer.track, 300.0)
    steps = steps_of(derivation)
    _, lowest_m = ground_by_hand(answer, derivation.place)
    assert steps[StepKind.CELL].change_m == pytest.approx(200 * FOOT_M)
    assert steps[StepKind.CELL].result_m == pytest.approx(lowest_m + 200 * FOOT_M, abs=HAND_M)
    assert steps[StepKind.AIRSPACE].result_m is None
    assert derivation.nothing_allowed
    assert steps[StepKind.ABOVE_LAUNCH].result_m is None

    agreed = assessed("fixed_site_with_agreement")
    derivation = derive_along(agreed.scene, agreed.track, 100.0)
    record = agreed.plan.permissions[0]
    _, lowest_m = ground_by_hand(agreed, derivation.place)
    (site,) = [one for one in agreed.world.fixed_sites if one.name == record.airspace]
    allowed_m = min(record.ceiling.m, site.ceiling_agl_m)
    step = steps_of(derivation)[StepKind.RECORD]
    assert step.name == record.reference
    assert derivation.ceiling_amsl_m == step.result_m == pytest.approx(lowest_m + allowed_m, abs=HAND_M)


@pytest.mark.parametrize(
    "name", ["canyon_run", "cliff_level", "mast_dive_part107", "mast_dive_recreational", "under_the_shelf"]
)
def test_it_ends_where_the_profile_is_at_every_sample(name):
    answer = assessed(name)
    for sample in range(0, len(answer.track), 7):
        derived = derive_sample(answer.scene, answer.track, sample).ceiling_amsl_m
        ceiling_m = answer.profile.ceiling_amsl_m[sample]
        assert derived == (None if np.isnan(ceiling_m) else ceiling_m)


def test_the_shelf_sets_the_ceiling_by_its_floor():
    answer = assessed("under_the_shelf")
    derivation = derive_along(answer.scene, answer.track, 200.0)
    (shelf,) = {volume.floor.m for volume in answer.world.airspace if volume.floor.m == 1300 * FOOT_M}
    assert steps_of(derivation)[StepKind.AIRSPACE].result_m == derivation.ceiling_amsl_m == shelf


def test_any_place_off_the_path_can_be_asked_about():
    charts = world(airspace=(volume(AirspaceKind.RESTRICTED, disc(200, (0, 600))),))
    answer = assess(plan(), charts)
    free = derive_at(answer.scene, at(0, 300))
    assert free.ceiling_amsl_m == pytest.approx(free.ground_amsl_m + LIMIT_M)
    assert derive_at(answer.scene, at(0, 600)).nothing_allowed
    nowhere = derive_at(answer.scene, Place(-150.2, 37.95))
    assert nowhere.ceiling_amsl_m is None
    assert not nowhere.nothing_allowed


def test_a_structure_that_is_not_confirmed_is_named_and_raises_nothing():
    answer = assess(plan(), world(structures=(tower(402, horizontal_error_m=15.24),)))
    derivation = derive_at(answer.scene, at(50, 0))
    step = steps_of(derivation)[StepKind.STRUCTURE_NOT_CONFIRMED]
    assert step.name == "TOWER of 402 ft"
    assert derivation.ceiling_amsl_m == pytest.approx(derivation.ground_amsl_m + LIMIT_M)


def test_in_words():
    answer = assess(
        plan(structures_standing=frozenset({"tower 402"})),
        world(structures=(tower(402, horizontal_error_m=15.24, vertical_error_m=3.048),)),
    )
    lines = derivation_lines(derive_at(answer.scene, at(50, 0)))
    said = [(line.what, line.change, line.height) for line in lines]
    # Ground of 1,000 ft is kept in single precision, as 999.99996 ft.
    assert ("the height limit above that ground", "+ 400 ft", "1,400 ft") in said
    assert (
        "top of TOWER of 402 ft, within its radius; the radius is reduced",
        "by 50 ft to 350 ft",
        "1,402 ft",
    ) in said
    assert ("the vertical error of that record is taken off", "− 10 ft", "1,392 ft") in said
    assert ("the allowance above TOWER of 402 ft", "+ 400 ft", "1,792 ft") in said
    assert ("error of the readout, as you state it", "not known", "") in said
    closed = assess(plan(), world(airspace=(volume(AirspaceKind.RESTRICTED, name="INVENTED R"),)))
    said = [line.what for line in derivation_lines(derive_at(closed.scene, at()))]
    assert "nothing is allowed here with the permissions on record" in said
    assert "floor of INVENTED R" in said
