"""How far beside what stands higher a return passes: ways, masts and woods put in by hand (plane, m).

Three ways lead home to the origin from 100 m east; distances by hand. That only what nothing leads over is
passed beside, and that what lies between two ways counts as flown over, are our own rules.
"""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.cover import Cover
from planner.flight.obstacles import Obstacles
from planner.plan.aircraft import LinkLossAction
from planner.rules import loss_beside as rule
from planner.rules.loss_beside import beside_m, beside_words
from planner.saying import told
from tests.rules.test_return_near_people_by_hand import CASE
from tests.worlds import GROUND_M

BEGINS_NORTH_M = (0.0, 20.0, 40.0)
LEVEL_M = GROUND_M + 25.0
MAST = (50.0, -9.0, 1.0)  # 9 m south of the first way, known to a metre
WOOD = shapely.box(40.0, -30.0, 60.0, -9.0)
NOWHERE = (False, False, False)


def ways(*, mast=-1, wood=-1, landed=None, in_order=True, over_ground_m=(20.0,) * 3, action=None):
    """Three returns; `mast` and `wood` decide each. What has landed lies far off."""
    lost = CASE.flight.loss
    home = [(500.0, 500.0) if landed and landed[k] else (0.0, 0.0) for k in range(3)]
    east = [[100.0, 100.0, 100.0, one[0]] for one in home]
    north = [[m, m, m, one[1]] for m, one in zip(BEGINS_NORTH_M, home, strict=True)]
    return attrs.evolve(
        lost,
        failsafe=attrs.evolve(lost.failsafe, action=action or LinkLossAction.RETURN_FIXED),
        corner_x_m=np.array(east),
        corner_y_m=np.array(north),
        corner_amsl_m=np.full((3, 4), LEVEL_M),
        obstacle=np.full(3, mast),
        cover=np.full(3, wood),
        landed=None if landed is None else np.array(landed),
        in_order=in_order,
        over_ground_m=None if over_ground_m is None else np.array(over_ground_m),
    )


def beside(monkeypatch, loss, sample=0, masts=(), woods=(), into=NOWHERE, case=CASE):
    """Masts stand 30 m, woods 30 m: higher than the ways."""
    x_m, y_m, radius_m = np.array(masts, dtype=float).reshape(-1, 3).T
    keys = tuple(f"INVENTED-{k}" for k in range(len(masts)))
    standing = Obstacles(keys, x_m, y_m, np.full(len(masts), GROUND_M + 30.0), radius_m)
    grown = Cover(("wood",) * len(woods), np.array(woods, dtype=object), np.full(len(woods), 30.0))
    monkeypatch.setattr(rule, "obstacles_of", lambda *_: standing)
    monkeypatch.setattr(rule, "cover_of", lambda *_: grown)
    return beside_m(case, loss, sample, np.array(into))


@pytest.mark.parametrize(
    ("sample", "mast", "in_order", "away_m"),
    [
        (0, MAST, True, 8.0),  # its own error of a metre counts as it
        (0, (50.0, -2.0, 1.0), True, 1.0),
        (0, (50.0, -1.1, 1.0), True, None),  # a hand's breadth: nobody tells that from over
        # Of the way itself and all between it and its neighbours the nearest counts.
        (1, (100.0, 45.0, 1.0), True, 4.0),
        (1, (100.0, -5.0, 1.0), True, 4.0),
        # The second way passes by 2500 / hypot(100, 20) m, the line to it that of the area beside the third.
        (2, (100.0, -5.0, 1.0), True, 2_500.0 / math.hypot(100.0, 20.0) - 1.0),
        (0, (100.0, 45.0, 1.0), True, 24.0),
        # From an area it returns from anywhere between its places: the nearest of all that counts.
        (1, (100.0, 45.0, 1.0), False, 4.0),
        (0, (100.0, 45.0, 1.0), False, 4.0),
        (2, (100.0, -5.0, 1.0), False, 4.0),
        (0, (50.0, 10.0, 1.0), False, None),
    ],
)
def test_how_far_beside_a_mast(sample, mast, in_order, away_m, monkeypatch):
    found = beside(monkeypatch, ways(mast=0, in_order=in_order), sample, [mast])
    assert found == (None if away_m is None else pytest.approx(away_m))


