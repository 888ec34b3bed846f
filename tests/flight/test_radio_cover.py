"""Drawn trees and buildings before an antenna: edges by ITU-R P.526 (check values 4.4 and 4.5), by hand.

The loss over one edge is also evaluated from Fresnel integrals (scipy), which is no code of ours.
"""

import math

import attrs
import numpy as np
import pytest
import shapely
from scipy.special import fresnel

from planner.assess import assess
from planner.flight.cover import Cover
from planner.flight.radio_path import Antenna, radio_paths
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.rules.finding import Mark
from tests.flight.scenes import level, points, track_over
from tests.rules.test_flight_rules import VIDEO, finding
from tests.worlds import GROUND_M, at, level_terrain, plan, world
from tests.worlds import points as path_points

MHZ = 5_800.0
WAVE_M = 299_792_458.0 / (MHZ * 1e6)


def paths_over(*walls, up_m=1.5):
    """500 m east at the height of the antenna over level ground; walls of 1 m: (metres east, height)."""
    track, mapped = track_over(
        level_terrain(), points((0, 0, level(GROUND_M + up_m)), (500, 0, level(GROUND_M + up_m)))
    )
    cover = Cover(
        tuple(f"wall {k}" for k in range(len(walls))),
        np.array([shapely.box(x_m - 0.5, -20, x_m + 0.5, 20) for x_m, _ in walls], dtype=object),
        np.array([high_m for _, high_m in walls], dtype=float),
    )
    antenna = Antenna(float(track.x_m[0]), float(track.y_m[0]), GROUND_M + up_m)
    return track, radio_paths(track, antenna, [mapped.ground], MHZ, cover)


@pytest.mark.parametrize(("east_m", "high_m"), [(100.0, 5.0), (100.0, 12.0), (30.0, 25.0), (400.0, 9.0)])
def test_one_wall_is_a_knife_edge(east_m, high_m):
    """v = h sqrt(2 / wavelength (1 / d1 + 1 / d2)); Bullington adds (1 - e^(-J/6)) (10 + 0.02 d) (4.5)."""
    _, found = paths_over((east_m, high_m))
    first_m = east_m - 0.5 if east_m < 250 else east_m + 0.5
    v = (high_m - 1.5) * math.sqrt(2 / WAVE_M * (1 / first_m + 1 / (500.0 - first_m)))
    sine, cosine = fresnel(v)
    loss_db = -20 * math.log10(math.hypot(1 - cosine - sine, cosine - sine) / 2)
    assert found.single_edge_db(MHZ)[-1] == pytest.approx(loss_db, abs=0.2)
    whole_db = loss_db + (1 - math.exp(-loss_db / 6)) * (10 + 0.02 * 0.5)
    # Both edges of the roof, 1 m apart, make it a little more than the one edge.
    assert found.terrain_db(MHZ)[-1] == pytest.approx(whole_db, abs=0.3)
    assert found.cover[-1] == 0
    assert found.worst_m[-1] == pytest.approx(east_m, abs=0.6)


def test_before_and_beside_a_wall_nothing_is_lost_and_the_higher_one_decides():
    track, found = paths_over((200.0, 20.0))
    open_track, free = paths_over()
    before = track.distance_m < 190.0
    assert (found.cover[before] == -1).all()
    assert found.terrain_db(MHZ)[before] == pytest.approx(free.terrain_db(MHZ)[before], nan_ok=True)
    # A wall 5.5 m under the wave leaves twice the first Fresnel zone of 2.5 m free.
    _, low = paths_over((200.0, 0.5), up_m=6.0)
    assert low.terrain_db(MHZ)[-1] == pytest.approx(0.0, abs=0.01)
    _, two = paths_over((100.0, 8.0), (250.0, 40.0))
    assert two.cover[-1] == 1
    assert two.terrain_db(MHZ)[-1] > paths_over((250.0, 40.0))[1].terrain_db(MHZ)[-1] - 0.01
    assert len(open_track) == len(track)


def test_an_antenna_inside_a_building_has_little_left_and_no_error():
    _, found = paths_over((0.0, 30.0))
    assert found.terrain_db(MHZ)[-1] > 30.0
    assert np.isfinite(found.terrain_db(MHZ)[1:]).all()


def hall(height_m):
    ring = tuple(at(*one) for one in ((30, -40), (50, -40), (50, 40), (30, 40)))
    return BeneathItem(BeneathKind.BUILDING, DrawnAs.AREA, ring, name="hall (INVENTED)", height_m=height_m)


def test_a_hall_before_the_antenna_takes_the_picture():
    """30 m high, 30 m ahead: behind it 20 dB and more are gone (by the same formula), and it is named."""
    flight = plan(path=path_points([(0, 60, 20.0), (400, 60, 20.0), (400, 0, 20.0)]))
    craft = attrs.evolve(flight.aircraft, radios=(attrs.evolve(VIDEO, sensitivity_dbm=-94.0),))
    flight = attrs.evolve(flight, aircraft=craft)
    clear = assess(flight, world())
    assert finding(clear, "video-margin") is None
    behind = finding(assess(attrs.evolve(flight, beneath=(hall(30.0),)), world()), "video-margin")
    assert behind.mark is Mark.STOP
    assert "Hall (INVENTED) takes" in behind.message
    unsaid = assess(attrs.evolve(flight, beneath=(hall(None),)), world())
    assert finding(unsaid, "video-margin") is None
    assert any("not drawn with their height" in line for line in unsaid.not_known)
