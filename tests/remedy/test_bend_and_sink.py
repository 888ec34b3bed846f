"""Bending round airspace, sinking over falling ground, and the choice among remedies.

The shortest way round is held against geometry worked by hand, the fewest
corners against a search through every line with one corner.
"""

import itertools
import math

import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.mast_wires import MastWires
from planner.plan.records import PermissionKind
from planner.remedy import sink_corners
from planner.remedy.bend import bend_path
from planner.remedy.detour import keep_out, shortest_way
from planner.remedy.lowest_change import lowest_change
from planner.remedy.remedy import NoRemedy, Remedy
from planner.remedy.sink import SinkLimits, sink_path
from planner.remedy.sink_corners import Corridor, fewest_corners
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    above_ground,
    at,
    box,
    disc,
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

CLEARANCE_M = 50.0
AWAY = GroundSpot(at(-1500, -1500), LandStatus.OWN)
# Whoever takes off inside an airspace flies in it, and no path bends round that.
ELSEWHERE = {"launch": AWAY, "landing": AWAY}
LIMITS = SinkLimits(margin_m=5.0, clearance_m=20.0, steepest=0.5)


def stops(answer):
    return {finding.rule for finding in answer.findings if finding.mark is Mark.STOP}


def restricted(outline, **changes):
    return volume(AirspaceKind.RESTRICTED, outline, name="INVENTED R", **changes)


def length_m(corners):
    return float(np.hypot(*np.diff(corners, axis=0).T).sum())


def test_shortest_way_round_a_square_touches_two_corners():
    square = shapely.box(-100, -50, 100, 150)
    way = shortest_way(np.array([-300.0, 0.0]), np.array([300.0, 0.0]), square)
    assert way.tolist() == [[-300, 0], [-100, -50], [100, -50], [300, 0]]


def test_shortest_way_round_a_circle_is_two_tangents_and_an_arc():
    radius_m, away_m = 200.0, 500.0
    blocked = keep_out(shapely.Point(0, 0), radius_m, 1.0)
    found = length_m(shortest_way(np.array([-away_m, 0.0]), np.array([away_m, 0.0]), blocked))
    tangent_m = math.sqrt(away_m**2 - radius_m**2)
    arc_m = radius_m * (math.pi - 2 * math.acos(radius_m / away_m))
    shortest_m = 2 * tangent_m + arc_m
    # It keeps out of the circle, and its few corners cost less than 1 %.
    assert shortest_m <= found <= shortest_m * 1.01


def test_keep_out_holds_everything_within_the_clearance():
    shape = shapely.Polygon([(0, 0), (300, 40), (120, 90), (260, 260), (-40, 200)])
    blocked = keep_out(shape, 30.0, 3.0)
    assert blocked.covers(shape.buffer(30.0, quad_segs=64))
    assert blocked.within(shape.buffer(30.0 + 3.0 + 0.1, quad_segs=64))
    assert shapely.get_num_coordinates(blocked) < 30


@pytest.mark.parametrize("shape", list(LegShape))
def test_a_bent_path_keeps_clear_by_the_clearance(shape):
    outline = disc(250, (100, 30))
    charts = world(airspace=(restricted(outline),))
    before = plan(path=points([(-900, 0, 60.0), (900, 50, 90.0)], shape), **ELSEWHERE)
    answer = assess(before, charts)
    assert "closed-airspace" in stops(answer)
    remedy = bend_path(answer, CLEARANCE_M)
    after = assess(remedy.edit.apply(before), charts)
    assert "closed-airspace" not in stops(after)
    mapped = after.scene.mapped
    flown = shapely.LineString(np.column_stack([after.track.x_m, after.track.y_m]))
    assert shapely.distance(flown, mapped.outlines.polygon(0)) >= CLEARANCE_M - 0.01
    heights = [point.height.m for point in after.plan.path]
    assert heights == sorted(heights)
    assert {point.leg.shape for point in after.plan.path} == {shape}
    assert (remedy.before.in_closed, remedy.after.in_closed) == (True, False)


def test_points_inside_are_left_out_and_other_closed_airspace_is_kept_out_of_too():
    charts = world(
        airspace=(
            restricted(disc(200, (0, 0))),
            restricted(box(-80, -900, 80, -180), key="south"),
        )
    )
    before = plan(path=points([(-900, -20, 60.0), (0, 0, 60.0), (900, -20, 60.0)]), **ELSEWHERE)
    after = assess(bend_path(assess(before, charts), CLEARANCE_M).edit.apply(before), charts)
    assert "closed-airspace" not in stops(after)
    assert before.path[1] not in after.plan.path
    assert max(after.track.y_m) > 200


