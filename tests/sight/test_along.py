"""What viewers see along a track: each class in a world made for it."""

from datetime import UTC, datetime, timedelta

import attrs
import numpy as np
import pytest

from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.model import Plan
from planner.sight.along import (
    GRAVEST_FIRST,
    Conditions,
    Sight,
    Viewer,
    all_must_see,
    one_must_see,
    sight_along,
)
from planner.sight.line import line_of_sight
from planner.sight.ranges import SightRange
from planner.sight.spot import Spot, eye_at, spot_above_ground
from planner.sight.surfaces import Surfaces
from planner.track import leg_lines
from planner.track.build import build_track
from planner.track.mapped import map_world
from planner.track.timing import path_times
from planner.world.sun_position import sun_course, sun_position
from planner.world.world import World
from tests.sight.grounds import HERE, plane_ground, rough_ground


def track_over(ground, points, shape=LegShape.STRAIGHT, speed_mps=None):
    path = tuple(
        PathPoint(ground.frame.xy_to_place(x_m, y_m), height, Leg(shape, speed_mps))
        for x_m, y_m, height in points
    )
    return build_track(Plan(path=path), map_world(World(terrain=ground.terrain), (), ground.frame)), path


def level(points, **options):
    ground = plane_ground(lambda x, _y: 0.0 * x)
    return ground, *track_over(ground, [(x, y, AboveGround(h)) for x, y, h in points], **options)


def viewer(ground, x_m=0.0, y_m=0.0, attitude_m=150.0, detection_m=300.0):
    return Viewer("observer", spot_above_ground(x_m, y_m, 1.7, ground), SightRange(attitude_m, detection_m))


def where(track, profile, sight):
    """First and last distance from the viewer's foot point at which it holds, None if nowhere."""
    at_m = track.x_m[[one is sight for one in profile.sight]]
    return (at_m.min(), at_m.max()) if len(at_m) else None


def test_seen_untried_and_too_far_by_slant_distance():
    ground, track, _ = level([(0, 0, 60.0), (500, 0, 60.0)])
    (profile,) = sight_along(track, [viewer(ground)], Surfaces(ground))
    # 58.3 m up from the eye: slant 150 m at 138.2 m out, 300 m at 294.3 m out; samples every 10 m.
    assert where(track, profile, Sight.SEEN)[1] == pytest.approx(138.2, abs=10.0)
    assert where(track, profile, Sight.UNTRIED) == pytest.approx((138.2, 294.3), abs=10.0)
    assert where(track, profile, Sight.TOO_FAR)[0] == pytest.approx(294.3, abs=10.0)
    assert profile.slant_range_m == pytest.approx(np.hypot(track.x_m, 58.3))
    assert set(profile.sight) == {Sight.SEEN, Sight.UNTRIED, Sight.TOO_FAR}


def test_hidden_behind_a_wall():
    ground = plane_ground(lambda x, _y: np.where(x == 100.0, 10.0, 0.0))
    track, _ = track_over(ground, [(50, 0, AboveSeaLevel(30.0)), (500, 0, AboveSeaLevel(30.0))])
    (profile,) = sight_along(track, [viewer(ground, attitude_m=1000.0, detection_m=1000.0)], Surfaces(ground))
    # The line over the wall reaches 30 m at 28.3 / 8.3 * 100 m.
    assert where(track, profile, Sight.HIDDEN)[0] == pytest.approx(341.0, abs=10.0)
    assert where(track, profile, Sight.SEEN)[1] < 341.0
    last = profile.spare_m[-1]
    assert last == pytest.approx(30.0 - (1.7 + 5 * 8.3), abs=0.03)
    assert profile.spare_at_m[-1] == pytest.approx(100.0, abs=0.1)


def test_whoever_stands_at_one_place_keeps_their_own_range_and_name():
    """Our own rule: what is looked at once for several is for each what it is for them alone."""
    ground = plane_ground(lambda x, _y: np.where(x == 100.0, 10.0, 0.0))
    track, _ = track_over(ground, [(50, 0, AboveSeaLevel(30.0)), (500, 0, AboveSeaLevel(30.0))])
    one, other = viewer(ground), viewer(ground, attitude_m=100.0)
    crew = [one, attrs.evolve(other, key="pilot"), viewer(ground, detection_m=200.0), viewer(ground, y_m=50)]
    together = sight_along(track, crew, Surfaces(ground))
    for member, profile in zip(crew, together, strict=True):
        (alone,) = sight_along(track, [member], Surfaces(ground))
        for field in attrs.fields(type(alone)):
            np.testing.assert_array_equal(getattr(profile, field.name), getattr(alone, field.name))
    assert len({profile.sight for profile in together}) == len(crew)


