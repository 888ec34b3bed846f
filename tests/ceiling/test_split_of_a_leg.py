"""Where a leg is split for its never-exceed figures, as `never_exceed` says; figures are own choices."""

from types import SimpleNamespace

import numpy as np
import pytest

from planner.ceiling.never_exceed import HeightUnit, Standing, _figure, _pieces, _without_idle_splits
from planner.ceiling.profile import Binding
from planner.units import FOOT_M


def split(along_m, ceiling_ft):
    """Return from where to where each piece goes [m]."""
    along = np.array(along_m, dtype=float)
    track = SimpleNamespace(distance_m=along)
    profile = SimpleNamespace(ceiling_amsl_m=np.array(ceiling_ft, dtype=float) * FOOT_M)
    pieces = _pieces(np.arange(len(along)), track, profile)
    return [(float(along[piece[0]]), float(along[piece[-1]])) for piece in pieces]


@pytest.mark.parametrize(("fall_ft", "pieces"), [(99.9, 1), (100.5, 2)])
def test_a_leg_is_split_where_its_ceiling_changes_by_more_than_100_ft(fall_ft, pieces):
    assert len(split([0, 300, 310, 600], [500, 500, 500 - fall_ft, 500 - fall_ft])) == pieces


@pytest.mark.parametrize("sign", [1, -1])
def test_the_whole_change_since_the_piece_began_counts_not_only_that_from_its_beginning(sign):
    """60 ft one way, then 60 ft the other side of the beginning: 120 ft in all."""
    assert split([0, 200, 400, 700], [500, 500 + sign * 60, 500 - sign * 60, 500 - sign * 60]) == [
        (0.0, 200.0), (200.0, 400.0), (400.0, 700.0),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("along_m", "pieces"),
    [
        # Of a long leg no piece is shorter than 100 m: 100 are enough, 99 are not.
        ([0, 100, 110, 500], [(0.0, 100.0), (100.0, 500.0)]),
        ([0, 99, 110, 500], [(0.0, 110.0), (110.0, 500.0)]),
        # What is left over at its end belongs to the piece before: 99 m; 100 m are a piece.
        ([0, 401, 410, 500], [(0.0, 500.0)]),
        ([0, 400, 410, 500], [(0.0, 400.0), (400.0, 500.0)]),
        # Of a leg of 120 m: no shorter than half of it, wherever along the path it lies.
        ([0, 60, 70, 120], [(0.0, 60.0), (60.0, 120.0)]),
        ([0, 59, 62, 120], [(0.0, 120.0)]),
        ([1_000, 1_060, 1_070, 1_120], [(1_000.0, 1_060.0), (1_060.0, 1_120.0)]),
    ],
)
def test_no_piece_is_too_short(along_m, pieces):
    ceilings = [500, 500, 300, 300] if along_m[1] != 99 else [500, 500, 300, 100]
    assert split(along_m, ceilings) == pieces


def test_a_jump_parts_its_two_samples():
    """Elsewhere neighbours share the sample at which they meet."""
    ceilings = np.array([500.0, 500.0, 300.0, 300.0]) * FOOT_M
    for along_m, second in (([0.0, 300.0, 300.0, 600.0], [2, 3]), ([0.0, 300.0, 301.0, 600.0], [1, 2, 3])):
        track = SimpleNamespace(distance_m=np.array(along_m))
        found = _pieces(np.arange(4), track, SimpleNamespace(ceiling_amsl_m=ceilings))
        assert [piece.tolist() for piece in found] == [[0, 1], second]


def test_the_ceiling_at_the_very_beginning_counts():
    """It falls by 120 ft over the first 150 m; from there on it is level."""
    assert split([0, 150, 300], [500, 380, 380]) == [(0.0, 150.0), (150.0, 300.0)]


def test_after_each_split_the_change_is_counted_anew():
    """Two steps of 200 ft, each at a jump; the last 400 m are level."""
    along_m, ceiling_ft = [0, 200, 200, 400, 400, 600, 800], [900, 900, 700, 700, 500, 500, 500]
    assert split(along_m, ceiling_ft) == [(0.0, 200.0), (200.0, 400.0), (400.0, 800.0)]


