"""Where straight ways cross the edges of discs and of polygons.

Source: shapely, of rings of 4,096 corners, and by hand.
"""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.flight.return_places import cuts_of
from planner.world.outlines import Disc


def crossings(line, ring):
    """Shares at which a line meets a ring, by shapely."""
    met = shapely.get_parts(shapely.intersection(line, ring))
    met = met[~shapely.is_empty(met)]
    return sorted(shapely.line_locate_point(line, met, normalized=True).tolist())


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 1_000_000))
def test_discs_are_crossed_where_their_rings_are(seed):
    draw = np.random.default_rng(seed)
    discs = [Disc(*draw.uniform(-400, 400, 2), float(draw.choice([0.5, 20.0, 150.0]))) for _ in range(12)]
    rings = [shapely.Point(one.x_m, one.y_m).buffer(one.radius_m, quad_segs=1_024).exterior for one in discs]
    reach_m = float(draw.choice([30.0, 500.0]))
    ends = draw.uniform(-reach_m, reach_m, (15, 2, 2))
    ends[0, 1] = ends[0, 0]
    lines = np.asarray(shapely.linestrings(ends))
    square = shapely.box(-100.0, -50.0, 80.0, 90.0)
    owner, share = cuts_of(lines, [*discs[:6], square, *discs[6:]])
    length_m = shapely.length(lines)
    for row, line in enumerate(lines.tolist()):
        if length_m[row] == 0.0:
            assert row not in owner
            continue
        # A chord of so short an arc says nothing: GEOS may see it as one point, or none.
        grazes = any(abs(line.distance(shapely.Point(d.x_m, d.y_m)) - d.radius_m) < 1e-3 for d in discs)
        if not grazes:
            wanted = sorted(at for ring in (*rings, square.exterior) for at in crossings(line, ring))
            assert np.sort(share[owner == row]) * length_m[row] == pytest.approx(
                np.array(wanted) * length_m[row], abs=1e-2
            )


def test_a_disc_is_crossed_twice_once_or_not_at_all():
    lines = shapely.linestrings(
        [
            [[-20.0, 0.0], [20.0, 0.0]],
            [[0.0, 0.0], [20.0, 0.0]],
            [[-2.0, 1.0], [2.0, 1.0]],
            [[-20.0, 11.0], [20.0, 11.0]],
            [[30.0, 0.0], [20.0, 0.0]],
        ]
    )
    owner, share = cuts_of(lines, [Disc(0.0, 0.0, 10.0)])
    assert sorted(zip(owner.tolist(), share.tolist(), strict=True)) == [(0, 0.25), (0, 0.75), (1, 0.5)]
    assert [len(one) for one in cuts_of(lines, [])] == [0, 0]
