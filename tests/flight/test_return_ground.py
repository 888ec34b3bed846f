"""Where returns pass over the lowest ground, against every place of every return asked by itself."""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.flight.return_ground import over_highest_ground, over_lowest_ground
from planner.geo.frame import LocalFrame
from planner.world.outlines import Disc
from planner.world.plane_terrain import PlaneTerrain
from tests.worlds import HERE, terrain

STEP_M = 0.25


def laid(draw, off_m=0.0, cells=81):
    coarse = draw.uniform(0.0, 60.0, (cells, cells))
    smooth = (coarse + np.roll(coarse, 1, 0) + np.roll(coarse, 1, 1) + np.roll(coarse, (1, 1), (0, 1))) / 4
    made = terrain(lambda _e, _n: smooth, cell_m=10.0, cells=cells, horizontal_uncertainty_m=off_m)
    return PlaneTerrain.lay(made, LocalFrame(HERE))


def ways(draw, count=12, level_m=100.0):
    """Returns from places about to one home; what comes before the level part is of no matter."""
    x_m, y_m = draw.uniform(-300, 300, (2, count))
    home_x, home_y = draw.uniform(-100, 100, 2)
    of_x = np.column_stack([x_m, x_m, x_m, np.full(count, home_x)])
    of_y = np.column_stack([y_m, y_m, y_m, np.full(count, home_y)])
    levels = level_m + draw.uniform(0.0, 10.0, count)
    amsl_m = np.column_stack([levels - 20.0, levels - 20.0, levels, levels])
    return SimpleNamespace(corner_x_m=of_x, corner_y_m=of_y, corner_amsl_m=amsl_m, landed=None)


def along(loss, k):
    """Places of one return, close to each other."""
    (x0, x1), (y0, y1) = loss.corner_x_m[k, 2:], loss.corner_y_m[k, 2:]
    share = np.linspace(0.0, 1.0, int(np.hypot(x1 - x0, y1 - y0) / STEP_M) + 2)
    return x0 + (x1 - x0) * share, y0 + (y1 - y0) * share


def discs(draw, count=3):
    return [Disc(*draw.uniform(-200, 200, 2), float(draw.uniform(30, 120))) for _ in range(count)]


def as_polygons(round_ones):
    return [shapely.Point(one.x_m, one.y_m).buffer(one.radius_m, quad_segs=64) for one in round_ones]


def outlines(draw, count=3):
    return as_polygons(discs(draw, count))


def deepest(loss, ground, shapes, measure):
    """The greatest height over some ground in each outline, over all returns; -inf where none is in it."""
    found = np.full(len(shapes), -np.inf)
    for k in range(len(loss.corner_x_m)):
        x_m, y_m = along(loss, k)
        over_m = loss.corner_amsl_m[k, 3] - measure(ground, x_m, y_m)
        for which, shape in enumerate(shapes):
            inside = shapely.contains_xy(shape, x_m, y_m)
            if inside.any():
                found[which] = max(found[which], float(over_m[inside].max()))
    return found


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 100_000), off_m=st.sampled_from([0.0, 8.0]), in_discs=st.booleans())
def test_in_each_outline_the_deepest_place_of_all_returns_is_among_them(seed, off_m, in_discs):
    draw = np.random.default_rng(seed)
    ground, loss, round_ones = laid(draw, off_m), ways(draw), discs(draw)
    shapes = as_polygons(round_ones)
    wanted = deepest(loss, ground, shapes, lambda ground, x, y: ground.lowest(x, y))
    found = over_lowest_ground(loss, ground, 20.0, round_ones if in_discs else shapes)
    over_m = found.amsl_m - ground.lowest(found.x_m, found.y_m)
    for one, shape, most_m in zip(round_ones, shapes, wanted, strict=True):
        inside = shapely.contains_xy(shape, found.x_m, found.y_m)
        if in_discs:
            # A disc reaches up to a centimetre beyond its polygon.
            inside = np.hypot(found.x_m - one.x_m, found.y_m - one.y_m) <= one.radius_m
        if most_m > 20.0:
            # Between places half a cell apart a bend of such noise (12 m a cell) lies up to 3 m lower.
            assert over_m[inside].max(initial=-np.inf) >= most_m - 3.0


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 100_000))
def test_in_each_outline_the_highest_ground_is_among_them(seed):
    draw = np.random.default_rng(seed)
    ground, loss, shapes = laid(draw), ways(draw), outlines(draw)
    least = -deepest(loss, ground, shapes, lambda ground, x, y: 2 * 105.0 - ground.ground(x, y))
    found = over_highest_ground(loss, ground, shapes, shapes)
    high_m = ground.ground(found.x_m, found.y_m)
    for shape, told in zip(shapes, least, strict=True):
        inside = shapely.contains_xy(shape, found.x_m, found.y_m)
        assert inside.any() == bool(np.isfinite(told))
        for k in range(len(loss.corner_x_m)):
            x_m, y_m = along(loss, k)
            there = shapely.contains_xy(shape, x_m, y_m)
            if there.sum() > 10.0 / STEP_M:
                assert high_m[inside].max() >= ground.ground(x_m[there], y_m[there]).max() - 3.0