def joined(*ceilings_ft):
    """Pieces of two samples each, with these lowest ceilings, after idle splits are undone."""
    ceiling = np.array([each for lowest in ceilings_ft for each in (lowest, lowest + 150.0)]) * FOOT_M
    pieces = [np.array([2 * number, 2 * number + 1]) for number in range(len(ceilings_ft))]
    profile = SimpleNamespace(ceiling_amsl_m=ceiling)
    return [piece.tolist() for piece in _without_idle_splits(profile, pieces)]


@pytest.mark.parametrize(
    ("ceilings_ft", "pieces"),
    [
        ((500,), [[0, 1]]),
        ((500, 500), [[0, 1, 2, 3]]),
        ((500, 501), [[0, 1], [2, 3]]),
        ((500, 500, 500), [[0, 1, 2, 3, 4, 5]]),
        ((500, 400, 400), [[0, 1], [2, 3, 4, 5]]),
        ((500, 500, 400), [[0, 1, 2, 3], [4, 5]]),
        ((500, 400, 300, 300), [[0, 1], [2, 3], [4, 5, 6, 7]]),
        ((np.nan, np.nan, 400), [[0, 1, 2, 3], [4, 5]]),
        ((500, np.nan), [[0, 1], [2, 3]]),
    ],
)
def test_neighbours_with_the_same_lowest_ceiling_are_one_piece(ceilings_ft, pieces):
    assert joined(*ceilings_ft) == pieces


def figure(bindings, ceilings_ft=(400.0, 400.0), ground_ft=(0.0, 0.0)):
    """The figure for one piece over a launch at sea level, and its standing."""
    track = SimpleNamespace(
        leg=np.zeros(2, dtype=int),
        distance_m=np.array([0.0, 300.0]),
        ground_amsl_m=np.array(ground_ft) * FOOT_M,
        launch_ground_amsl_m=0.0,
    )
    profile = SimpleNamespace(ceiling_amsl_m=np.array(ceilings_ft) * FOOT_M, binding=bindings)
    found = _figure(track, profile, np.arange(2), 0.0, HeightUnit.FEET)
    return found.figure, found.standing


OPEN, FLOOR, NOTHING, CLOSED = Binding.GROUND, Binding.AIRSPACE_FLOOR, Binding.NO_PERMISSION, Binding.CLOSED


@pytest.mark.parametrize(
    ("bindings", "ceilings_ft", "highest"),
    [
        ((OPEN, OPEN), (400, 400), 400),
        ((FLOOR, OPEN), (400, 400), 399),  # the floor itself is inside, wherever it is as low as the rest
        ((OPEN, FLOOR), (400, 400), 399),
        ((OPEN, FLOOR), (400, 500), 400),  # a floor higher up does not count
        ((CLOSED, OPEN), (400, 400), 399),
        ((FLOOR, FLOOR), (400.5, 400.5), 400),
    ],
)
def test_at_the_floor_of_an_airspace_the_figure_stays_under_it(bindings, ceilings_ft, highest):
    assert figure(bindings, ceilings_ft) == (highest, Standing.KNOWN)


@pytest.mark.parametrize("bindings", [(OPEN, NOTHING), (NOTHING, OPEN), (OPEN, CLOSED), (NOTHING, NOTHING)])
def test_where_anything_of_a_piece_is_closed_to_the_ground_there_is_no_figure(bindings):
    shut = np.array([binding in (NOTHING, CLOSED) for binding in bindings])
    assert figure(bindings, np.where(shut, 0.0, 400.0)) == (None, Standing.NOT_ALLOWED)


def test_ground_as_high_as_the_limit_is_not_closed():
    """Nothing is left above the ground there, but no airspace closes it."""
    assert figure((OPEN, OPEN), (100.0, 400.0), (100.0, 0.0)) == (100, Standing.KNOWN)
