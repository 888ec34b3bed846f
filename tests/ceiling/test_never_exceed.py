"""The figure never to exceed: worked by hand, then against every metre of the ceiling."""

import math
from itertools import pairwise

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.ceiling.never_exceed import (
    LEAST_PIECE_M,
    SPLIT_FALL_M,
    HeightUnit,
    Standing,
    never_exceed,
    shown_above_launch,
)
from planner.geo.heights import AboveSeaLevel
from planner.geo.place import Place
from planner.plan.ground import GroundSpot, LandStatus
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    GROUND_M,
    above_ground,
    at,
    cliff,
    disc,
    level,
    plan,
    points,
    slope,
    terrain,
    volume,
    world,
)

FEET, METRES = HeightUnit.FEET, HeightUnit.METRES


def figures(answer, error_m=0.0, unit=FEET):
    return never_exceed(answer.track, answer.profile, error_m, unit)


def over(relief, path=None, launch=None, **changes):
    charts = world(terrain=terrain(relief, cell_m=10, cells=301), **changes)
    given = {"path": path or points([(-500, 0, 30.0), (500, 0, 30.0)])}
    if launch:
        given["launch"] = GroundSpot(launch, LandStatus.OWN)
    return assess(plan(**given), charts)


# 14 CFR 107.51(b): 400 ft above level ground, launch on that ground (check_values 1.1, standing B).
@pytest.mark.parametrize(
    ("error_ft", "unit", "figure"),
    [(0.0, FEET, 400), (9.5, FEET, 390), (0.0, METRES, 121), (10.0, METRES, 118)],
)
def test_level_ground(error_ft, unit, figure):
    (only,) = figures(over(level()), error_ft * FOOT_M, unit)
    assert only.figure == figure
    assert only.standing is Standing.KNOWN


def test_a_launch_100_ft_down_the_hill_reads_100_ft_more():
    # 30.5 m are 100.07 ft, and 300 m have no rounding in a raster of 32 bits.
    answer = over(cliff(30.5, 300.0), points([(-900, 0, 30.0), (-400, 0, 30.0)]), launch=at(500, 0))
    assert [piece.figure for piece in figures(answer)] == [500]


# 14 CFR 107.45: closed is the area itself, from its floor up; what lies under it is not.
# At its floor one is inside already, so that the figure stays under it.
@pytest.mark.parametrize(("floor_ft", "figure"), [(300, 299), (300.5, 300), (None, None)])
def test_under_closed_airspace_the_figure_stays_under_its_floor(floor_ft, figure):
    low = {} if floor_ft is None else {"floor": above_ground(floor_ft * FOOT_M)}
    answer = over(level(), airspace=(volume(AirspaceKind.RESTRICTED, disc(2_000), **low),))
    (only,) = figures(answer)
    assert only.figure == figure
    assert only.standing is (Standing.KNOWN if figure else Standing.NOT_ALLOWED)


def test_the_figure_may_lie_below_the_launch():
    answer = over(cliff(600 * FOOT_M), points([(400, 0, 30.0), (900, 0, 30.0)]), launch=at(-500, 0))
    assert [piece.figure for piece in figures(answer)] == [-200]


def test_a_cliff_splits_the_leg_where_it_stands():
    high, low = figures(over(cliff(300 * FOOT_M), launch=at(-500, 0)))
    assert (high.leg, low.leg) == (0, 0)
    assert high.to_m == low.from_m == pytest.approx(490, abs=15)
    assert low.figure == 100
    # The piece before the edge keeps nearly all of its 400 ft.
    assert 295 <= high.figure <= 400


@pytest.mark.parametrize("rise", [-0.3, -0.05, 0.08, 0.4, -1.2])
def test_pieces_cover_the_leg_and_no_metre_of_it_has_a_lower_ceiling(rise):
    answer = over(slope(rise), points([(-700, 0, 30.0), (-100, 0, 30.0), (700, 100, 30.0)]))
    track, profile = answer.track, answer.profile
    found = figures(answer)
    for leg in (0, 1):
        pieces = [piece for piece in found if piece.leg == leg]
        ends = track.distance_m[track.leg == leg][[0, -1]]
        assert (pieces[0].from_m, pieces[-1].to_m) == tuple(ends)
        assert all(one.to_m == other.from_m for one, other in pairwise(pieces))
        for piece in pieces:
            there = (track.leg == leg) & (track.distance_m >= piece.from_m) & (track.distance_m <= piece.to_m)
            lowest = profile.ceiling_amsl_m[there].min() - track.launch_ground_amsl_m
            assert piece.figure == math.floor(lowest / FOOT_M + 1e-3)
            assert len(pieces) == 1 or piece.to_m - piece.from_m >= LEAST_PIECE_M - 1e-6
            spread = np.ptp(profile.ceiling_amsl_m[there])
            # A raster line apart from the sample that tipped the scale, at most.
            steps = abs(rise) * 15
            short = piece.to_m - piece.from_m <= LEAST_PIECE_M + 15 * 1.6
            assert spread <= SPLIT_FALL_M + steps or short or piece is pieces[-1]


def test_gently_falling_ground_is_one_piece():
    assert len(figures(over(slope(-0.03)))) == 1


def test_unknown_stays_unknown():
    beyond = assess(plan(path=points([(0, 0, 30.0), (9000, 0, 30.0)])), world())
    known, unknown = figures(beyond)
    assert known.figure == 400
    assert (unknown.figure, unknown.standing) == (None, Standing.GROUND_UNKNOWN)
    no_readout = figures(over(level()), None)
    assert [(piece.figure, piece.standing) for piece in no_readout] == [(None, Standing.READOUT_UNKNOWN)]
    far = attrs.evolve(plan().launch, place=Place(-150.2, 37.99))
    no_launch = assess(plan(launch=far, landing=far), world())
    assert [piece.standing for piece in figures(no_launch)] == [Standing.LAUNCH_UNKNOWN]


def test_where_nothing_is_allowed_there_is_no_figure():
    answer = assess(plan(), world(airspace=(volume(AirspaceKind.CLASS_D, disc(250)),)))
    found = figures(answer)
    assert [piece.standing for piece in found] == [Standing.KNOWN, Standing.NOT_ALLOWED, Standing.KNOWN]
    assert [piece.figure for piece in found] == [400, None, 400]
    assert found[1].from_m == pytest.approx(250, abs=0.5)
    assert found[1].to_m == pytest.approx(750, abs=0.5)


def test_points_as_the_readout_shows_them():
    path = points([(-400, 0, AboveSeaLevel(GROUND_M + 100 * FOOT_M)), (400, 0, 61.0)])
    answer = over(cliff(100 * FOOT_M), path, launch=at(-500, 0))
    assert shown_above_launch(answer.track, FEET) == (100, 100)
    assert shown_above_launch(answer.track, METRES) == (30, 31)
    far = attrs.evolve(plan().launch, place=Place(-150.2, 37.99))
    unknown = assess(plan(launch=far, path=points([(0, 0, 30.0), (50, 0, 30.0)])), world())
    assert shown_above_launch(unknown.track, FEET) == (None, None)
