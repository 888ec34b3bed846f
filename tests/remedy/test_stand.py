"""Where to stand, and what of an area one observer covers."""

import attrs
import numpy as np
import pytest
import shapely

from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.geo.progress import Cancelled
from planner.plan.geometry import PathPoint
from planner.plan.model import Plan
from planner.remedy.stand import StandQuestion, stand_answers, where_to_stand
from planner.remedy.stand_cover import CoverQuestion, coverable
from planner.sight.along import Sight, Viewer, sight_along
from planner.sight.footing import Footing
from planner.sight.line import line_of_sight
from planner.sight.ranges import SightRange
from planner.sight.spot import eye_at, spot_above_ground
from planner.sight.surfaces import Surfaces
from planner.track.build import build_track
from planner.track.mapped import map_world
from planner.world.world import World
from tests.sight.grounds import plane_ground, rough_ground

REACH = SightRange(1000.0, 1000.0)


def track_over(ground, points):
    path = tuple(PathPoint(ground.frame.xy_to_place(x_m, y_m), height) for x_m, y_m, height in points)
    return build_track(Plan(path=path), map_world(World(terrain=ground.terrain), (), ground.frame))


def canyon():
    """A level plain with a wall of 40 m along x = 0 and a gap in it between y = -20 and 20 m."""
    return plane_ground(lambda x, y: np.where((x == 0.0) & (np.abs(y) > 25.0), 40.0, 0.0))


def question(ground, points, **changes):
    given = {
        "track": track_over(ground, points),
        "surfaces": Surfaces(ground),
        "launch": ground.frame.xy_to_place(-200.0, 0.0),
        "reach": REACH,
        "walk_m": 300.0,
    }
    return StandQuestion(**{**given, **changes})


BEHIND_THE_WALL = [(100, -300, AboveSeaLevel(30.0)), (100, 300, AboveSeaLevel(30.0))]


def test_the_place_found_cures_what_the_launch_does_not_see():
    ground = canyon()
    asked = question(ground, BEHIND_THE_WALL)
    (from_launch,) = sight_along(
        asked.track, [Viewer("launch", eye_at(asked.launch, ground, ground.frame), REACH)], asked.surfaces
    )
    assert Sight.HIDDEN in from_launch.sight
    answer = where_to_stand(asked)
    best = answer.places[0]
    assert answer.share == 1.0
    # Beyond the wall everything is seen.
    assert best.in_sight_m == pytest.approx(600.0, abs=0.1)
    assert best.gaps == ()
    assert best.walk_m <= 300.0


def test_only_allowed_places_are_named_with_the_gaps_that_remain():
    ground = canyon()
    west = shapely.box(-600.0, -600.0, -55.0, 600.0)
    asked = question(ground, BEHIND_THE_WALL, footing=Footing(allowed=west))
    answer = where_to_stand(asked)
    assert answer.places
    assert answer.tried > 1000
    for place in answer.places:
        x_m, y_m = ground.frame.place_to_xy(place.place)
        assert shapely.intersects_xy(west.buffer(0.01), x_m, y_m)
        assert {gap.sight for gap in place.gaps} == {Sight.HIDDEN}
        lost_m = sum(gap.to_m - gap.from_m for gap in place.gaps)
        assert lost_m + place.in_sight_m == pytest.approx(600.0, abs=0.1)
    seen = [place.in_sight_m for place in answer.places]
    assert seen == sorted(seen, reverse=True)
    # By similar triangles: at -60 m the line to 30 m at +100 m passes the wall at 12 m of height, where the
    # gap is 46 m wide; at +100 m that is 46 * 160 / 60 = 123 m. Samples every 10 m take up to 20 m off.
    assert 103.0 <= seen[0] <= 123.0


def test_no_place_of_the_grid_sees_more_than_the_best():
    ground = rough_ground(cells=161, spread_m=30.0, seed=6)
    points = [(-500, 100, AboveGround(30.0)), (0, 350, AboveGround(25.0)), (500, -100, AboveGround(30.0))]
    asked = question(ground, points, launch=ground.frame.xy_to_place(0.0, 0.0), walk_m=120.0, spacing_m=20.0)
    best = where_to_stand(asked).places[0]
    grid = np.arange(-6, 7) * 20.0
    most_m = 0.0
    for x_m in grid:
        for y_m in grid[np.hypot(x_m, grid) <= 120.0]:
            eye = spot_above_ground(float(x_m), float(y_m), 1.7, ground)
            (profile,) = sight_along(asked.track, [Viewer("", eye, REACH)], asked.surfaces)
            good = profile.grave >= 3
            pieces = np.diff(asked.track.distance_m)
            most_m = max(most_m, float(pieces[good[:-1] & good[1:]].sum()))
    # The search looks at the path every 30 m.
    assert best.in_sight_m >= most_m - 30.0
    assert best.in_sight_m <= most_m + 0.1