def test_airspace_above_the_path_or_opened_by_a_record_is_no_obstacle():
    above = restricted(disc(200, (0, 300)), floor=above_ground(150.0), key="above")
    opened = volume(AirspaceKind.CLASS_D, disc(400, (0, 500)), name="INVENTED D")
    closed = restricted(disc(150, (0, 0)), key="in the way")
    charts = world(airspace=(above, opened, closed))
    before = plan(
        path=points([(-900, 20, 60.0), (900, 20, 60.0)]),
        permissions=(record("INVENTED D", 100.0),),
        **ELSEWHERE,
    )
    after = assess(bend_path(assess(before, charts), CLEARANCE_M).edit.apply(before), charts)
    # The short way leads north, under the one and through the other.
    assert max(after.track.y_m) > 150
    assert "closed-airspace" not in stops(after)


def test_reasons_why_a_path_can_not_be_bent():
    free = bend_path(assess(plan(), world()), CLEARANCE_M)
    assert "enters no airspace" in free.reason
    charts = world(airspace=(restricted(disc(250, (-500, 0))),))
    inside = bend_path(assess(plan(), charts), CLEARANCE_M)
    assert isinstance(inside, NoRemedy)
    assert "starts in what it should keep out of" in inside.reason


# ---- sink line


def test_a_level_run_over_falling_ground_becomes_one_sinking_leg():
    charts = world(terrain=terrain(slope(-0.2), cell_m=10, cells=301))
    level = AboveSeaLevel(432.0)
    before = plan(path=points([(-500, 0, level), (500, 0, level)]))
    answer = assess(before, charts)
    assert "above-height-limit" in stops(answer)
    remedy = sink_path(answer, LIMITS)
    after = assess(remedy.edit.apply(before), charts)
    assert "above-height-limit" not in stops(after)
    assert len(after.plan.path) == 2
    assert remedy.after.lowest_agl_m >= LIMITS.clearance_m
    assert (after.profile.ceiling_amsl_m - after.track.planned_amsl_m).min() >= LIMITS.margin_m - 1e-3


def test_turns_on_the_map_stay_and_the_line_only_sinks():
    charts = world(terrain=terrain(slope(-0.15), cell_m=10, cells=301))
    level = AboveSeaLevel(432.0)
    before = plan(path=points([(-600, 0, level), (-100, 200, level), (600, -100, level), (600, 300, 40.0)]))
    after = sink_path(assess(before, charts), LIMITS, legs=(0, 1)).edit.apply(before)
    assert [point.place for point in before.path] == [
        p.place for p in after.path if p.place in {q.place for q in before.path}
    ]
    track = assess(after, charts).track
    sunk = track.planned_amsl_m[track.leg < len(after.path) - 2]
    assert (np.diff(sunk) <= 1e-6).all()


def test_too_steep_is_refused_with_a_reason():
    charts = world(terrain=terrain(slope(-0.6), cell_m=10, cells=301))
    before = plan(path=points([(-500, 0, AboveGround(100.0)), (500, 0, AboveSeaLevel(500.0))]))
    refused = sink_path(assess(before, charts), SinkLimits(5.0, 20.0, 0.2))
    assert "descent limit" in refused.reason


@pytest.mark.parametrize("seed", range(25))
def test_no_line_with_fewer_corners_exists(seed):
    """Every line with no corner, and with one at any place of the corridor, is tried on a fine grid."""
    draw = np.random.default_rng(seed)
    along_m = np.linspace(0, 100, 21)
    middle_m = 200 - np.sort(np.cumsum(draw.uniform(0, 6, 21)))
    corridor = Corridor(along_m, middle_m + draw.uniform(1, 6), middle_m - draw.uniform(1, 6), 0.6)
    start_m = float(corridor.top_m[0])
    found = fewest_corners(corridor, start_m)
    lines = _fewest_by_trying(corridor, start_m)
    if found is None:
        assert lines is None
        return
    corners, heights_m = found
    line_m = np.interp(along_m, along_m[corners], heights_m)
    assert (line_m <= corridor.top_m + 1e-6).all()
    assert (line_m >= corridor.low_m - 1e-6).all()
    gradients = np.diff(heights_m) / np.diff(along_m[corners])
    assert (gradients <= 1e-6).all()
    assert (gradients >= -corridor.steepest - 1e-6).all()
    if lines is not None:
        assert len(corners) - 2 <= lines


