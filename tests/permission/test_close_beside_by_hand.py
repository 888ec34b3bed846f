"""What of a flight lies close beside an airspace: a request has to hold that, too. Distances by hand.

20 m are an own choice: what hand, satellite fix and outline may be off together (issue 4).
"""

import numpy as np
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround
from planner.permission.besides import close_beside
from tests.worlds import above_ground, area, box, plan, points, terrain, volume, world

HALF_M, FAR_M = 50.0, 400.0


def about(away_m):
    """Airspace on each side that begins so far from a square of 100 m, from 40 m above ground on."""
    near_m = HALF_M + away_m
    outlines = {
        "west": box(-FAR_M, -FAR_M, -near_m, FAR_M),
        "south": box(-FAR_M, -FAR_M, FAR_M, -near_m),
        "east": box(near_m, -FAR_M, FAR_M, FAR_M),
        "north": box(-FAR_M, near_m, FAR_M, FAR_M),
    }
    return tuple(volume(outline=one, floor=above_ground(40.0), name=side) for side, one in outlines.items())


def found(away_m, *, in_path, high_m=60.0):
    """What is close by side of the square; of the path the first leg climbs."""
    corners = [(-HALF_M, -HALF_M, 20.0), (HALF_M, -HALF_M, high_m), (HALF_M, HALF_M, high_m)]
    corners += [(-HALF_M, HALF_M, high_m), (-HALF_M, -HALF_M, high_m)]
    square = area(box(-HALF_M, -HALF_M, HALF_M, HALF_M), AboveGround(high_m))
    flight = plan(path=points(corners) if in_path else (), area=None if in_path else square)
    case = assess_live(flight, world(airspace=about(away_m))).case
    drawn = case.track if in_path else case.area_samples
    shapes = {
        volume.name: list(close_beside([column], [drawn], case.mapped))
        for column, volume in case.mapped.airspace.items()
    }
    return {side: one for side, (one,) in ((k, v) for k, v in shapes.items() if v) if not one.is_empty}


@pytest.mark.parametrize("in_path", [True, False])
def test_what_is_less_than_20_m_beside_an_airspace_at_its_heights_is_close(in_path):
    """Of the path the first leg climbs into its heights: what is as high counts, though not all of it is."""
    close = found(19.5, in_path=in_path)
    assert set(close) == {"west", "south", "east", "north"}
    bounds = (
        close["west"].bounds[0],
        close["south"].bounds[1],
        close["east"].bounds[2],
        close["north"].bounds[3],
    )
    assert bounds == pytest.approx((-HALF_M, -HALF_M, HALF_M, HALF_M), abs=0.2)
    assert not found(20.5, in_path=in_path)
    assert not found(19.5, in_path=in_path, high_m=30.0)


@pytest.mark.parametrize("in_path", [True, False])
@pytest.mark.parametrize(("drop_m", "is_close"), [(30.0, True), (5.0, False), (-30.0, False)])
def test_beyond_a_cliff_it_is_the_ground_there_that_counts(in_path, drop_m, is_close):
    """A shelf from 40 m above ground on, 10 m beside a flight 30 m up: there 60, 35 and 0 m above ground."""
    ground = terrain(lambda east, _north: 300.0 - np.where(east > 55.0, drop_m, 0.0), cell_m=2.0, cells=241)
    shelf = volume(outline=box(60, -200, 200, 200), floor=above_ground(40.0), name="SHELF")
    square = area(box(-HALF_M, -HALF_M, HALF_M, HALF_M), AboveGround(30.0))
    along = points([(HALF_M, -HALF_M, 30.0), (HALF_M, HALF_M, 30.0)])
    flight = plan(path=along if in_path else (), area=None if in_path else square)
    case = assess_live(flight, world(airspace=(shelf,), terrain=ground)).case
    drawn = case.track if in_path else case.area_samples
    ((column, _),) = case.mapped.airspace.items()
    shapes = [one for one in close_beside([column], [drawn], case.mapped) if not one.is_empty]
    assert bool(shapes) is is_close
