"""When the aircraft is where."""

import numpy as np
import pytest

from planner.geo.heights import AboveSeaLevel
from planner.plan.geometry import Leg, PathPoint
from planner.plan.model import Plan
from planner.track.build import build_track
from planner.track.mapped import map_world
from planner.track.timing import ASSUMED_SPEED_MPS, path_times
from planner.world.world import World
from tests.sight.grounds import plane_ground


def test_each_leg_at_its_own_speed_along_its_3d_length():
    ground = plane_ground(lambda x, _y: 0.0 * x)
    corners = [(0, 0, 50.0, 4.0), (300, 0, 50.0, None), (300, 0, 80.0, 20.0), (300, 400, 380.0, None)]
    path = tuple(
        PathPoint(ground.frame.xy_to_place(x, y), AboveSeaLevel(h), Leg(speed_mps=speed))
        for x, y, h, speed in corners
    )
    track = build_track(Plan(path=path), map_world(World(terrain=ground.terrain), (), ground.frame))
    times = path_times(track, path)
    # 300 m at 4 m/s; 30 m straight up at the assumed speed; 400 m out and 300 m up, 500 m at 20 m/s.
    legs_s = np.cumsum([0.0, 300 / 4.0, 30 / ASSUMED_SPEED_MPS, 500 / 20.0])
    assert times.time_s[track.point_sample] == pytest.approx(legs_s, rel=1e-6)
    assert times.duration_s == pytest.approx(legs_s[-1], rel=1e-6)
    assert (np.diff(times.time_s) >= 0.0).all()
    assert set(track.leg[times.assumed].tolist()) == {1}
