"""What the map layer tells of a place, and which airspace it asks, with ceilings put in by hand.

Two ways to one answer: the code of a place is taken apart by plain arithmetic, column, permitted, nothing.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.ceiling.allowed_layer import _below, _coded
from planner.ceiling.limits import Ceiling
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import complete
from tests.worlds import above_ground, sea_level, volume


@pytest.mark.parametrize("some_unknown", [False, True])
def test_the_code_of_a_place_says_what_sets_its_ceiling(some_unknown):
    amsl_m = np.array([150.0, 100.0, 90.0, 150.0, 150.0, np.nan if some_unknown else 101.0])
    column = np.array([5, 5, 2, -1, 7, 3])
    permitted = np.array([False, False, True, True, True, False])
    places = SimpleNamespace(ground_amsl_m=np.full(6, 100.0))
    code = _coded(Ceiling(amsl_m, column.copy(), permitted), places).tolist()
    found = [(one // 4, one % 4 // 2, one % 2) for one in code]
    assert found[:5] == [(5, 0, 0), (5, 0, 1), (2, 1, 1), (-1, 1, 0), (7, 1, 0)]
    assert found[5] == ((-2, 0, 0) if some_unknown else (3, 0, 0))


def test_airspace_that_begins_above_every_limit_is_not_asked():
    shapes = {
        "low": volume(AirspaceKind.CLASS_C, floor=sea_level(400.0)),
        "at": volume(AirspaceKind.CLASS_C, floor=sea_level(500.0)),
        "high": volume(AirspaceKind.CLASS_C, floor=sea_level(500.1)),
        "over ground": volume(AirspaceKind.CLASS_C, floor=above_ground(900.0)),
    }
    mapped = attrs.evolve(complete().mapped, airspace=dict(enumerate(shapes.values())))
    kept = _below(mapped, SimpleNamespace(amsl_m=np.array([450.0, np.nan, 500.0])))
    assert [list(shapes)[column] for column in kept.airspace] == ["low", "at", "over ground"]
    assert _below(mapped, SimpleNamespace(amsl_m=np.array([600.0]))) is mapped
