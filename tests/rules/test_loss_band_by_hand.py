"""Returns on lost link within what nobody knows of their height, with rooms put in by hand.

What is told of it, and of which of several, is the project's own rule, as of the path.
"""

import math
from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.flight.touchdown import LANDS_ALONG_MPS
from planner.plan.aircraft import LinkLossAction
from planner.plan.ground import GroundSpot
from planner.rules import loss_band
from planner.rules.finding import Mark
from planner.rules.loss_band import (
    as_low_as_climbed,
    close_over_a_top,
    close_to_ground,
    close_under_ceiling,
    touches_down_fast,
)
from tests.rules.hand_flown import at, complete, flown, row
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


def grounded(waiting_m, agl_m=30.0, doubt_m=3.0, margin_m=0.0, **changes):
    """What is told of a flight so high that flies on so far over the ground, which may be so much higher."""
    base = complete()
    uncertainty = {"profile": attrs.evolve(base.profile, uncertainty_m=row(doubt_m))}
    high = agl_m if isinstance(agl_m, np.ndarray) else row(agl_m)
    track = attrs.evolve(base.track, planned_amsl_m=base.track.ground_amsl_m + high)
    ways = {"acting_m": row(60.0), "level_m": row(60.0), "margin_m": margin_m}
    loss = attrs.evolve(base.flight.loss, waiting_m=waiting_m, **ways)
    return list(close_to_ground(flown(loss=loss, case={**uncertainty, "track": track, **changes})))


@pytest.mark.parametrize(
    ("waiting_m", "agl_m", "room_m"),
    [
        (row(9.0, {5: 2.0}), 30.0, 2.0),
        (row(9.0, {5: 2.0, 7: 1.0}), 30.0, 1.0),
        (row(9.0, {5: 3.5}), 30.0, None),
        # What strikes it is a stop; as low as its doubt the path itself is told.
        (row(9.0, {5: 0.0}), 30.0, None),
        (row(9.0, {5: -1.0, 7: 1.0}), 30.0, None),
        (row(9.0, {5: 2.0}), 2.5, None),
    ],
)
def test_what_flies_on_to_within_its_doubt_of_the_ground_is_something_to_do(waiting_m, agl_m, room_m):
    found = grounded(waiting_m, agl_m)
    assert [one.numbers for one in found] == (
        [] if room_m is None else [{"room_m": room_m, "uncertainty_m": 3.0}]
    )
    assert not grounded(waiting_m, agl_m, track=None)
    assert not grounded(waiting_m, agl_m, profile=None)
    assert not list(close_to_ground(attrs.evolve(complete(), flight=None)))


@pytest.mark.parametrize(
    ("waiting_m", "agl_m", "told"),
    [(9.9, 30.0, True), (10.0, 30.0, False), (9.9, 19.9, True), (9.9, 19.7, False), (3.0, 6.0, False)],
)
def test_under_the_margin_and_half_of_what_it_is_flown_at_is_told_too(waiting_m, agl_m, told):
    """Our own rule: much lower than it is flown there, and nearer than a return may come."""
    found = grounded(row(60.0, {5: waiting_m}), agl_m, margin_m=10.0)
    assert [one.numbers["room_m"] for one in found] == ([waiting_m] if told else [])


@pytest.mark.parametrize(("lands_m", "lands"), [(0.0, True), (200.0, False)])
@pytest.mark.parametrize(
    ("agl_m", "level"),
    # By eighths of the path: level and then down, down and up and down, down all the way, level at the end.
    [
        ((30, 30, 30, 30, 30, 30, 25, 20), 5 / 7),
        ((30, 25, 30, 28, 26, 24, 22, 20), 2 / 7),
        ((30, 29, 28, 27, 26, 25, 22, 20), 0.0),
        ((30, 29, 28, 27, 26, 25, 20, 20), 1.0),
    ],
)
def test_on_its_way_down_to_where_it_lands_it_is_no_matter(agl_m, level, lands_m, lands):
    base = complete()
    last = len(base.track) - 1
    heights = np.interp(np.arange(last + 1), np.linspace(0, last, 8), agl_m)
    north_m = np.linspace(500.0, 900.0, last + 1)
    track = attrs.evolve(base.track, y_m=north_m, planned_amsl_m=base.track.ground_amsl_m + heights)
    spot = GroundSpot(track.frame.xy_to_place(float(track.x_m[-1]) + lands_m, float(track.y_m[-1])))
    first = round(level * last) if lands else last + 1
    for spots in ({"landing": spot}, {"landing": None, "launch": spot}):
        case = attrs.evolve(base, plan=attrs.evolve(base.plan, **spots))
        assert np.flatnonzero(loss_band._approach(case, track)).tolist() == list(range(first, last + 1))
    nowhere = attrs.evolve(base, plan=attrs.evolve(base.plan, landing=None, launch=None))
    assert not loss_band._approach(nowhere, track).any()


