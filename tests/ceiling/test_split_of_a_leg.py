"""Where a leg is split for its never-exceed figures, as `never_exceed` says; figures are own choices."""

from types import SimpleNamespace

import numpy as np
import pytest

from planner.ceiling.never_exceed import _pieces
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
