"""A flying area whose ground passes through an airspace: low in one place, above it in the next.

Between two samples of a surface everything between their heights is flown. So an area that is under a shelf
in one place and whose ground is over the shelf's top in another passes through it, though no sample lies in
it (the careful reading; heights worked by hand). A line or a spot has its own samples, and needs no guess.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.permission.entries import entered
from planner.permission.part import Part
from planner.world.airspace import AirspaceKind
from tests.worlds import sea_level, volume

SHELF = volume(AirspaceKind.CLASS_C, floor=sea_level(500.0), top=sea_level(600.0))


@attrs.frozen(eq=False)
class Surface:
    """Samples flown from the ground up to a height above it."""

    ground_amsl_m: np.ndarray
    flown_to_agl_m: float = 50.0
    is_surface: bool = True

    @property
    def lowest_ground_amsl_m(self):
        return self.ground_amsl_m

    @property
    def flown_from_amsl_m(self):
        return self.ground_amsl_m

    @property
    def planned_amsl_m(self):
        return self.ground_amsl_m + self.flown_to_agl_m


def inside(ground_m, within=None, **changes):
    ground = np.array(ground_m, dtype=float)
    mask = np.ones(len(ground), dtype=bool) if within is None else np.array(within)
    return list(np.flatnonzero(entered(SHELF, mask, Surface(ground, **changes))))


@pytest.mark.parametrize(
    ("ground_m", "counted"),
    [
        ([400, 700, 650, 660], [2]),  # the lowest place above is the nearest to the shelf
        ([700, 650, 660], []),  # all of it is above
        ([400, 410, 420], []),  # all of it is below
        ([400, 520, 700], [1]),  # one lies in it: nothing has to be guessed
    ],
)
def test_a_surface_below_and_above_passes_through(ground_m, counted):
    assert inside(ground_m) == counted


def test_only_places_within_the_outline_say_so():
    assert inside([400, 700, 650], within=[True, True, False]) == [1]
    assert inside([400, 700, 650], within=[False, True, True]) == []
    assert inside([400, 700, 410], within=[True, False, True]) == []


def test_places_that_are_no_surface_pass_through_nothing():
    assert inside([400, 700, 650], is_surface=False) == []


@pytest.mark.parametrize(("ground_m", "counted"), [(449.9, []), (450.0, [0]), (600.0, [0]), (600.1, [])])
def test_floor_and_top_belong_to_an_airspace(ground_m, counted):
    """Flown from the ground to 50 m above it; the careful reading."""
    assert inside([ground_m]) == inside([ground_m], is_surface=False) == counted


def test_where_only_some_lie_within_an_outline_the_heights_there_count_all_the_same():
    """Under a shelf that hangs over half of the samples nothing is entered; in it only what lies in it."""
    half = np.array([True, True, False, False])

    @attrs.frozen(eq=False)
    class HalfUnder(Surface):
        def inside_outline(self, column):
            return half

    mapped = SimpleNamespace(airspace={0: SHELF})
    under = Part.of(HalfUnder(np.array([400.0, 410.0, 400.0, 400.0])), [0], mapped)
    assert not under.entered.any()
    assert not under.by_volume
    partly = Part.of(HalfUnder(np.array([400.0, 520.0, 520.0, 400.0])), [0], mapped)
    assert list(np.flatnonzero(partly.entered)) == [1]
    assert list(np.flatnonzero(partly.by_volume[0])) == [1]
