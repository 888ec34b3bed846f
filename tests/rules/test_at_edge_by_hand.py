"""Whether a path beside an outline is at an airspace's heights there: ground at its edge put in by hand (m).

Class G ends at the floor of Class E, and who flies at that floor is still below it (from memory); floors
and tops of other airspace belong to it. That ground nobody knows could be any is our own rule.
"""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.permission import at_edge as rule
from planner.permission.at_edge import counts_from_ground, level_beside
from planner.track.way_samples import WaySamples
from planner.world.airspace import AirspaceKind, LimitReference, VerticalLimit
from tests.worlds import above_ground, sea_level, volume

R, E = AirspaceKind.RESTRICTED, AirspaceKind.CLASS_E_OTHER
ABOVE, SEA = above_ground(40.0), sea_level(900.0)
# It begins 10 m north of the path, from 100 to 200 m east.
OUTLINE = shapely.box(100.0, 10.0, 200.0, 60.0)


class Path(SimpleNamespace):
    def __len__(self):
        return len(self.x_m)


def reached(monkeypatch, planned_m, beyond_m, *, east_m=None, within_m=20.0, kind=R, **limits):
    """Which samples, 50 m apart, are at its heights where the ground at its edge lies so high."""
    edges = []

    def at(_mapped, places, to_m, from_m):
        edges.extend(places.tolist())
        there = np.full(len(to_m), beyond_m)
        return WaySamples(None, *places.T, there, there, to_m, from_m)

    monkeypatch.setattr(rule, "sample_way", at)
    planned_m = np.array(planned_m, dtype=float)
    x_m = np.arange(len(planned_m)) * 50.0 if east_m is None else np.array(east_m, dtype=float)
    level_m = np.full(len(planned_m), 300.0)
    path = Path(
        x_m=x_m,
        y_m=np.zeros(len(planned_m)),
        planned_amsl_m=planned_m,
        flown_from_amsl_m=planned_m,
        ground_amsl_m=level_m,
        lowest_ground_amsl_m=level_m,
    )
    found = level_beside(
        None, path, volume(kind, **{"floor": ABOVE, "top": SEA, **limits}), OUTLINE, within_m
    )
    return np.flatnonzero(found).tolist(), edges


@pytest.mark.parametrize(
    ("planned_m", "beyond_m", "given", "rows"),
    [
        # Samples at 0, 50, ... 300 m east: the pieces from 50 to 250 m come within 20 m of it.
        ([320.0] * 7, 250.0, {}, [1, 2, 3, 4, 5]),
        ([320.0] * 7, 250.0, {"within_m": 52.0}, [0, 1, 2, 3, 4, 5, 6]),
        ([320.0] * 7, 250.0, {"within_m": 9.0}, []),
        ([320.0] * 7, 300.0, {}, []),
        ([290.0] * 7, 250.0, {}, [1, 2, 3, 4, 5]),  # a floor belongs to it
        ([290.0] * 7, 250.0, {"kind": E}, []),
        ([290.1] * 7, 250.0, {"kind": E}, [1, 2, 3, 4, 5]),
        ([289.9] * 7, 250.0, {}, []),
        ([320.0, 320.0, 280.0, 320.0, 280.0, 320.0, 320.0], 250.0, {}, [1, 3, 5]),
        ([320.0] * 7, np.nan, {}, [1, 2, 3, 4, 5]),
        # A top that counts from the ground there belongs to it, too.
        ([320.0] * 7, 280.0, {"floor": sea_level(0.0), "top": above_ground(40.0)}, [1, 2, 3, 4, 5]),
        ([320.0] * 7, 279.0, {"floor": sea_level(0.0), "top": above_ground(40.0)}, []),
        # Of limits above the sea the ground says nothing, and all of the path is asked.
        ([320.0] * 7, 250.0, {"floor": sea_level(320.0)}, [0, 1, 2, 3, 4, 5, 6]),
        ([320.0] * 7, 250.0, {"floor": sea_level(321.0)}, []),
        # Where height or place are not known it is not asked, nor on the pieces beside.
        ([320.0, 320.0, 320.0, np.nan, 320.0, 320.0, 320.0], 250.0, {}, [1, 2, 4, 5]),
        ([320.0] * 7, 250.0, {"east_m": [0, 50, 100, np.nan, 200, 250, 300]}, [1, 2, 4, 5]),
        ([np.nan] * 7, 250.0, {}, []),
    ],
)
def test_which_samples_of_a_path_are_at_its_heights(planned_m, beyond_m, given, rows, monkeypatch):
    found, edges = reached(monkeypatch, planned_m, beyond_m, **given)
    assert found == rows
    # Each place of its edge is the nearest one.
    assert all(east_m in (100.0, 150.0, 200.0) and north_m == 10.0 for east_m, north_m in edges)


@pytest.mark.parametrize(
    ("floor", "top", "counts"),
    [
        (ABOVE, SEA, True),
        (sea_level(0.0), above_ground(90.0), True),
        (sea_level(0.0), VerticalLimit(LimitReference.SURFACE), True),
        (ABOVE, above_ground(90.0), True),
        (sea_level(0.0), SEA, False),
        (VerticalLimit(LimitReference.SURFACE), SEA, False),
    ],
)
def test_which_limits_count_from_the_ground(floor, top, counts):
    assert counts_from_ground(volume(R, floor=floor, top=top)) is counts
