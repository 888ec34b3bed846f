"""What a path passes close beside, which part of it comes nearest, and at which place: worked by hand."""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.rules.beside import close_beside_airspace, close_to_the_end_of_an_allowance, nearest_on_path
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import complete, judged
from tests.worlds import above_ground, box, plan, points, volume, world

CASE = complete()


def bent(*corners):
    """A track through corners (x, y) [m], as far as what lies beside it looks at that."""
    x_m, y_m = np.array(corners, dtype=float).T
    lengths = np.hypot(np.diff(x_m), np.diff(y_m))
    along = np.concatenate([[0.0], np.cumsum(np.nan_to_num(lengths))])
    return attrs.evolve(CASE.track, x_m=x_m, y_m=y_m, distance_m=along)


# Pieces of 100, 50, 300 and 40 m, away from both axes.
TRACK = bent((1_000, 700), (1_100, 700), (1_100, 750), (1_400, 750), (1_400, 790))
ALL = np.ones(5, dtype=bool)


def nearest(x_m, y_m, holds=ALL, track=TRACK):
    """What comes nearest to a speck at (x, y)."""
    return nearest_on_path(CASE, track, np.array(holds, dtype=bool), shapely.Point(x_m, y_m))


@pytest.mark.parametrize(
    ("speck", "away_m", "along_m", "foot"),
    [
        ((1_030, 703), 3.0, 30.0, (1_030, 700)),
        ((1_108, 730), 8.0, 130.0, (1_100, 730)),
        ((1_190, 745), 5.0, 240.0, (1_190, 750)),
        ((1_403, 780), 3.0, 480.0, (1_400, 780)),
        # Beyond an end the end is nearest.
        ((988, 709), 15.0, 0.0, (1_000, 700)),
        ((1_409, 802), 15.0, 490.0, (1_400, 790)),
    ],
)
def test_the_nearest_place_of_a_path_is_the_foot_on_its_piece(speck, away_m, along_m, foot):
    found = nearest(*speck)
    assert found.away_m == pytest.approx(away_m, abs=1e-9)
    assert found.along_m == pytest.approx(along_m, abs=1e-9)
    place = CASE.mapped.frame.xy_to_place(*map(float, foot))
    assert (found.place.lat_deg, found.place.lon_deg) == pytest.approx(
        (place.lat_deg, place.lon_deg), abs=1e-9
    )


def test_only_pieces_count_on_which_it_holds_at_both_ends():
    speck = 1_190, 745
    assert nearest(*speck, [0, 0, 1, 1, 0]).along_m == pytest.approx(240.0)
    assert nearest(*speck, [0, 0, 1, 1, 1]).along_m == pytest.approx(240.0)
    for holds in ([1, 1, 1, 0, 1], [1, 1, 0, 1, 1], [1, 0, 1, 0, 1], [0, 0, 0, 1, 1], [0, 0, 0, 0, 0]):
        assert nearest(*speck, holds) is None


def test_a_piece_with_an_end_that_is_nowhere_is_left_out():
    gone = bent((1_000, 700), (math.nan, math.nan), (1_100, 750), (1_400, 750), (1_400, 790))
    assert nearest(1_030, 703, track=gone) is None
    assert nearest(1_190, 745, track=gone).away_m == pytest.approx(5.0)
    first = bent((math.nan, math.nan), (1_100, 700), (1_100, 750), (1_400, 750), (1_400, 790))
    assert nearest(1_190, 745, track=first).away_m == pytest.approx(5.0)


def test_of_two_pieces_that_are_close_the_closer_is_told_and_a_hover_is_a_place():
    edge = shapely.MultiPoint([(1_030, 704), (1_200, 752)])
    found = nearest_on_path(CASE, TRACK, ALL, edge)
    assert (found.away_m, found.along_m) == (pytest.approx(2.0), pytest.approx(250.0))
    still = bent((1_000, 700), (1_000, 700))
    assert nearest(1_003, 704, [1, 1], still).away_m == pytest.approx(5.0)


# ---- from charts to what is told


@pytest.mark.parametrize(
    "corners",
    [
        (-11, 30, -5, 40),  # west of all of a path that runs from (0, 40) to (300, 400) ...
        (-20, 28, 20, 33),  # ... south of it
        (280, 406, 320, 415),
        (305, 390, 315, 420),
    ],
)
@pytest.mark.parametrize("back", [1, -1])
def test_what_lies_beyond_an_end_of_a_path_is_close_beside_it(corners, back):
    path = points([(0, 40, 30.0), (300, 400, 30.0)][::back])
    near = world(airspace=(volume(AirspaceKind.RESTRICTED, box(*corners), name="INVENTED V"),))
    (told,) = close_beside_airspace(judged(plan(path=path, launch=None, landing=None), near))
    ends = np.array([(0, 40), (300, 400)])
    west, south, east, north = corners
    aside = np.clip(ends, (west, south), (east, north)) - ends
    assert told.numbers["aside_m"] == pytest.approx(np.hypot(*aside.T).min(), abs=0.2)


def test_a_path_of_two_samples_is_looked_at():
    near = world(airspace=(volume(AirspaceKind.RESTRICTED, box(-100, 5, 600, 50), name="INVENTED V"),))
    case = judged(plan(path=points([(2, 1, 30.0), (12, 1, 30.0)])), near)
    assert len(case.track) == 2
    assert len(list(close_beside_airspace(case))) == 1


def test_a_volume_that_is_not_known_to_need_anything_is_not_told():
    charts = world(airspace=(volume(AirspaceKind.PARACHUTE, box(-100, 5, 600, 50), floor=above_ground(0.0)),))
    assert not list(close_beside_airspace(judged(plan(), charts)))


@pytest.mark.parametrize("lacking", ["track", "mapped", "profile"])
def test_without_a_path_or_charts_nothing_is_close(lacking):
    near = world(airspace=(volume(AirspaceKind.RESTRICTED, box(-100, 5, 600, 50), name="INVENTED V"),))
    case = attrs.evolve(judged(plan(), near), **{lacking: None})
    assert bool(list(close_beside_airspace(case))) is (lacking == "profile")
    assert not list(close_to_the_end_of_an_allowance(case))
