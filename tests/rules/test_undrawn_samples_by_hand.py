"""Samples of ways that are not drawn, in airspace put in by hand: where an outline is met, and how high.

That whoever flies in it, drawn or not, needs its authorization: 14 CFR 107.41. Places and heights by hand.
"""

import attrs
import numpy as np
import pytest
import shapely

from planner.rules import undrawn_samples as module
from planner.rules.undrawn import UndrawnWay
from planner.rules.undrawn_samples import undrawn_samples
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import GROUND_M, box, cell, plan, polygon, volume, world


@pytest.fixture(scope="module")
def corner():
    """Class D within a right angle whose long side leads from 400 m in the north to 400 m in the east.

    All about is a facility's cell, no airspace, and in the west something closed.
    """
    corners = polygon([(400, 0), (400, 400), (0, 400)])
    shut = volume(AirspaceKind.RESTRICTED, box(-400, -400, -100, 400))
    return judged(plan(), world(airspace=(volume(outline=corners), shut), cells=(cell(200),)))


@pytest.fixture
def sampled(corner, monkeypatch):
    """Samples of a way that rises to 40 m from one end to the other."""

    def of(*ends, wanted=module.wants_authorization, **changes):
        ground_m = np.full(201, GROUND_M)
        way = UndrawnWay("W", shapely.LineString(ends), ground_m, ground_m + np.linspace(0.0, 40.0, 201))
        monkeypatch.setattr(module, "ways_not_drawn", lambda *_: [way])
        return undrawn_samples(attrs.evolve(corner, **changes), wanted)

    return of


def test_of_a_way_that_meets_it_what_lies_in_it_is_sampled(sampled):
    """It crosses the long side at half its way, 20 m up, and ends 40 m up within it; 20 m before, 17.2 m."""
    (found,) = sampled((100, 100), (300, 300))
    before_m = 20.0 / np.sqrt(2.0)
    assert (found.x_m[0], found.y_m[0]) == pytest.approx((200.0 - before_m, 200.0 - before_m), abs=0.1)
    assert found.planned_amsl_m[0] == pytest.approx(GROUND_M + 20.0 - 8.0 / np.sqrt(8.0), abs=0.05)
    assert (found.x_m[1], found.y_m[1]) == pytest.approx((200.0, 200.0), abs=0.1)
    assert (found.x_m[-1], found.y_m[-1]) == pytest.approx((300.0, 300.0), abs=0.1)
    assert found.planned_amsl_m[[1, -1]] == pytest.approx([GROUND_M + 20.0, GROUND_M + 40.0], abs=0.05)
    assert found.footprint.length == pytest.approx(200.0 * np.sqrt(2.0))


def test_out_of_it_the_way_is_sampled_as_far_beside_it(sampled):
    """The way back: it leaves over the long side at half its way, 20 m up; 20 m on it is at 22.8 m."""
    (found,) = sampled((300, 300), (100, 100))
    beyond_m = 200.0 - 20.0 / np.sqrt(2.0)
    assert (found.x_m[0], found.y_m[0]) == pytest.approx((300.0, 300.0), abs=0.1)
    assert (found.x_m[-1], found.y_m[-1]) == pytest.approx((beyond_m, beyond_m), abs=0.1)
    assert found.planned_amsl_m[-1] == pytest.approx(GROUND_M + 20.0 + 8.0 / np.sqrt(8.0), abs=0.05)


def test_what_only_its_box_meets_or_nobody_asks_for_has_none(sampled):
    assert sampled((100, 100), (190, 190)) == ()
    assert sampled((-300, -300), (-200, -200)) == ()
    assert sampled((100, 100), (300, 300), wanted=lambda volume: volume.kind is AirspaceKind.CLASS_B) == ()
    assert sampled((100, 100), (300, 300), mapped=None) == ()


def test_straight_up_it_is_as_high_as_it_gets(sampled, corner):
    for ground in (corner.mapped.ground, None):
        mapped = attrs.evolve(corner.mapped, ground=ground)
        (found,) = sampled((300, 300), (300, 300), mapped=mapped)
        assert found.planned_amsl_m == pytest.approx([GROUND_M + 40.0] * 2)
        assert found.footprint.geom_type == "MultiPoint"
        assert np.isnan(found.ground_amsl_m).all() == (ground is None)