@pytest.mark.parametrize(("from_end", "told"), [(3, False), (None, True)])
def test_what_comes_low_on_its_way_down_to_where_it_lands_is_not_told(from_end, told):
    """Level at 30 m over half of the path, then down to 20 m where it lands; 2 m over the ground is low."""
    base = complete()
    last = len(base.track) - 1
    heights = np.interp(np.arange(last + 1), [0, last // 2, last], [30.0, 30.0, 20.0])
    spot = GroundSpot(base.track.frame.xy_to_place(float(base.track.x_m[-1]), float(base.track.y_m[-1])))
    plan = attrs.evolve(base.plan, landing=spot)
    sample = 5 if from_end is None else last - from_end
    assert bool(grounded(row(60.0, {sample: 2.0}), heights, plan=plan)) is told


# ---- with way on to its landing place, and home along its climb-out


def told_of(one_rule, monkeypatch, low=(), action=LinkLossAction.RETURN_FIXED, case=None, **of_loss):
    base = complete()
    loss = base.flight.loss
    loss = attrs.evolve(loss, failsafe=attrs.evolve(loss.failsafe, action=action), **of_loss)
    monkeypatch.setattr(loss_band, "too_low", lambda _track, _loss: at(*low))
    return list(one_rule(flown(loss=loss, case=case)))


@pytest.mark.parametrize(
    ("touches_mps", "action", "told"),
    [
        (row(math.nan, {5: 4.0}), LinkLossAction.RETURN_FIXED, (5, 4.0)),
        (row(math.nan, {5: 4.0, 8: 9.0}), LinkLossAction.LAND, (8, 9.0)),
        (row(math.nan, {5: 9.0, 8: 4.0}), LinkLossAction.HOLD, (5, 9.0)),
        (row(math.nan, {5: LANDS_ALONG_MPS}), LinkLossAction.LAND, (5, LANDS_ALONG_MPS)),
        (row(math.nan, {5: 0.5}), LinkLossAction.LAND, (5, 0.5)),
        # What is dropped is thrown to the ground anyway.
        (row(math.nan, {5: 4.0}), LinkLossAction.DROP, None),
        (row(math.nan), LinkLossAction.LAND, None),
        (None, LinkLossAction.LAND, None),
    ],
)
def test_the_fastest_that_touches_down_with_way_on_is_told(touches_mps, action, told, monkeypatch):
    found = told_of(touches_down_fast, monkeypatch, touches_mps=touches_mps, action=action)
    assert [one.numbers for one in found] == ([] if told is None else [{"speed_mps": told[1]}])
    assert all(one.from_m <= complete().track.distance_m[told[0]] <= one.to_m for one in found)
    # No faster than one lands it comes down elsewhere than at its landing place, which is told as that.
    assert all(("with way on" in one.title) is (told[1] > LANDS_ALONG_MPS) for one in found)
    # What comes too low anywhere is a stop, and told first.
    assert not told_of(touches_down_fast, monkeypatch, (2,), touches_mps=touches_mps, action=action)
    assert not told_of(
        touches_down_fast, monkeypatch, touches_mps=touches_mps, action=action, case={"track": None}
    )


@pytest.mark.parametrize(
    ("climbed_m", "told"),
    [
        (row(math.nan, {5: 4.0}), (5, 4.0)),
        (row(math.nan, {5: 4.0, 8: 3.0}), (8, 3.0)),
        (row(math.nan), None),
        (None, None),
    ],
)
def test_the_lowest_along_its_climb_out_is_told(climbed_m, told, monkeypatch):
    found = told_of(as_low_as_climbed, monkeypatch, climbed_m=climbed_m, margin_m=10.0)
    expected = [] if told is None else [{"room_m": told[1], "wanted_m": 10.0}]
    assert [one.numbers for one in found] == expected
    assert all(one.from_m <= complete().track.distance_m[told[0]] <= one.to_m for one in found)
    assert not told_of(as_low_as_climbed, monkeypatch, (2,), climbed_m=climbed_m)
    assert not told_of(as_low_as_climbed, monkeypatch, climbed_m=climbed_m, case={"track": None})


def test_without_an_answer_on_the_flight_neither_is_told():
    for one_rule in (touches_down_fast, as_low_as_climbed):
        assert not list(one_rule(attrs.evolve(complete(), flight=None)))
        assert not list(one_rule(flown(loss=None)))


# ---- a clearance of a few metres that is wanted


@pytest.mark.parametrize(
    ("levels", "margin_m", "low", "room_m"),
    [
        # 3 m are what nobody knows of a height.
        ([row(9.0, {5: 2.0})], 1.5, (), 2.0),
        ([row(9.0, {5: 2.0}), row(8.0, {6: 1.75})], 1.5, (), 1.75),
        ([row(9.0, {5: 1.75}), row(8.0, {6: 2.0})], 1.5, (), 1.75),
        ([row(9.0, {5: 2.0, 6: math.nan})], 1.5, (), 2.0),
        ([row(3.0)], 1.5, (), None),
        ([row(9.0, {5: 2.0})], 3.0, (), None),
        ([row(9.0, {5: 2.0})], 2.9, (), 2.0),
        # What comes lower than is wanted is a stop; of a height that nobody knows nothing is told here.
        ([row(9.0, {5: 2.0})], 1.5, (4,), None),
        ([row(math.nan)], 1.5, (), None),
        ([], 1.5, (), None),
    ],
)
def test_a_return_as_close_as_is_wanted_but_within_the_errors(levels, margin_m, low, room_m, monkeypatch):
    losses = [(SimpleNamespace(margin_m=margin_m, too_low=at(*low), level_m=one), True) for one in levels]
    monkeypatch.setattr(loss_band, "losses_of", lambda _case: losses)
    found = list(loss_band.returns_close_to_ground(complete()))
    expected = [] if room_m is None else [{"room_m": room_m, "uncertainty_m": DOUBT_M}]
    assert [one.numbers for one in found] == expected
    assert not list(loss_band.returns_close_to_ground(attrs.evolve(complete(), mapped=None)))
