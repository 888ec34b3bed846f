"""What stands where a wing turns at least as high as it is there, with shapes and heights put in by hand.

Sources: geometry, by hand; a foot is 0.3048 m exactly (NIST SP 811). That a structure counts as far as its
record may be off is our own rule (issue 6).
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.rules.struck_in import Flown, _apart_m, first_struck
from planner.world.buildings import Building
from planner.world.obstacles import Obstacles
from tests.rules.test_wing_turns_by_hand import case, square
from tests.worlds import GROUND_M, tower

SHAPES = np.array([shapely.box(-10, -10, 10, 10)], dtype=object)


def struck(level_m, *towers, ground=True):
    mapped = case().mapped
    mapped = attrs.evolve(mapped, obstacles=attrs.evolve(mapped.obstacles, structures=towers))
    mapped = mapped if ground else attrs.evolve(mapped, ground=None)
    places = np.zeros((len(SHAPES), 1, 2))
    return first_struck(case().plan, mapped, SHAPES, places, Flown(np.array([level_m])))


@pytest.mark.parametrize("side", [(-1, 0), (1, 0), (0, -1), (0, 1)])
@pytest.mark.parametrize(("away_m", "hit"), [(34.0, True), (36.0, False)])
def test_a_structure_counts_as_far_as_its_record_may_be_off(side, away_m, hit):
    spot = tuple(away_m * k for k in side)
    mast = tower(50.0, spot, name="MAST", horizontal_error_m=25.0)
    assert struck(GROUND_M + 15.0, mast) == ((0, "MAST") if hit else None)


def test_what_is_just_as_high_is_met_and_what_is_elsewhere_is_not():
    tall = tower(50.0, (5.0, 5.0), name="TALL")
    top_m = tall.top_amsl_m
    assert struck(top_m, tall) == (0, "TALL")
    assert struck(top_m + 0.1, tall) is None
    # Beside it in one direction alone.
    assert struck(top_m, tower(50.0, (5.0, 50.0)), tower(50.0, (50.0, 5.0))) is None
    hall = Building("HALL", square(0.0, 0.0, 3.0), 10.0)
    mapped = attrs.evolve(case().mapped, buildings=(hall,))
    for level_m, hit in ((GROUND_M + 9.9, (0, "HALL")), (GROUND_M + 10.1, None)):
        here = (SHAPES, np.zeros((1, 1, 2)), Flown(np.array([level_m])))
        assert first_struck(case().plan, mapped, *here) == hit


def test_nothing_is_struck_where_ground_or_shapes_are_missing():
    assert struck(GROUND_M - 1.0) == (0, "the ground")
    assert struck(GROUND_M + 1.0) is None
    assert struck(GROUND_M - 1.0, ground=False) is None
    nothing = np.empty(0, dtype=object)
    assert first_struck(case().plan, case().mapped, nothing, np.empty((0, 1, 2)), Flown(np.empty(0))) is None


def climbing(*, gain=0.1, most_m=8.0, near_m=10.0):
    """From the middle of the shape, 10 m about it, it gains a metre on each ten."""
    return Flown(
        np.array([GROUND_M + 15.0]), np.zeros((1, 2)), gain=gain, near_m=near_m, most_m=np.array([most_m])
    )


@pytest.mark.parametrize(
    ("away_m", "top_m", "hit"),
    [
        # 50 m away 4 m are gained: 19 m.
        (50.0, 18.9, False),
        (50.0, 19.1, True),
        (10.0, 15.1, True),
        # No more than its climb, 8 m: 23 m, which it would reach 90 m away.
        (95.0, 23.1, True),
        (95.0, 22.9, False),
    ],
)
def test_what_stands_farther_away_is_passed_as_much_higher(away_m, top_m, hit):
    """Rise over run (geometry): structures and halls by the nearest of them, the ground place by place."""
    wide = np.array([square(0.0, 0.0, 100.0)], dtype=object)
    plan, mapped = case().plan, case().mapped
    mast = tower(top_m / 0.3048, (away_m, 0.0), name="MAST", horizontal_error_m=0.5)
    hall = Building("HALL", square(away_m + 2.0, 0.0, 2.0), top_m)
    for changes in (
        {"obstacles": Obstacles((mast,), np.array([away_m]), np.array([0.0]))},
        {"buildings": (hall,)},
    ):
        found = first_struck(
            plan, attrs.evolve(mapped, **changes), wide, np.zeros((1, 1, 2)), climbing(near_m=9.5)
        )
        assert (found is not None) is hit
    hill = SimpleNamespace(ground=lambda x, _y: np.where(x < away_m, GROUND_M, GROUND_M + top_m))
    places = np.array([[[0.0, 0.0], [away_m, 0.0]]])
    found = first_struck(plan, attrs.evolve(mapped, ground=hill), wide, places, climbing())
    assert (found is not None) is hit


def test_how_high_it_is_flown_so_far_from_where_it_is_lowest():
    """From 2 m on half a metre a metre, up to 3 m more: by hand."""
    flown = Flown(np.array([10.0, 20.0]), np.zeros((2, 2)), 0.5, 2.0, np.array([3.0, 3.0]))
    assert flown.at(np.array([1.0, 4.0])).tolist() == [10.0, 21.0]
    assert flown.at(np.array([[0.0, 100.0], [2.0, 3.0]])).tolist() == [[10.0, 13.0], [20.0, 20.5]]
    at_once = Flown(np.array([10.0]), np.zeros((1, 2)), 0.5, 0.0, np.array([3.0]))
    assert at_once.over(shapely.Point(3.0, 4.0)).tolist() == [12.5]
    for within_m, high_m in ((3.0, 11.0), (8.0, 10.0)):
        assert at_once.over(shapely.Point(3.0, 4.0), within_m).tolist() == [high_m]


def test_how_far_places_are_from_their_middle():
    """Triangles of 3, 4 and 5."""
    places = np.array([[(3.0, 4.0), (6.0, 8.0)], [(1.0, 0.0), (4.0, 4.0)]])
    assert _apart_m(places, np.array([(3.0, 4.0), (1.0, 0.0)])).tolist() == [[0.0, 5.0], [0.0, 5.0]]


@pytest.mark.parametrize(
    ("levels_m", "first"),
    [((15.0, 15.0, 15.0), 1), ((25.0, 25.0, 15.0), 2), ((25.0, 15.0, 25.0), 1), ((25.0, 25.0, 25.0), None)],
)
def test_the_first_of_several_shapes_in_which_it_stands_as_high(levels_m, first):
    """In the second and third shape stands a mast of 20 m, a hall of 12 m on 5 m of hill, or 20 m of hill."""
    shapes = np.array([square(east_m, 0.0, 10.0) for east_m in (-100.0, 100.0, 130.0)], dtype=object)
    spots = [(100.0, 0.0), (130.0, 0.0)]
    mapped = case().mapped
    masts = tuple(tower(20.0 / 0.3048, spot, name="MAST", horizontal_error_m=0.5) for spot in spots)
    halls = tuple(Building("HALL", square(*spot, 3.0), 12.0) for spot in spots)
    low, high = (
        SimpleNamespace(ground=lambda x, _y, up_m=up_m: np.where(x > 50.0, GROUND_M + up_m, GROUND_M))
        for up_m in (5.0, 20.0)
    )
    places = np.array([[(east_m, 0.0)] for east_m in (-100.0, 100.0, 130.0)])
    flown = Flown(GROUND_M - 0.1 + np.array(levels_m))
    for name, changes in {
        "MAST": {"obstacles": attrs.evolve(mapped.obstacles, structures=masts)},
        "HALL": {"buildings": halls, "ground": low},
        "the ground": {"ground": high},
    }.items():
        found = first_struck(case().plan, attrs.evolve(mapped, **changes), shapes, places, flown)
        assert found == (None if first is None else (first, name))
