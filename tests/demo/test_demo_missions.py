"""Every demo mission opens, and says what it is there to show."""

import attrs
import pytest

from planner.assess import assess
from planner.ceiling.profile import Binding
from planner.chart_folders import known_chart_sets
from planner.locate import demo_missions_dir
from planner.permission.need import Route
from planner.plan.crew import Role
from planner.plan.file import read_plan
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.surroundings import surroundings

VERDICTS = {
    "ridge_line": Verdict.READY,
    "freestyle_box": Verdict.READY,
    "mast_dive_recreational": Verdict.MUST_CHANGE,
    "mast_dive_part107": Verdict.READY,
    "cliff_level": Verdict.MUST_CHANGE,
    "cliff_sink_line": Verdict.READY,
    "fixed_site_without_agreement": Verdict.PERMISSION_NEEDED,
    "fixed_site_with_agreement": Verdict.READY,
    "under_the_cell_value": Verdict.PERMISSION_NEEDED,
    "above_the_cell_value_part107": Verdict.PERMISSION_NEEDED,
    "above_the_cell_value_recreational": Verdict.PERMISSION_NEEDED,
    "under_the_shelf": Verdict.PERMISSION_NEEDED,
    "canyon_run": Verdict.UNDETERMINED,
    "behind_the_pines": Verdict.MUST_CHANGE,
    "canyon_hidden": Verdict.MUST_CHANGE,
    "evening_glare": Verdict.UNDETERMINED,
    "twilight_without_light": Verdict.MUST_CHANGE,
    "twilight_with_light": Verdict.READY,
    "long_ridge_small_quad": Verdict.MUST_CHANGE,
    "long_run_against_the_wind": Verdict.MUST_CHANGE,
    "long_run_shorter": Verdict.READY,
    "canyon_video_breaks": Verdict.MUST_CHANGE,
    "ridge_return_too_low": Verdict.MUST_CHANGE,
    "ridge_return_too_high": Verdict.MUST_CHANGE,
    "trail_drop": Verdict.MUST_CHANGE,
    "trail_return_into_trees": Verdict.MUST_CHANGE,
    "car_chase_overhead": Verdict.MUST_CHANGE,
    "car_chase_beside": Verdict.READY,
    "two_pilots_one_channel": Verdict.MUST_CHANGE,
}


def assessed(name):
    plan = read_plan(demo_missions_dir() / f"{name}.lowline.geojson")
    return assess(plan, surroundings(plan, known_sets=known_chart_sets()))


def test_every_file_of_the_folder_is_asserted_here():
    found = {path.name.removesuffix(".lowline.geojson") for path in demo_missions_dir().iterdir()}
    assert found == set(VERDICTS)


@pytest.mark.parametrize("name", VERDICTS)
def test_verdict_and_stamps(name):
    answer = assessed(name)
    assert answer.verdict is VERDICTS[name]
    assert answer.world.invented
    assert answer.plan.saved_as_draft is (answer.verdict is not Verdict.READY)
    for finding in answer.findings:
        for words in (finding.title, finding.message):
            # What a station issued is shown as it is: here all reports are as they should be.
            assert words[0].isupper() or words[0].isdigit(), words


def test_ridge_line_keeps_every_point_within_the_tried_range():
    answer = assessed("ridge_line")
    observer = answer.plan.crew_in(Role.OBSERVER)[0]
    x_m, y_m = answer.track.frame.place_to_xy(observer.place)
    ground = answer.track.ground_amsl_m
    at_observer = ground[((answer.track.x_m - x_m) ** 2 + (answer.track.y_m - y_m) ** 2).argmin()]
    slant_m = (
        (answer.track.x_m - x_m) ** 2
        + (answer.track.y_m - y_m) ** 2
        + (answer.track.planned_amsl_m - at_observer) ** 2
    ) ** 0.5
    assert slant_m.max() < observer.tried_ranges[0].distance_m


def test_the_box_is_judged_without_a_path():
    answer = assessed("freestyle_box")
    assert answer.track is None
    assert answer.area.binding is Binding.GROUND
    assert answer.area.over_by_m < 0


def test_the_mast_counts_for_part_107_only():
    recreational, part_107 = assessed("mast_dive_recreational"), assessed("mast_dive_part107")
    assert recreational.plan.path == part_107.plan.path
    assert {f.rule for f in recreational.findings if f.mark is Mark.STOP} == {"above-height-limit"}
    assert Binding.STRUCTURE in part_107.profile.binding


def test_the_mast_counts_only_while_the_pilot_says_it_stands():
    plan = read_plan(demo_missions_dir() / "mast_dive_part107.lowline.geojson")
    unconfirmed = attrs.evolve(plan, structures_standing=frozenset())
    answer = assess(unconfirmed, surroundings(unconfirmed, known_sets=known_chart_sets()))
    assert answer.verdict is Verdict.MUST_CHANGE
    assert "still stands" in answer.findings[0].remedy


def test_the_level_run_breaks_the_limit_only_beyond_the_edge():
    answer = assessed("cliff_level")
    (stop,) = [f for f in answer.findings if f.mark is Mark.STOP]
    assert stop.from_m > 400
    # Level at 190 m over a sea at 0 m, which the lowest ground about it is from a little before the edge on.
    assert stop.numbers["over_m"] == pytest.approx(190.0 - 400 * 0.3048, abs=0.01)


def test_the_agreement_is_what_makes_the_site_flight_ready():
    without, with_it = assessed("fixed_site_without_agreement"), assessed("fixed_site_with_agreement")
    assert without.plan.path == with_it.plan.path
    (need,) = without.permissions
    assert need.route is Route.FIXED_SITE
    assert with_it.permissions[0].recorded


@pytest.mark.parametrize(
    ("name", "route"),
    [
        ("under_the_cell_value", Route.AUTOMATED),
        ("above_the_cell_value_part107", Route.FURTHER_COORDINATION),
        ("above_the_cell_value_recreational", Route.ASK_AUTHORITY),
    ],
)
def test_the_cell_value_decides_the_route(name, route):
    (need,) = assessed(name).permissions
    assert need.cell_ceiling_agl_m == pytest.approx(200 * 0.3048)
    assert need.route is route


def test_the_shelf_is_met_though_a_flat_map_says_it_is_high_above():
    answer = assessed("under_the_shelf")
    (need,) = answer.permissions
    shelf = next(v for v in answer.world.airspace if v.floor.m == pytest.approx(1300 * 0.3048))
    assert need.airspace == shelf.name
    highest_agl_m = answer.track.planned_agl_m.max()
    # Low above ground and under the floor's figure: free on a flat map.
    assert highest_agl_m < 400 * 0.3048 < shelf.floor.m
    assert answer.track.planned_amsl_m.max() > shelf.floor.m


def test_the_canyon_run_is_not_judged_beyond_the_survey():
    answer = assessed("canyon_run")
    unknown = [f for f in answer.findings if f.mark is Mark.UNKNOWN]
    # The straight way from its end to the landing point leads over ground that nobody has surveyed, too.
    expected = {"ground-not-known", "data-terrain", "sight-not-known", "way-not-drawn", "link-loss-not-known"}
    # For 8 m of the path it is 10 m farther away than anybody has tried.
    expected |= {"distance-not-tried"}
    assert expected == {f.rule for f in unknown}
    assert answer.profile.binding[-1] is Binding.UNKNOWN
