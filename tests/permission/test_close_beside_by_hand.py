"""What of a flight lies close beside an airspace: a request has to hold that, too. Distances by hand.

20 m are an own choice: what hand, satellite fix and outline may be off together (issue 4).
"""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.assess import assess_live
from planner.geo.heights import AboveGround
from planner.permission import besides
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


@pytest.mark.parametrize(
    ("level", "from_ground", "at_edge", "covers"),
    [
        # At its heights over its own ground, all of it or some.
        ([True, True, True, True], False, [], True),
        ([True, False, False, False], False, [], True),
        ([True, False, False, False], True, [False, False], True),
        # Over the ground at the edge: two places lie within 20 m of it, one of them of unknown height.
        ([False] * 4, True, [True], True),
        ([False] * 4, True, [False], False),
        ([False] * 4, False, [True], False),
    ],
)
@pytest.mark.parametrize("more", [0, 1])
def test_an_area_is_at_the_heights_of_airspace_over_its_own_ground_or_that_of_the_edge(
    level, from_ground, at_edge, covers, more, monkeypatch
):
    """Places 5, 25 and 40 m west of an outline, one of no known height 15 m, and, with `more`, one 10 m."""
    east_m, planned_m = [-5.0, -25.0, -40.0, -15.0], [330.0, 331.0, 332.0, np.nan]
    level, at_edge = list(level), list(at_edge)
    if more:
        east_m, planned_m, level = [*east_m, -10.0], [*planned_m, 334.0], [*level, False]
        at_edge = [*at_edge, False]
    samples = SimpleNamespace(
        x_m=np.array(east_m),
        y_m=np.zeros(len(east_m)),
        planned_amsl_m=np.array(planned_m),
        ground_amsl_m=np.array(planned_m) - 30.0,
        footprint="all of it",
    )
    outline = shapely.box(0.0, -50.0, 100.0, 50.0)
    mapped = SimpleNamespace(
        airspace={3: "volume"}, outlines=SimpleNamespace(polygon=lambda column: {3: outline}[column])
    )

    def at_heights(_mapped, _volume, edge, planned_m, ground_m):
        assert planned_m.tolist() == [330.0, 334.0][: 1 + more]
        assert ground_m.tolist() == [300.0, 304.0][: 1 + more]
        assert edge == [-5.0, -10.0][: 1 + more]
        return np.array(at_edge[: 1 + more])

    for name, one in {
        "level": lambda _volume, _samples: np.array(level),
        "counts_from_ground": lambda _volume: from_ground,
        "nearest_edge": lambda _outline, points: shapely.get_x(points).tolist(),
        "at_heights_of_edge": at_heights,
    }.items():
        monkeypatch.setattr(besides, name, one)
    shape = besides._at_its_heights(samples, mapped, 3)
    assert (shape == "all of it") is covers
    assert covers or shape.is_empty
