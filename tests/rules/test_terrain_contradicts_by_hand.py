"""Where two surveys contradict each other about what is flown: spots and places put in by hand.

The path runs from (0, 0) 400 m to the east. 30 m and a step of the comparison count as near: own choices.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.rules import terrain_contradicts as rule
from planner.rules.finding import Mark
from planner.rules.terrain_contradicts import contradicted
from planner.world.terrain_differs import TerrainDiffers
from tests.rules.test_return_near_people_by_hand import CASE
from tests.worlds import at

ELSEWHERE = at(0.0, 900.0)


@pytest.fixture(autouse=True)
def nothing_undrawn(monkeypatch):
    monkeypatch.setattr(rule, "ways_not_drawn", lambda _case, _mapped: ())


def told(*spots, step_m=0.0, terrain=True, **changes):
    """Whether it is open, by how much they differ and where, for spots (east, north, how much)."""
    x_m, y_m, apart_m = np.array(spots, dtype=float).reshape(-1, 3).T
    lon, lat = CASE.mapped.frame.inverse(x_m, y_m)
    differs = TerrainDiffers(ELSEWHERE, 99.0, np.column_stack([lon, lat, apart_m]), step_m)
    world = attrs.evolve(CASE.world, terrain_differs=differs, **({} if terrain else {"terrain": None}))
    found = list(contradicted(attrs.evolve(CASE, world=world, **changes)))
    if not found:
        return None
    (one,) = found
    beneath = "beneath the flight" in one.message
    assert (one.mark is Mark.UNKNOWN) is beneath is ("nobody can say how high" in one.message)
    assert one.mark in (Mark.UNKNOWN, Mark.ACT)
    place = (
        "elsewhere" if one.place == ELSEWHERE else tuple(np.round(CASE.mapped.frame.place_to_xy(one.place)))
    )
    return beneath, round(one.numbers["apart_m"], 1), place


NOT_NEAR = (False, 99.0, "elsewhere")


@pytest.mark.parametrize(
    ("spots", "step_m", "expected"),
    [
        ([(200, 29, 12.0)], 0.0, (True, 12.0, (200, 29))),
        ([(200, -29, 12.0)], 0.0, (True, 12.0, (200, -29))),
        ([(200, 31, 12.0)], 0.0, NOT_NEAR),
        ([(200, 39, 12.0)], 10.0, (True, 12.0, (200, 39))),
        ([(200, 41, 12.0)], 10.0, NOT_NEAR),
        ([(431, 0, 12.0)], 0.0, NOT_NEAR),
        # The most of those that are near, not of all.
        ([(10, 0, 12.0), (50, 0, 30.0), (90, 0, 20.0), (200, 500, 80.0)], 0.0, (True, 30.0, (50, 0))),
        ([], 0.0, NOT_NEAR),
    ],
)
def test_the_most_that_they_differ_by_near_to_the_path(spots, step_m, expected):
    assert told(*spots, step_m=step_m) == expected


def test_places_of_the_path_that_are_not_known_are_left_out():
    """Without all between it is straight from end to end; with one of them it is a point."""
    track, middle = CASE.track, slice(1, -1)
    for name in ("x_m", "y_m"):
        values = np.array(getattr(track, name))
        values[middle] = np.nan
        assert told((200, 0, 12.0), track=attrs.evolve(track, **{name: values})) == (True, 12.0, (200, 0))
    n = len(track)
    alone = np.where(np.arange(n) == 0, track.x_m, np.nan)
    one = attrs.evolve(track, x_m=alone)
    assert told((20, 0, 12.0), track=one) == (True, 12.0, (20, 0))
    assert told((200, 0, 12.0), track=one) == NOT_NEAR


def area(east_m):
    return SimpleNamespace(
        x_m=np.array([east_m, east_m + 300.0]),
        y_m=np.array([600.0, 600.0]),
        footprint=shapely.box(east_m, 500.0, east_m + 300.0, 700.0),
    )


def test_of_an_area_all_that_it_covers_counts_and_its_places_are_not_joined():
    flown = {"area": object(), "area_samples": area(0.0)}
    assert told((150, 520, 12.0), **flown) == (True, 12.0, (150, 520))
    # Drawn about a path, which alone is judged.
    assert told((150, 520, 12.0), area=None, area_samples=area(0.0)) == NOT_NEAR
    assert told((150, 520, 12.0), area=object(), area_samples=None) == NOT_NEAR
    # Places of two spots are not joined by a way.
    spots = {"spots": area(0.0), "area": None}
    assert told((10, 600, 12.0), **spots) == (True, 12.0, (10, 600))
    assert told((150, 600, 12.0), **spots) == NOT_NEAR


def test_a_way_that_is_not_drawn_counts(monkeypatch):
    way = SimpleNamespace(line=shapely.LineString([(0, 0), (0, 800)]))
    assert told((20, 600, 12.0)) == NOT_NEAR
    monkeypatch.setattr(rule, "ways_not_drawn", lambda _case, _mapped: (way,))
    assert told((20, 600, 12.0), (200, 0, 11.0)) == (True, 12.0, (20, 600))


def test_without_a_map_or_terrain_or_another_survey():
    assert told((200, 0, 12.0), mapped=None) == NOT_NEAR
    assert told((200, 0, 12.0), terrain=False) is None
    assert not list(contradicted(CASE))