def test_answers_come_early_and_get_better_founded():
    asked = question(canyon(), BEHIND_THE_WALL)
    shares = [answer.share for answer in stand_answers(asked)]
    assert shares[0] < 0.3
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


def test_the_search_reports_and_can_be_stopped():
    class Counting:
        def __init__(self, most):
            self.most, self.shares = most, []

        def report(self, share):
            self.shares.append(share)
            if len(self.shares) == self.most:
                raise Cancelled

    patient, impatient = Counting(10_000), Counting(3)
    where_to_stand(question(canyon(), BEHIND_THE_WALL), patient)
    assert patient.shares[-1] == 1.0
    with pytest.raises(Cancelled):
        where_to_stand(question(canyon(), BEHIND_THE_WALL), impatient)
    assert len(impatient.shares) == 3


def test_nothing_known_names_no_place():
    ground = plane_ground(lambda x, _y: np.full(np.shape(x), np.nan))
    assert where_to_stand(question(ground, BEHIND_THE_WALL)).places == ()
    unsure = question(canyon(), BEHIND_THE_WALL, reach=SightRange(100.0, None))
    assert where_to_stand(unsure).places == ()


def test_short_reach_chooses_the_middle_of_the_path():
    ground = plane_ground(lambda x, _y: 0.0 * x)
    asked = question(
        ground,
        [(-400, 100, AboveGround(30.0)), (400, 100, AboveGround(30.0))],
        launch=ground.frame.xy_to_place(0.0, 0.0),
        reach=SightRange(150.0, 5000.0),
    )
    best = where_to_stand(asked).places[0]
    x_m, y_m = ground.frame.place_to_xy(best.place)
    # Slant 150 m, 28.3 m up: 147.3 m to each side if one stands under the path.
    assert best.seen_m == pytest.approx(2 * 147.3, abs=25.0)
    assert abs(y_m - 100.0) <= 40.0
    assert best.in_sight_m == pytest.approx(800.0, abs=0.1)
    assert abs(x_m) <= 300.0


def test_coverage_is_what_exact_lines_see_within_judging_range():
    ground = rough_ground(cells=161, spread_m=30.0, seed=6)
    eye = spot_above_ground(20.0, -30.0, 1.7, ground)
    asked = CoverQuestion(
        Surfaces(ground), eye, SightRange(350.0, 1500.0), shapely.box(-400, -300, 400, 400), 5.0, 60.0, 20.0
    )
    found = coverable(asked)
    assert 0.1 < found.share < 0.9
    for x_m, y_m, covered in list(zip(found.x_m, found.y_m, found.covered, strict=True))[::7]:
        low, top = (spot_above_ground(float(x_m), float(y_m), above, ground) for above in (5.0, 60.0))
        lines = [line_of_sight(asked.surfaces, eye, spot) for spot in (low, top)]
        good = all(line.clear and line.slant_m <= 350.0 for line in lines)
        assert bool(covered) is good
    ring = shapely.Polygon([ground.frame.place_to_xy(place) for place in found.ring])
    assert ring.is_valid
    assert ring.equals_exact(found.outline, 0.01) or ring.symmetric_difference(found.outline).area < 1.0
    assert not found.outline.interiors
    on_ring = shapely.intersects_xy(found.outline.buffer(-0.1), found.x_m, found.y_m)
    assert on_ring.sum() > 10
    assert found.covered[on_ring].all()


def test_nothing_covered_gives_no_ring():
    ground = canyon()
    eye = spot_above_ground(-200.0, 0.0, 1.7, ground)
    far = CoverQuestion(Surfaces(ground), eye, REACH, shapely.box(100, 300, 200, 400), 1.0, 20.0)
    found = coverable(far)
    assert (found.share, found.ring) == (0.0, ())
    unknown = coverable(attrs.evolve(far, reach=SightRange(None, 500.0)))
    assert not unknown.covered.any()
