"""What records open of an airspace, with heights, covers and outlines put in by hand (plane, m).

That a record counts where it allows the height all along, and that a sliver of less than a metre is a line
typed anew, are our own rules.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.rules import return_in_record
from planner.rules.beside_record import Inside
from planner.rules.opened import Opened
from planner.world.airspace import AirspaceKind
from tests.worlds import above_ground, sea_level


def flown(*planned_m, from_m=None, inside=(True, True, True)):
    """Three samples over ground at sea level, so high, flown from so low, inside the airspace or not."""
    planned = np.array(planned_m)
    return SimpleNamespace(
        planned_amsl_m=planned,
        flown_from_amsl_m=planned if from_m is None else np.array(from_m),
        ground_amsl_m=np.zeros(3),
        lowest_ground_amsl_m=np.zeros(3),
        inside_outline=lambda _column: np.array(inside),
    )


FLOWN = flown(100.0, 120.0, np.nan)
SHAPES = {
    0: shapely.box(0, 0, 100, 100),
    1: shapely.box(0, 0, 60, 100),
    2: shapely.box(60, 0, 100, 100),
    3: shapely.box(0, 0, 99.5, 100),
    4: shapely.box(0, 0, 97.0, 100),
}
D = SimpleNamespace(kind=AirspaceKind.CLASS_D, floor=above_ground(20.0), top=sea_level(500.0))
MAPPED = SimpleNamespace(outlines=SimpleNamespace(polygon=SHAPES.__getitem__), airspace={0: D})


@attrs.frozen(eq=False)
class Grant:
    """So high, at these samples, in these outlines."""

    high_m: float = 110.0
    there: tuple = (True, True, True)
    columns: tuple = (1,)

    def height_amsl_m(self, _samples, _launch_m):
        return np.full(3, self.high_m)

    def covers(self, _samples):
        return np.array(self.there)


def opened(*grants):
    return Opened(MAPPED, 0, grants, 0.0)


def test_a_grant_counts_that_allows_the_height_at_every_sample_it_covers():
    grants = (
        Grant(110.0, (True, False, False)),
        Grant(110.0, (True, True, False)),
        Grant(130.0, (True, True, False)),
        Grant(130.0, (True, True, True)),
        Grant(90.0, (False, False, False)),
        Grant(120.0, (False, True, False)),
    )
    assert opened(*grants).all_along(FLOWN).tolist() == [True, False, True, False, True, True]
    assert opened(*grants).high_enough(FLOWN)[:2].tolist() == [[True, False, False]] * 2
    assert opened().all_along(FLOWN).tolist() == []


@pytest.mark.parametrize(
    ("samples", "counts"),
    [
        (flown(100.0, 120.0, 100.0), False),
        # The one that is too high lies outside of the airspace, under its floor, or over its top.
        (flown(100.0, 120.0, 100.0, inside=(True, False, True)), True),
        (flown(5.0, 5.0, 19.0), True),
        (flown(5.0, 5.0, 21.0), False),
        (flown(100.0, 501.0, 100.0), True),
        (flown(100.0, 501.0, 100.0, from_m=(0.0, 0.0, 0.0)), False),
        (flown(100.0, np.nan, 100.0), False),
        (flown(100.0, np.nan, 100.0, inside=(True, False, True)), True),
    ],
)
def test_only_what_is_flown_in_the_airspace_is_held_against_a_record(samples, counts):
    high_m = 110.0 if np.nanmax(samples.planned_amsl_m) > 30.0 else 20.0
    assert opened(Grant(high_m)).all_along(samples).tolist() == [counts]


@pytest.mark.parametrize(
    ("columns", "counts", "left_m2"),
    [
        ([(1,)], [True], 4_000.0),
        ([(1,), (2,)], [True, True], None),
        ([(1,), (2,)], [True, False], 4_000.0),
        ([(1,), (2,)], [False, False], None),
        # One that names no outline holds in all of it.
        ([(1,), ()], [True, True], None),
        # Half a metre is a line typed anew, three are left.
        ([(3,)], [True], None),
        ([(4,)], [True], 300.0),
        # Of two outlines what lies in both.
        ([(1, 4)], [True], 4_000.0),
    ],
)
def test_what_records_do_not_reach_is_left(columns, counts, left_m2):
    left = opened(*(Grant(columns=one) for one in columns)).beyond(np.array(counts))
    assert (left is None) is (left_m2 is None)
    assert left is None or left.area == pytest.approx(left_m2, abs=1.0)


def test_a_line_typed_anew_ends_where_what_is_left_does():
    """Three metres are left over half of it, 40 cm beyond: of these a quarter of a metre stays."""
    outlines = {**SHAPES, 5: shapely.union(shapely.box(0, 0, 97.0, 50), shapely.box(0, 50, 99.6, 100))}
    mapped = SimpleNamespace(outlines=SimpleNamespace(polygon=outlines.__getitem__))
    left = Opened(mapped, 0, (Grant(columns=(5,)),), 0.0).beyond(np.array([True]))
    assert left.bounds == pytest.approx((97.0, 0.0, 100.0, 50.25), abs=0.05)


@pytest.mark.parametrize("away_m", [(3.0, 8.0), (8.0, 3.0), (None, 3.0)])
def test_of_several_returns_the_one_nearest_to_where_a_record_ends_is_told(away_m, monkeypatch):
    """As of a flying area: from its top, and from low in it (our own rule)."""
    ways = {k: None if one is None else Inside("", one, None) for k, one in enumerate(away_m)}
    given = {
        "held_on_record": lambda _case: [((7,), "A1")],
        "opened_of": lambda *_: None,
        "_held_on_lost_link": lambda *_: [],
        "losses_of": lambda _case: [(k, False) for k in ways],
        "_nearest": lambda _opened, k: ways[k],
        "nearest_inside": lambda *_: None,
        "close_to_end": lambda _case, volume, near, records: (volume, near.away_m, records),
    }
    for name, one in given.items():
        monkeypatch.setattr(return_in_record, name, one)
    case = SimpleNamespace(mapped=SimpleNamespace(airspace={7: D}))
    assert list(return_in_record.return_close_to_the_end_of_a_record(case)) == [(D, 3.0, "A1")]
