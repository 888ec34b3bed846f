"""At which place of the path a guyed mast's wires are told, on a path whose samples are put in by hand.

Wires out to 0.8 of the height, straight to the top: common practice, a rule of thumb.
"""

import attrs
import numpy as np
import pytest

from planner.rules.guys import guy_wires
from planner.rules.stretches import place_at
from tests.rules.hand_made import judged
from tests.worlds import level, plan, points, terrain, tower, world

CASE = judged(
    plan(path=points([(-500, 10.0, 3.0), (500, 10.0, 3.0)])),
    world(
        terrain=terrain(level(), cell_m=250, cells=20),
        structures=(tower(60, (60.0, 0.0), guyed=True, horizontal_error_m=0.0, vertical_error_m=0.0),),
    ),
)
TRACK = CASE.track
# 0.8 x 60 ft: 14.63 m; the path passes 10 m beside, so 10.68 m before and after.
ALONG_M = 560.0


def sampled(*shares):
    """The same straight path, sampled at shares of it only; at its height of 3 m under the wires' line."""
    shares = np.array(shares)

    def line(values):
        return values[0] + (values[-1] - values[0]) * shares

    given = {
        name: line(getattr(TRACK, name))
        for name in ("distance_m", "x_m", "y_m", "lon_deg", "lat_deg", "ground_amsl_m", "planned_amsl_m")
    }
    given["lowest_ground_amsl_m"] = given["ground_amsl_m"]
    given |= {name: np.zeros(len(shares), dtype=np.int64) for name in ("leg", "stretch")}
    given["fraction"] = shares
    return attrs.evolve(CASE, track=attrs.evolve(TRACK, **given))


@pytest.mark.parametrize(
    ("shares", "nearest"),
    [
        ((0.0, 1.0), 1),  # one piece, passed at 56 % of it
        ((0.0, 0.5, 0.6, 1.0), 2),  # the mast abeam of the second piece's latter half
        ((0.0, 0.53, 0.7, 1.0), 1),  # and of its first half
        ((0.0, 0.555, 0.5599, 0.5605, 1.0), 2),  # within the third piece, nearer its beginning
        ((0.0, 0.5595, 0.565, 0.9), 1),
        ((0.5, 0.6), 1),
    ],
)
def test_the_pass_is_told_where_it_is_and_shown_at_the_sample_next_to_it(shares, nearest):
    case = sampled(*shares)
    (one,) = guy_wires(case)
    assert f"At {ALONG_M:.0f} m the path passes 32 ft beside the mast" in one.message  # 10 m are 32.8 ft
    assert one.numbers["aside_m"] == pytest.approx(10.0, abs=0.02)
    assert one.place == place_at(case.track, nearest)


def test_without_a_path_or_charts_nothing_is_told():
    assert not list(guy_wires(attrs.evolve(CASE, track=None)))
    assert not list(guy_wires(attrs.evolve(CASE, mapped=None)))
