"""Small pieces of the ceiling asked directly, with heights put in by hand.

A permission up to its very height leaves nothing closed below it; a floor itself is inside (14 CFR 1.1 has no
word of it: the careful side, our own rule); what only the authority can open is shut till then (design 2).
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.ceiling import never_exceed
from planner.ceiling.blocks import Block
from planner.ceiling.known import where_known
from planner.ceiling.limits import Ceiling
from planner.ceiling.never_exceed import HeightUnit, Standing, _whole
from planner.ceiling.profile import Binding
from tests.rules.hand_made import complete

NOT_KNOWN = np.nan


def block(low_m, high_m, low_belongs=True):
    sides = np.array([low_m]), np.array([high_m])
    return Block(0, *sides, low_belongs=np.array([low_belongs]), permitted=np.array([not low_belongs]))


@pytest.mark.parametrize(
    ("closed", "from_m", "to_m", "met"),
    [
        (block(100.0, 200.0), 90.0, 100.0, True),
        (block(100.0, 200.0), 90.0, 99.9, False),
        (block(100.0, 200.0), 200.0, 300.0, True),
        (block(100.0, 200.0), 200.1, 300.0, False),
        # Permitted up to 100 m: at 100 m one is not in what is closed above it.
        (block(100.0, 200.0, low_belongs=False), 90.0, 100.0, False),
        (block(100.0, 200.0, low_belongs=False), 90.0, 100.1, True),
        # Permitted up to its very top.
        (block(200.0, 200.0, low_belongs=False), 90.0, 300.0, False),
        (block(200.0, 200.5, low_belongs=False), 90.0, 300.0, True),
        (block(100.0, 200.0), 90.0, NOT_KNOWN, False),
    ],
)
def test_which_heights_are_closed(closed, from_m, to_m, met):
    assert closed.meets(np.array([from_m]), np.array([to_m]))[0] == met


@pytest.mark.parametrize(
    ("units", "reached", "figure"),
    [
        (100.4, True, 100),
        (100.0, True, 100),
        # What single precision takes, 0.01 here, is no foot.
        (99.995, True, 100),
        (99.985, True, 99),
        (100.4, False, 100),
        (100.0, False, 99),
        (100.005, False, 99),
        (100.015, False, 100),
        (99.995, False, 99),
    ],
)
def test_the_highest_whole_figure(units, reached, figure):
    assert _whole(units, 0.01, reached=reached, error=0.0) == figure


@pytest.mark.parametrize(
    ("over_400_m", "error_m", "floor", "figure"),
    [
        # Two heights of single precision may be off by 0.3 mm together, 0.001 ft: 400 ft is meant.
        (-0.00029, 0.0, False, 400),
        (-0.00031, 0.0, False, 399),
        (-0.00029, 3.048, False, 390),
        (0.00029, 0.0, True, 399),
        (0.00031, 0.0, True, 400),
        # An error of 1 m is 3.28 ft; none that is stated takes nothing.
        (0.0, 1.0, False, 396),
        (0.0, None, False, 400),
    ],
)
def test_the_figure_of_a_leg(over_400_m, error_m, floor, figure, monkeypatch):
    monkeypatch.setattr(never_exceed, "_standing", lambda *_: Standing.KNOWN)
    monkeypatch.setattr(never_exceed, "_at_a_floor", lambda *_: floor)
    track = SimpleNamespace(launch_ground_amsl_m=300.0, leg=np.array([2]), distance_m=np.array([5.0]))
    ceiling = SimpleNamespace(ceiling_amsl_m=np.array([300.0 + 400 * 0.3048 + over_400_m]))
    found = never_exceed._figure(track, ceiling, np.array([0]), error_m, HeightUnit.FEET)
    assert (found.figure, found.leg, found.from_m, found.to_m) == (figure, 2, 5.0, 5.0)


# ---- a profile of which something is not known


def profile(**changes):
    return attrs.evolve(complete().profile, **changes)


def row(*values):
    made = np.full(len(complete().track), values[-1], dtype=type(values[-1]))
    made[: len(values)] = values
    return made


def test_up_to_where_all_is_open_while_the_authority_is_asked():
    ground_m = row(100.0)
    asked = profile(
        ceiling_amsl_m=row(NOT_KNOWN, NOT_KNOWN, NOT_KNOWN, NOT_KNOWN, 200.0),
        unasked_amsl_m=row(150.0, 100.0, 90.0, NOT_KNOWN, 200.0),
    )
    found = asked.open_below_amsl_m(ground_m)
    assert found[0] == 150.0
    assert np.isnan(found[1:]).all()
    assert np.isnan(profile(unasked_amsl_m=None).open_below_amsl_m(ground_m)).all()


def test_what_is_forgotten_is_not_known_and_nothing_else_is():
    n = len(complete().track)
    whole = profile(
        in_closed=row(True, True), in_unpermitted=row(True, True), unasked_amsl_m=row(150.0, 150.0)
    )
    there = row(True, False)
    part = whole.forgetting(there)
    for name in ("ceiling_amsl_m", "requestable_amsl_m", "ground_limit_amsl_m", "unasked_amsl_m"):
        assert np.isnan(getattr(part, name)).tolist() == there.tolist()
        assert (getattr(part, name)[1:] == getattr(whole, name)[1:]).all()
    assert (part.in_closed.tolist(), part.in_unpermitted.tolist()) == ((~there).tolist(),) * 2
    assert part.binding == (Binding.UNKNOWN, *whole.binding[1:])
    assert len(part.binding_name) == n
    assert whole.forgetting(there).unasked_amsl_m is not None
    assert profile(unasked_amsl_m=None).forgetting(there).unasked_amsl_m is None


def test_where_nobody_says_what_airspace_there_is_only_what_is_shut_is_known():
    case = complete()
    n = len(case.track)
    inside = row(True, False, False, False)
    ground_m = case.track.ground_amsl_m
    over_m = row(50.0, 50.0, 0.0, -1.0)
    ceiling = Ceiling(ground_m + over_m, np.full(n, -1), np.zeros(n, dtype=bool))

    class Somewhere:
        ground_amsl_m = ground_m

        def inside_outline(self, column):
            assert column == 7
            return inside

    mapped = attrs.evolve(case.mapped, airspace_known_in=7)
    found = where_known(ceiling, Somewhere(), mapped).amsl_m
    assert np.isnan(found).tolist() == row(False, True, False).tolist()
    assert (found[2:] == ceiling.amsl_m[2:]).all()
    assert where_known(ceiling, Somewhere(), attrs.evolve(mapped, airspace_known_in=None)) is ceiling


# ---- figures of pieces, with legs and heights put in by hand


def test_at_a_point_the_last_figure_before_it_and_the_first_after_it_meet(monkeypatch):
    monkeypatch.setattr(
        never_exceed, "figures_of_leg", lambda _t, _p, leg, *_: (f"{leg} first", "", f"{leg} last")
    )
    track = SimpleNamespace(point_sample=np.array([0, 3, 5]))
    met = [never_exceed.figures_meeting(track, None, point, 1.0, HeightUnit.FEET) for point in range(3)]
    assert met == [("0 first",), ("0 last", "1 first"), ("1 last",)]


def piece(leg, from_m, to_m, figure=100):
    return SimpleNamespace(leg=leg, from_m=from_m, to_m=to_m, figure=figure)


ON_TWO_LEGS = SimpleNamespace(
    leg=np.array([0, 0, 0, 1, 1, 1]),
    point_sample=np.array([0, 3, 5]),
    distance_m=np.array([0.0, 10.0, 20.0, 30.0, 40.0, 50.0]),
)
STRAIGHT_UP = SimpleNamespace(
    leg=ON_TWO_LEGS.leg,
    point_sample=ON_TWO_LEGS.point_sample,
    distance_m=np.array([0.0, 10.0, 20.0, 30.0, 30.0, 30.0]),
)


@pytest.mark.parametrize(
    ("track", "of", "samples"),
    [
        (ON_TWO_LEGS, piece(0, 0.0, 30.0), [0, 1, 2, 3]),
        (ON_TWO_LEGS, piece(0, 10.0, 20.0), [1, 2]),
        (ON_TWO_LEGS, piece(1, 30.0, 50.0), [3, 4, 5]),
        (ON_TWO_LEGS, piece(1, 40.0, 50.0), [4, 5]),
        # The second leg leads straight up: none of it but its beginning is of the first.
        (STRAIGHT_UP, piece(0, 0.0, 30.0), [0, 1, 2, 3]),
        (STRAIGHT_UP, piece(1, 30.0, 30.0), [3, 4, 5]),
    ],
)
def test_a_piece_has_the_samples_at_both_its_ends(track, of, samples):
    assert never_exceed.samples_of(track, of).tolist() == samples


@pytest.mark.parametrize(
    ("planned_ft", "told"),
    [
        # The ceiling is 100.6 ft above launch, the figure 100; what is planned is shown to the nearest foot.
        ([100.6, 100.6, 100.6, 100.6], True),
        ([90.0, 100.6, 90.0, 90.0], True),
        ([90.0, 100.4, 90.0, 90.0], False),
        # Where any of it is above the ceiling the plan is wrong.
        ([90.0, 100.6, 101.0, 90.0], False),
        ([101.0, 101.0, 101.0, 101.0], False),
    ],
)
def test_what_is_lawful_but_shown_above_its_figure_is_told(planned_ft, told):
    track = SimpleNamespace(
        **vars(ON_TWO_LEGS),
        planned_amsl_m=300.0 + 0.3048 * np.array([*planned_ft, 0.0, 0.0]),
        launch_ground_amsl_m=300.0,
    )
    ceiling = SimpleNamespace(ceiling_amsl_m=np.full(6, 300.0 + 0.3048 * 100.6))
    of = piece(0, 0.0, 30.0)
    assert never_exceed.planned_over(track, ceiling, [of], HeightUnit.FEET) == ((of,) if told else ())


@pytest.mark.parametrize(
    ("lowest_m", "parts"),
    [
        ((10.0, 20.0, 30.0, 30.0), [(0, 0), (1, 1), (2, 3)]),
        ((10.0, 20.0, 30.0, 20.0), [(0, 0), (1, 1), (2, 2), (3, 3)]),
        ((10.0, 10.0, 10.0, 20.0), [(0, 2), (3, 3)]),
        ((10.0, np.nan, np.nan, 20.0), [(0, 0), (1, 2), (3, 3)]),
    ],
)
def test_neighbours_with_one_lowest_ceiling_are_one_piece(lowest_m, parts):
    ceiling = SimpleNamespace(ceiling_amsl_m=np.repeat(lowest_m, 3) + np.tile([3.0, 0.0, 5.0], 4))
    pieces = [np.arange(3 * k, 3 * k + 3) for k in range(4)]
    joined = never_exceed._without_idle_splits(ceiling, pieces)
    assert [(one[0], one[-1]) for one in joined] == [(3 * first, 3 * last + 2) for first, last in parts]
    assert all((np.diff(one) == 1).all() for one in joined)