def test_what_is_hidden_only_between_samples_is_not_missed(monkeypatch):
    monkeypatch.setattr(leg_lines, "APART_M", 1_000.0)
    # One peak of a 200-m raster; its shadow falls on the path half-way between two raster lines.
    ground = plane_ground(
        lambda x, y: np.where((x == 0.0) & (y == 0.0), 30.0, 0.0), cell_m=200.0, half_m=1200.0
    )
    track, _ = track_over(ground, [(900, -300, AboveSeaLevel(50.0)), (900, 300, AboveSeaLevel(50.0))])
    eye = Viewer("observer", spot_above_ground(-900.0, 100.0, 1.7, ground), SightRange(5000.0, 5000.0))

    def hidden(y_m):
        return not line_of_sight(Surfaces(ground), eye.eye, spot_above_ground(900.0, y_m, 50.0, ground)).clear

    assert not any(hidden(float(y_m)) for y_m in track.y_m)
    assert hidden(-100.0)
    (profile,) = sight_along(track, [eye], Surfaces(ground))
    beside = track.y_m[[one is Sight.HIDDEN for one in profile.sight]]
    assert (beside.min(), beside.max()) == pytest.approx((-200.0, 0.0), abs=1.0)


def test_unknown_ground_heights_ranges_and_surfaces_never_count_as_seen():
    def relief(x, _y):
        return np.where((x > 150.0) & (x < 250.0), np.nan, 0.0)

    ground = plane_ground(relief)
    track, _ = track_over(ground, [(0, 0, AboveSeaLevel(50.0)), (400, 0, AboveSeaLevel(50.0))])
    far = viewer(ground, attitude_m=900.0, detection_m=900.0)
    (profile,) = sight_along(track, [far], Surfaces(ground))
    assert where(track, profile, Sight.SEEN)[1] <= 150.0
    assert where(track, profile, Sight.UNKNOWN)[1] == pytest.approx(400.0, abs=1.0)
    (nothing,) = sight_along(track, [far], None)
    assert set(nothing.sight) == {Sight.UNKNOWN}
    for reach in (SightRange(150.0, None), SightRange(None, 900.0)):
        (unsure,) = sight_along(track, [attrs.evolve(far, reach=reach)], Surfaces(ground))
        assert Sight.SEEN not in unsure.sight
        assert Sight.UNTRIED not in unsure.sight
    # Too far stays too far, even where heights are unknown.
    (short,) = sight_along(track, [attrs.evolve(far, reach=SightRange(50.0, 100.0))], None)
    assert where(track, short, Sight.TOO_FAR)[1] == pytest.approx(400.0, abs=1.0)


def test_a_viewer_without_known_ground_and_a_path_without_known_height_are_unknown():
    ground = plane_ground(lambda x, _y: np.where(x < -100.0, np.nan, 0.0))
    track, _ = track_over(ground, [(0, 0, AboveSeaLevel(50.0)), (200, 0, AboveSeaLevel(50.0))])
    (lost,) = sight_along(track, [viewer(ground, x_m=-200.0, detection_m=900.0)], Surfaces(ground))
    (outside,) = sight_along(track, [viewer(ground, x_m=-700.0, detection_m=800.0)], Surfaces(ground))
    assert set(lost.sight) == {Sight.UNKNOWN}
    # 700 to 900 m away on the map: some of it is surely beyond 800 m.
    assert set(outside.sight) == {Sight.UNKNOWN, Sight.TOO_FAR}
    blind = attrs.evolve(track, planned_amsl_m=np.full(len(track), np.nan))
    (unsure,) = sight_along(blind, [viewer(ground, detection_m=150.0)], Surfaces(ground))
    assert set(unsure.sight) == {Sight.UNKNOWN, Sight.TOO_FAR}


