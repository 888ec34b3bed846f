"""Returns on lost link within what nobody knows of their height, with rooms put in by hand.

What is told of it, and of which of several, is the project's own rule, as of the path.
"""

import math
from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.rules import loss_band
from planner.rules.finding import Mark
from planner.rules.loss_band import close_over_a_top, close_under_ceiling
from tests.rules.hand_flown import complete, flown, row
from tests.worlds import volume

DOUBT_M = 3.0
A, B = volume(name="A"), volume(name="B")


@pytest.fixture(autouse=True)
def doubted(monkeypatch):
    monkeypatch.setattr(loss_band, "vertical_doubt_m", lambda *_given: DOUBT_M)


def under(path=None, *area, track_m=50.0, **changes):
    """What is told where returns come so far over the ceiling, and the path stays so far under it."""
    base = complete()
    profile = attrs.evolve(base.profile, ceiling_amsl_m=base.track.planned_amsl_m + track_m)
    over = {"loss_over_ceiling_m": path, "area_loss_over_ceiling_m": area, "profile": profile}
    return next(iter(close_under_ceiling(flown(case={**over, **changes}))), None)


@pytest.mark.parametrize(
    ("path", "area", "room_m"),
    [
        (row(-9.0, {5: -2.0}), (), 2.0),
        (row(-9.0, {5: -2.0, 6: math.nan}), (), 2.0),
        (row(-9.0, {5: -2.0}), (np.array([-7.0, -1.0]), np.array([-8.0])), 1.0),
        (row(-1.0), (np.array([-7.0, math.nan]),), 1.0),
        (row(-1.0), (np.array([math.nan]),), 1.0),
        (None, (np.array([-1.0]),), 1.0),
        (None, (np.array([-4.0]),), None),
        (row(-1.0), (np.array([0.5]),), None),
        (row(math.nan), (), None),
        (None, (), None),
    ],
)
def test_the_return_that_stays_least_under_its_ceiling_is_told(path, area, room_m):
    one = under(path, *area)
    assert (one is None) is (room_m is None)
    if one:
        assert (one.mark, one.numbers) == (Mark.ACT, {"room_m": room_m, "uncertainty_m": DOUBT_M})


@pytest.mark.parametrize(
    ("room_m", "words"), [(2.9, "9 ft under"), (0.5, "1 ft under"), (-1e-7, "0 ft under")]
)
def test_how_far_under_is_rounded_down(room_m, words):
    # 2.9 m are 9.5 ft, 0.5 m 1.6 ft; a tenth of a micrometre over it is at it.
    assert words in under(row(-room_m)).message


def test_where_the_flight_itself_comes_as_close_it_is_not_told_again():
    assert under(row(-2.0), track_m=2.1)
    assert under(row(-2.0), track_m=1.9) is None
    assert under(row(-2.0), track_m=2.0) is None
    # Without a ceiling over the path nothing of it is known to be as close.
    assert under(row(-2.0), profile=None)
    assert under(row(-2.0), mapped=None) is None


# ---- over a top


def over(monkeypatch, rooms, entered=()):
    """What is told where a return passes so far over the tops of airspaces."""
    base = complete()
    outlines = SimpleNamespace(polygon=lambda column: column)
    mapped = attrs.evolve(base.mapped, airspace={0: A, 1: B}, outlines=outlines)
    monkeypatch.setattr(loss_band, "losses_of", lambda _case: [(None, True)])
    monkeypatch.setattr(loss_band, "closes", lambda *_given: True)
    monkeypatch.setattr(loss_band, "comes_into", lambda _case, column, _volume: column in entered)
    monkeypatch.setattr(loss_band, "top_amsl_m", lambda _volume, samples: 100.0 * samples.one)

    def ways_over(_mapped, _loss, column, *, in_row):
        for room_m, inside in rooms.get(column, ()):
            one = np.ones(len(room_m))
            yield SimpleNamespace(
                flown_from_amsl_m=100.0 + np.array(room_m),
                inside_outline=lambda _c, at=inside: np.array(at),
                one=one,
            )

    monkeypatch.setattr(loss_band, "ways_over", ways_over)
    return next(iter(close_over_a_top(attrs.evolve(base, mapped=mapped, uses=()))), None)


@pytest.mark.parametrize(
    ("rooms", "told"),
    [
        ({0: [([2.0, 1.0, 2.5], [True] * 3)], 1: [([1.5], [True])]}, ("A", 1.0)),
        ({0: [([2.0], [True])], 1: [([9.0], [True]), ([1.5, 4.0], [True, True])]}, ("B", 1.5)),
        # Outside of its outline, or under its top, it does not pass over it.
        ({0: [([1.0, 2.0], [False, True])]}, ("A", 2.0)),
        ({0: [([-1.0, 2.0], [True, True])]}, ("A", 2.0)),
        ({0: [([3.1], [True])]}, None),
        ({}, None),
    ],
)
def test_the_top_that_a_return_passes_over_by_least_is_told(rooms, told, monkeypatch):
    one = over(monkeypatch, rooms)
    assert (one is None) is (told is None)
    if one:
        name, room_m = told
        assert one.title == f"On lost link close over {name}"
        assert one.numbers == {"over_top_m": pytest.approx(room_m), "uncertainty_m": DOUBT_M}


def test_what_it_comes_into_is_not_passed_over(monkeypatch):
    assert over(monkeypatch, {0: [([1.0], [True])]}, entered=(0,)) is None