@pytest.mark.parametrize(
    ("sample", "wood", "away_m"),
    [
        (0, WOOD, 9.0),
        (1, shapely.box(100.0, 45.0, 120.0, 60.0), 5.0),
        (1, shapely.box(100.0, -60.0, 120.0, -5.0), 5.0),
    ],
)
def test_how_far_beside_a_wood(sample, wood, away_m, monkeypatch):
    assert beside(monkeypatch, ways(wood=0), sample, woods=[wood]) == pytest.approx(away_m)
    # The second of two, and of a mast and a wood the wood.
    far = shapely.box(-90.0, -90.0, -80.0, -80.0)
    assert beside(monkeypatch, ways(mast=0, wood=1), sample, [MAST], [far, wood]) == pytest.approx(away_m)


def test_nothing_is_passed_beside_where_nothing_decides_or_returns(monkeypatch):
    there = {"masts": [MAST], "woods": [WOOD]}
    assert beside(monkeypatch, ways(), **there) is None
    assert beside(monkeypatch, ways(mast=0, over_ground_m=None), **there) is None
    assert beside(monkeypatch, ways(mast=0, action=LinkLossAction.LAND), **there) is None
    assert beside(monkeypatch, ways(mast=0), **there, case=attrs.evolve(CASE, mapped=None)) is None


@pytest.mark.parametrize(
    "more",
    [
        {"masts": [MAST, (50.0, 0.5, 1.0)]},
        {"masts": [MAST, (90.0, 36.0, 1.0)]},  # under the third way
        {"woods": [shapely.box(40.0, -1.0, 60.0, 1.0)]},
        {"into": (False, False, True)},
        {"loss": {"over_ground_m": (20.0, 20.0, -1.0)}},
        {"loss": {"over_ground_m": (20.0, 0.0, 20.0)}},
    ],
)
def test_where_any_return_hits_something_that_is_told(more, monkeypatch):
    assert beside(monkeypatch, ways(mast=0), masts=[MAST]) == pytest.approx(8.0)
    given = {"masts": [MAST], **more}
    assert beside(monkeypatch, ways(mast=0, **given.pop("loss", {})), **given) is None


@pytest.mark.parametrize(
    "more",
    [
        {"masts": [MAST, (50.0, -1.5, 1.0)]},  # half a metre beside its own error
        {"woods": [shapely.box(40.0, -9.0, 60.0, -0.5)]},
        {"loss": {"over_ground_m": (20.0, 0.5, 20.0)}},
        # What has landed before its action begins comes home no more, and no way of it counts.
        {"loss": {"landed": (False, True, False), "over_ground_m": (20.0, -1.0, 20.0), "in_order": False}},
    ],
)
def test_what_no_return_leads_over_is_not_hit(more, monkeypatch):
    given = {"masts": [MAST], **more}
    assert beside(monkeypatch, ways(mast=0, **given.pop("loss", {})), **given) == pytest.approx(8.0)


def test_home_is_where_the_first_that_has_not_landed_comes_to(monkeypatch):
    loss = ways(mast=0, landed=(True, False, False))
    # Of the second, its end 20 m north of the first one's.
    assert beside(monkeypatch, loss, 1, [(100.0, 45.0, 1.0)]) == pytest.approx(4.0)


def test_home_may_lie_anywhere(monkeypatch):
    """All of it 300 m farther east: what is beside it over home is as near."""
    loss = ways(mast=0, in_order=False)
    loss = attrs.evolve(loss, corner_x_m=loss.corner_x_m + 300.0)
    assert beside(monkeypatch, loss, 2, [(297.0, -4.0, 1.0)]) == pytest.approx(4.0)


def test_its_words():
    # 5 m are 16.4 ft, half a metre 1.6 ft: room is rounded down, what lacks up.
    assert told(beside_words(5.0, 0.5, "a mast")) == "passes 16 ft beside a mast, 1 ft higher than it"
    assert told(beside_words(5.0, -0.5, "a mast")) == "passes 16 ft beside a mast, which stands 2 ft higher"