def test_against_the_sun():
    ground, track, path = level([(-300, -300, 60.0), (-300, 300, 60.0)], speed_mps=5.0)
    evening = datetime(2026, 6, 22, 3, 30, tzinfo=UTC)
    sun = sun_position(HERE, evening)
    assert 5.0 < sun.altitude_deg < 25.0
    times = path_times(track, path)
    courses = tuple(sun_course(HERE, evening + timedelta(minutes=5 * k), times.time_s) for k in range(3))
    eye = viewer(ground, attitude_m=900.0, detection_m=900.0)
    (profile,) = sight_along(track, [eye], Surfaces(ground), Conditions(courses, cone_deg=15.0))
    # By hand: azimuth and elevation of the line, and the cosine rule on the sphere.
    bearing = np.radians(np.degrees(np.arctan2(track.x_m, track.y_m)) % 360.0)
    lift = np.arctan2(58.3, np.hypot(track.x_m, track.y_m))
    least = np.full(len(track), 180.0)
    for k in range(3):
        for sample in range(len(track)):
            at = sun_position(HERE, evening + timedelta(minutes=5 * k, seconds=float(times.time_s[sample])))
            height, azimuth = np.radians(at.altitude_deg), np.radians(at.azimuth_deg)
            cosine = np.sin(lift[sample]) * np.sin(height) + np.cos(lift[sample]) * np.cos(height) * np.cos(
                bearing[sample] - azimuth
            )
            least[sample] = min(least[sample], np.degrees(np.arccos(cosine)))
    assert profile.sun_angle_deg == pytest.approx(least, abs=0.01)
    assert profile.against_sun.tolist() == (least <= 15.0).tolist()
    assert 0 < profile.against_sun.sum() < len(track)
    night = (sun_course(HERE, evening + timedelta(hours=5), times.time_s),)
    (dark,) = sight_along(track, [eye], Surfaces(ground), Conditions(night))
    assert np.isnan(dark.sun_angle_deg).all()
    assert not dark.against_sun.any()


def test_all_must_see_is_the_worst_and_one_must_see_the_best():
    ground, track, _ = level([(0, 0, 60.0), (500, 0, 60.0)])
    both = sight_along(track, [viewer(ground), viewer(ground, x_m=500.0)], Surfaces(ground))
    worst = [GRAVEST_FIRST[index] for index in all_must_see(both)]
    best = [GRAVEST_FIRST[index] for index in one_must_see(both)]
    assert (worst[0], worst[-1]) == (Sight.TOO_FAR, Sight.TOO_FAR)
    assert (best[0], best[-1]) == (Sight.SEEN, Sight.SEEN)


@pytest.mark.parametrize("shape", list(LegShape))
@pytest.mark.parametrize("cell_m", [10.0, 90.0])
def test_every_hidden_sample_is_hidden_by_an_exact_line_too(shape, cell_m):
    ground = rough_ground(cells=round(3600 / cell_m) + 1, cell_m=cell_m, seed=3, spread_m=40.0)
    points = [(-900, 200, AboveGround(40.0)), (100, 700, AboveGround(60.0)), (900, -100, AboveGround(30.0))]
    track, _ = track_over(ground, points, shape=shape)
    eye = Viewer(
        "observer",
        eye_at(ground.frame.xy_to_place(-100.0, -50.0), ground, ground.frame),
        SightRange(2000.0, 3000.0),
    )
    (profile,) = sight_along(track, [eye], Surfaces(ground))
    exact = [
        line_of_sight(Surfaces(ground), eye.eye, Spot(*(float(one) for one in row)))
        for row in zip(track.x_m, track.y_m, track.planned_amsl_m, track.ground_amsl_m, strict=True)
    ]
    hidden = np.array([one.clear is False for one in exact])
    assert 0 < hidden.sum() < len(track)
    # A sample also answers for the half-way to its neighbours, so that it may be hidden beside.
    assert (profile.hidden >= hidden).all()
    lonely = profile.hidden & ~hidden
    assert (
        hidden[np.clip(np.flatnonzero(lonely)[:, None] + [-2, -1, 1, 2], 0, len(track) - 1)].any(axis=1)
    ).all()
    spares_m = np.array([one.spare_m for one in exact])
    assert (profile.spare_m <= spares_m + profile.clearance_doubt_m * 200 + 0.01).all()
