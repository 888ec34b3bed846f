"""Places of a plane shape at which ground may lie lowest in it: edges and outlines put in by hand (m)."""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.track import shape_places as rule
from planner.track.shape_places import pieces_between

EAST, ALL = shapely.box(105.0, -90.0, 200.0, 10.0), shapely.box(-500.0, -500.0, 500.0, 500.0)


def test_pieces_of_the_plane_are_those_between_outlines():
    asked = []

    def columns_near(box):
        asked.append(box.tolist())
        return np.arange(2)

    def contains(column, x_m, y_m):
        return shapely.intersects_xy((EAST, ALL)[column], x_m, y_m)

    nodes = np.array([(0.0, 0.0), (150.0, 0.0), (10.0, 30.0), (120.0, -40.0), (160.0, 9.0), (-20.0, 5.0)])
    some = SimpleNamespace(columns_near=columns_near, contains=contains)
    pieces = pieces_between(SimpleNamespace(outlines=some), nodes)
    assert sorted(sorted(piece.tolist()) for piece in pieces) == [[0, 2, 5], [1, 3, 4]]
    assert asked == [[-20.0, -40.0, 160.0, 30.0]]
    none = SimpleNamespace(columns_near=lambda _box: np.empty(0, dtype=np.int64))
    every = pieces_between(SimpleNamespace(outlines=none), nodes)
    assert [piece.tolist() for piece in every] == [list(range(6))]


@pytest.mark.parametrize("found", [[], [np.array([(1.0, 2.0), (3.0, 4.0)]), np.array([(5.0, 6.0)])]])
def test_an_edge_is_asked_where_the_ground_bends(found, monkeypatch):
    monkeypatch.setattr(rule, "edge_pieces", lambda shape: iter([shape]))
    monkeypatch.setattr(rule, "points_on_ground", lambda pieces, ground: found if pieces == ["e"] else ground)
    places = rule._on_edge("ground", "e")
    assert places.shape == (len(np.concatenate([np.empty((0, 2)), *found])), 2)
    assert {tuple(one) for one in places.tolist()} == {tuple(one) for part in found for one in part.tolist()}
