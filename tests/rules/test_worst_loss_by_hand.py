"""Where losing the link ends worst, with what is met put in by hand; and how long a path stays over somebody.

What is gravest, and that 100 m over somebody are a long stay: our own rules (issue 6, design 2).
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.rules import loss_axis
from planner.rules.case import AskedOnReturn, MetOnLoss
from planner.rules.loss_axis import worst_loss
from planner.rules.stays_over import stays_over
from planner.world.airspace import AirspaceKind
from tests.rules.hand_flown import at, complete, flown, row
from tests.rules.hand_made import judged
from tests.worlds import box, plan, volume, world


@pytest.fixture(scope="module")
def charted():
    """The plane of two airspaces, and their columns: one closed, one that only the authority opens."""
    away = box(0, 500, 100, 600)
    shut = volume(AirspaceKind.RESTRICTED, away, name="CLOSED")
    asks = volume(AirspaceKind.CLASS_E4, away, name="CLASS E")
    mapped = judged(plan(), world(airspace=(shut, asks))).mapped
    columns = {one.name: column for column, one in mapped.airspace.items()}
    return mapped, columns["CLOSED"], columns["CLASS E"]


def worst(mapped=None, clearance_m=60.0, **case):
    """The worst place to lose the link, where all returns clear by so much."""
    loss = complete().flight.loss
    clear = row(clearance_m) if isinstance(clearance_m, float) else clearance_m
    loss = attrs.evolve(loss, clearance_m=clear, acting_m=clear, margin_m=10.0)
    changes = {} if mapped is None else {"mapped": mapped}
    return worst_loss(flown(case={**changes, **case}, loss=loss))


def test_without_any_trouble_it_is_where_a_return_clears_least():
    found = worst(clearance_m=row(60.0, {5: 30.0}))
    assert (found.sample, found.trouble, found.leads_home) == (5, False, True)


def test_of_returns_that_are_too_low_it_is_the_lowest():
    found = worst(clearance_m=row(60.0, {3: 8.0, 5: 4.0, 7: 9.0}))
    assert (found.sample, found.trouble, found.leads_home) == (5, True, True)
    assert "clears by only 13 ft" in found.words


@pytest.mark.parametrize(
    ("clearance_m", "words"), [(-1.0, "hits, 4 ft too low"), (-0.1, "hits"), (0.0, "hits")]
)
def test_by_how_much_a_return_hits_is_told_from_half_a_foot_on(clearance_m, words):
    assert worst(clearance_m=row(60.0, {5: clearance_m})).words == words


def test_what_is_closed_goes_before_what_nobody_can_say_and_does_not_lead_home(charted):
    mapped, shut, asks = charted
    open_, closed = MetOnLoss(asks, at(3, 4), True), MetOnLoss(shut, at(6, 7), False)
    for met in ((open_, closed), (closed, open_)):
        found = worst(mapped, loss_met=met)
        assert (found.sample, found.trouble, found.leads_home) == (6, True, False)
        assert "CLOSED" in found.words
    assert worst(mapped, loss_met=(open_,)).sample == 3


def test_of_returns_through_what_only_the_authority_can_open_it_is_the_one_farthest_above(charted):
    mapped, _, asks = charted
    column = np.full(len(complete().track), -1)
    column[[4, 6]] = asks
    above = AskedOnReturn(column, row(-np.inf, {4: 5.0, 6: 25.0}))
    found = worst(mapped, loss_asked=above)
    assert (found.sample, found.trouble, found.leads_home) == (6, True, True)
    assert "CLASS E" in found.words


# ---- staying over


def beside(*parts, case=None):
    """Whether a path from west to east stays over people in these boxes."""
    shape = shapely.union_all([shapely.box(*part) for part in parts])
    return stays_over(flown(case=case), Thing(Below.PEOPLE, "", shape))


@pytest.mark.parametrize(
    ("parts", "long"),
    [
        # 4 m beside the path, as far as no aircraft keeps its place (7.2 m): 60 m of it, 120 m of it, twice.
        ([(-300, 4, -240, 9)], False),
        ([(-300, 4, -180, 9)], True),
        ([(-300, 4, -290, 9), (100, 4, 110, 9)], True),
        ([(-300, 9, -180, 12)], False),
    ],
)
def test_who_is_as_near_beside_as_no_aircraft_keeps_its_place_is_stayed_over(parts, long):
    assert beside(*parts) is long


def test_without_a_path_nobody_is_stayed_over():
    assert not beside((-300, 4, -180, 9), case={"track": None})


@pytest.mark.parametrize(
    ("left", "sample"),
    [
        ([0.3, 0.1, 0.2], None),
        ([0.3, 0.0, 0.2], 1),
        ([0.3, -0.1, -0.2], 2),
        ([np.nan, 0.1, -0.2], 2),
        ([np.nan, np.nan, np.nan], None),
    ],
)
def test_where_its_battery_is_empty_before_it_is_home(left, sample, monkeypatch):
    """The least that is left counts; it does not come home, and that is trouble."""
    monkeypatch.setattr(loss_axis, "left_after_return", lambda *_: np.array(left))
    charge = SimpleNamespace(energy=None, model=None, pack=None)
    lost = SimpleNamespace(flight=SimpleNamespace(charge=charge), loss=None)
    found = loss_axis._empty_on_the_way(lost)
    assert (found and (found.sample, found.trouble, found.leads_home)) == (
        None if sample is None else (sample, True, False)
    )
    assert loss_axis._empty_on_the_way(SimpleNamespace(flight=SimpleNamespace(charge=None))) is None