def _one_by_one(links, total, came, fits, heights_m, origin):
    start, live = origin
    for row, height in enumerate(live):
        more, sums = links[start, height] + 1, total[start, height] + heights_m
        there = links[start + 1 :], total[start + 1 :]
        better = fits[row] & ((more < there[0]) | ((more == there[0]) & (sums > there[1])))
        there[0][better], there[1][better] = more, sums[better]
        came[start + 1 :][better] = start, height


def test_of_all_pieces_at_once_the_same_is_taken_as_of_one_after_the_other(monkeypatch):
    """Our own rule: fewest turns, then the highest sum, then the first."""
    for seed in range(40):
        draw = np.random.default_rng(seed)
        # Whole metres: many lines are equally good.
        top_m = 200.0 - np.cumsum(draw.integers(0, 4, 30))
        low_m = top_m - 8.0 * draw.integers(1, 3)
        corridor = Corridor(np.linspace(0, 150, 30), top_m, low_m, draw.choice([0.3, 2.0]))
        found = []
        for way in (sink_corners._improve, _one_by_one):
            with monkeypatch.context() as patch:
                patch.setattr(sink_corners, "_improve", way)
                found.append(fewest_corners(corridor, float(top_m[0])))
        assert (found[0] is None) is (found[1] is None)
        if found[0] is not None:
            for one, other in zip(*found, strict=True):
                np.testing.assert_array_equal(one, other)


def _fewest_by_trying(corridor, start_m):
    """The fewest corners, 0 or 1, of a line found by trying; None if none of those fits."""

    def fits(along, heights):
        line = np.interp(corridor.along_m, along, heights)
        slopes = np.diff(heights) / np.diff(along)
        inside = (line <= corridor.top_m).all() and (line >= corridor.low_m).all()
        return inside and (slopes <= 0).all() and (slopes >= -corridor.steepest).all()

    # At the search's own resolution: what it promises is relative to that.
    def heights_at(sample):
        return np.linspace(corridor.low_m[sample], corridor.top_m[sample], 9)

    for end_m in heights_at(-1):
        if fits([0.0, 100.0], [start_m, end_m]):
            return 0
    for place, end_m in itertools.product(range(1, 20), heights_at(-1)):
        for corner_m in heights_at(place):
            if fits([0.0, corridor.along_m[place], 100.0], [start_m, corner_m, end_m]):
                return 1
    return None


# ---- the choice


def test_the_lowest_change_is_the_one_that_moves_the_path_least():
    charts = world(terrain=terrain(slope(-0.1), cell_m=10, cells=301))
    level = AboveSeaLevel(430.0)
    before = plan(path=points([(-900, 0, level), (900, 0, level)]))
    chosen = lowest_change(assess(before, charts), LIMITS, CLEARANCE_M)
    after = assess(chosen.edit.apply(before), charts)
    assert "above-height-limit" not in stops(after)
    # Lowering keeps what is lawful already; a sink line would tilt that too.
    assert chosen.title.startswith("Lower path")


def test_a_small_closed_area_is_gone_round_and_the_rest_lowered():
    charts = world(airspace=(restricted(disc(150)),))
    before = plan(path=points([(-900, 0, 140.0), (900, 0, 140.0)]), **ELSEWHERE)
    chosen = lowest_change(assess(before, charts), LIMITS, CLEARANCE_M)
    assert isinstance(chosen, Remedy)
    after = assess(chosen.edit.apply(before), charts)
    assert not stops(after) & {"above-height-limit", "closed-airspace"}
    assert chosen.title.startswith("Bend path")
    assert chosen.edit.merge_key is None


def test_closed_airspace_with_a_floor_that_a_low_path_passes_under():
    floored = restricted(disc(3000), floor=sea_level(1000 * 0.3048 + 60.0))
    charts = world(airspace=(floored,))
    before = plan(path=points([(-400, 0, 80.0), (400, 0, 80.0)]), **ELSEWHERE)
    chosen = lowest_change(assess(before, charts), LIMITS, CLEARANCE_M)
    assert chosen.title.startswith("Lower path")
    assert "closed-airspace" not in stops(assess(chosen.edit.apply(before), charts))


def test_a_lawful_path_needs_no_change_and_a_hopeless_one_says_so():
    fine = lowest_change(assess(plan(), world()), LIMITS, CLEARANCE_M).reason
    assert "neither the ceiling nor airspace asks for a change" in fine
    charts = world(airspace=(restricted(disc(5000)),))
    assert "by hand" in lowest_change(assess(plan(), charts), LIMITS, CLEARANCE_M).reason