def test_what_is_nowhere_so_deep_is_not_asked():
    draw = np.random.default_rng(1)
    found = over_lowest_ground(ways(draw, level_m=30.0), laid(draw), 100.0, outlines(draw))
    assert len(found.owner) == 0


def test_each_place_lies_on_its_return_as_high_as_that_is():
    draw = np.random.default_rng(2)
    loss, ground = ways(draw), laid(draw)
    found = over_lowest_ground(loss, ground, 20.0, outlines(draw))
    assert len(found.owner) > 12
    for owner, x_m, y_m, amsl_m in zip(found.owner, found.x_m, found.y_m, found.amsl_m, strict=True):
        ends = np.column_stack([loss.corner_x_m[owner, 2:], loss.corner_y_m[owner, 2:]])
        assert shapely.LineString(ends).distance(shapely.Point(x_m, y_m)) < 1e-6
        assert amsl_m == loss.corner_amsl_m[owner, 3]


@pytest.mark.parametrize("ask", [over_lowest_ground, over_highest_ground])
def test_without_ground_or_with_no_way_known_nothing_is_asked(ask):
    draw = np.random.default_rng(3)
    loss, shapes = ways(draw), outlines(draw)
    about = 20.0 if ask is over_lowest_ground else shapes
    assert len(ask(loss, None, about, shapes).owner) == 0
    loss.corner_x_m[:, 3] = np.nan
    assert len(ask(loss, laid(draw), about, shapes).owner) == 0


def test_over_ground_that_is_not_known_a_return_is_asked_there():
    draw = np.random.default_rng(4)
    made = terrain(lambda e, n: np.where(np.hypot(e - 60, n) < 25, np.nan, 50.0), cell_m=10.0, cells=81)
    ground = PlaneTerrain.lay(made, LocalFrame(HERE))
    loss = ways(draw, 1)
    loss.corner_x_m[0], loss.corner_y_m[0] = [200, 200, 200, -100], [0, 0, 0, 0]
    found = over_lowest_ground(loss, ground, 500.0, [])
    assert np.isnan(ground.ground(found.x_m, found.y_m)).any()


@pytest.mark.parametrize(("level_m", "bound"), [(60.0, False), (200.0, True)])
def test_what_but_raises_the_height_limit_bounds_pieces_only_where_a_return_comes_above_that(level_m, bound):
    """400 ft above ground that lies between 0 and 60 m."""
    draw = np.random.default_rng(5)
    ground, loss, masts = laid(draw), ways(draw, level_m=level_m), discs(draw)
    raising = {id(one) for one in masts}
    bare, all_of_them = (over_lowest_ground(loss, ground, 0.0, edges) for edges in ([], masts))
    found = over_lowest_ground(loss, ground, 0.0, masts, raising)
    assert len(bare.owner) < len(all_of_them.owner)
    assert np.array_equal(found.x_m, (all_of_them if bound else bare).x_m)


@pytest.mark.parametrize("gap_m", [0.0, 1e-9, -1e-9])
def test_right_at_a_border_that_two_outlines_share_each_has_its_own_place(gap_m):
    """On an even slope a level return is highest at the border of one: within 2 cm of it, not on it."""
    made = terrain(lambda east, _n: 50.0 + 0.1 * east, cell_m=10.0, cells=81, horizontal_uncertainty_m=0.0)
    ground = PlaneTerrain.lay(made, LocalFrame(HERE))
    east, west = shapely.box(gap_m, -300.0, 300.0, 300.0), shapely.box(-300.0, -300.0, 0.0, 300.0)
    x_m, y_m, level_m = (np.array([row]) for row in ([200.0] * 3 + [-37.0], [90.0] * 3 + [11.0], [150.0] * 4))
    loss = SimpleNamespace(corner_x_m=x_m, corner_y_m=y_m, corner_amsl_m=level_m, landed=None)
    found = over_lowest_ground(loss, ground, 20.0, [east, west])
    inside = shapely.contains_xy(east, found.x_m, found.y_m)
    assert (found.x_m[inside] >= 0.01).all()
    assert found.x_m[inside].min() <= 0.02