def test_a_recorded_agency_permission_leaves_nothing_to_bend():
    charts = world(airspace=(restricted(disc(250)),))
    allowed = record("INVENTED R", 100.0, PermissionKind.AGENCY)
    answer = assess(plan(permissions=(allowed,)), charts)
    assert "enters no airspace" in bend_path(answer, CLEARANCE_M).reason


# ---- guy wires: a rule of thumb (common practice) takes them out to 0.8 of the mast's height


def masts(*places, **changes):
    known = {"guyed": True, "horizontal_error_m": 0.0, "vertical_error_m": 0.0, **changes}
    return tuple(tower(400, place, key=f"mast {number}", **known) for number, place in enumerate(places))


def least_distance_m(answer, place):
    x_m, y_m = answer.scene.mapped.frame.place_to_xy(at(*place))
    flown = shapely.LineString(np.column_stack([answer.track.x_m, answer.track.y_m]))
    return shapely.distance(flown, shapely.Point(x_m, y_m))


def rules_of(answer):
    return {finding.rule for finding in answer.findings}


@pytest.mark.parametrize("share", [None, 0.5])
def test_a_path_is_bent_round_the_circle_of_the_guy_wires(share):
    said = () if share is None else (MastWires("mast 0", share, "121.9 m, guyed"),)
    before = plan(path=points([(-500, 20, 40.0), (500, 20, 40.0)]), mast_wires=said, **ELSEWHERE)
    answer = assess(before, world(structures=masts((0.0, 0.0))))
    assert "guy-wires" in rules_of(answer)
    after = assess(bend_path(answer, CLEARANCE_M).edit.apply(before), answer.world)
    assert "guy-wires" not in rules_of(after)
    reach_m = (share or 0.8) * 400 * 0.3048
    assert reach_m + CLEARANCE_M - 0.01 <= least_distance_m(after, (0.0, 0.0)) < reach_m + 1.3 * CLEARANCE_M


def test_the_way_round_airspace_leads_into_no_wires():
    """The short way round the area, to the north, is where the mast's wires are."""
    outline = disc(150, (0, -40))
    before = plan(path=points([(-800, 0, 40.0), (800, 0, 40.0)]), **ELSEWHERE)
    free = assess(before, world(airspace=(restricted(outline),)))
    assert max(assess(bend_path(free, CLEARANCE_M).edit.apply(before), free.world).track.y_m) > 100
    guyed = assess(before, world(airspace=(restricted(outline),), structures=masts((0.0, 180.0))))
    after = assess(bend_path(guyed, CLEARANCE_M).edit.apply(before), guyed.world)
    assert not rules_of(after) & {"closed-airspace", "guy-wires"}
    assert least_distance_m(after, (0.0, 180.0)) >= 0.8 * 400 * 0.3048 + CLEARANCE_M - 0.01


def test_wires_flown_over_are_no_reason_to_bend():
    before = plan(path=points([(-500, 60, 75.0), (500, 60, 75.0)]), **ELSEWHERE)
    answer = assess(before, world(structures=masts((0.0, 0.0))))
    # 60 m out a wire is at most 121.92 m x (1 - 60 / 97.5) = 46.9 m high.
    assert "guy-wires" not in rules_of(answer)
    assert "no guy wires" in bend_path(answer, CLEARANCE_M).reason


def test_a_path_that_starts_among_wires_says_so():
    answer = assess(
        plan(path=points([(60, 20, 20.0), (500, 20, 20.0)]), **ELSEWHERE),
        world(structures=masts((0.0, 0.0))),
    )
    assert "starts in what it should keep out of" in bend_path(answer, CLEARANCE_M).reason


# A satellite fix may be 8 m off (GPS SPS Performance Standard 2020, from memory); 20 m are an own choice.
@pytest.mark.parametrize(
    ("aside_m", "bends", "least"), [(5.0, True, True), (12.0, True, False), (25.0, False, False)]
)
def test_a_path_close_beside_what_is_shut_is_bent_away_from_it(aside_m, bends, least):
    shut = volume(AirspaceKind.RESTRICTED, box(-100, aside_m, 100, 300), name="SHUT")
    answer = assess(
        plan(path=points([(-500, 0, 30.0), (500, 0, 30.0)]), **ELSEWHERE), world(airspace=(shut,))
    )
    assert ("close-beside-airspace" in rules_of(answer)) is bends
    bend = bend_path(answer, CLEARANCE_M)
    assert isinstance(bend, NoRemedy) is not bends
    assert isinstance(lowest_change(answer, LIMITS, CLEARANCE_M), NoRemedy) is not least
    if bends:
        after = assess(bend.edit.apply(answer.plan), answer.world)
        assert "close-beside-airspace" not in rules_of(after)
