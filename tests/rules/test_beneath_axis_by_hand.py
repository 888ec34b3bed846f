"""What is beneath on the path's own axis, where things and crossings are put in by hand; what is checked."""

import attrs
import numpy as np
import pytest

from planner.flight.below import GRAVEST_FIRST, Below
from planner.flight.beneath import NOTHING, UNKNOWN
from planner.rules.beneath_axis import beneath_axis, beneath_checked, drift_is_known, people_given
from planner.rules.beneath_judged import judged
from planner.rules.data_status import DataStatus
from planner.rules.finding import Mark
from planner.rules.unknowns import Weight
from planner.world.currency import LayerState
from planner.world.layers import LayerName
from tests.rules.hand_flown import flown, row
from tests.rules.test_beneath_by_hand import ALONG_M, CASE, PEOPLE, ROAD, N, case, charted, over

# ---- on its axis


def axis(things=(), crossings=(), apart=None, falls_on=None, **given):
    base = case(things, crossings, apart, **given)
    made = attrs.evolve(base.flight.beneath, falls_on=np.full(N, NOTHING) if falls_on is None else falls_on)
    return beneath_axis(attrs.evolve(base, flight=attrs.evolve(base.flight, beneath=made)))


def test_the_heaviest_mark_of_what_is_met_lies_on_the_axis():
    from_m, to_m = float(ALONG_M[5]) + 1.0, float(ALONG_M[7]) + 1.0
    road = axis((ROAD,), (over(0, from_m, to_m),))
    assert [k for k in range(N) if road.mark_at(k) is Mark.ACT] == [5, 6, 7, 8]
    assert {road.mark_at(k) for k in range(N)} == {Mark.ACT, None}
    exact = axis((ROAD,), (over(0, float(ALONG_M[5]), float(ALONG_M[7])),))
    assert [k for k in range(N) if exact.mark_at(k) is Mark.ACT] == [5, 6, 7]
    first = axis((ROAD,), (over(0, 0.0, 1.0),))
    assert [k for k in range(N) if first.mark_at(k)] == [0, 1]
    both = axis(
        (ROAD, PEOPLE, charted(Below.WATER)),
        (over(0, from_m, to_m), over(1, from_m, from_m + 1.0), over(2, 0.0, to_m)),
        {1: row(50.0, {20: 0.0})},
    )
    assert [both.mark_at(k) for k in (0, 5, 6, 7, 8)] == [Mark.NOTE, Mark.STOP, Mark.STOP, Mark.ACT, Mark.ACT]
    # The place that is told of people has their mark.
    assert both.mark_at(20) is Mark.STOP
    assert both.mark_at(21) is None


def test_where_it_falls_on_people_has_their_mark_before_it_is_over_them():
    falls = np.full(N, NOTHING)
    falls[[3, 4]] = GRAVEST_FIRST.index(Below.PEOPLE)
    falls[6] = GRAVEST_FIRST.index(Below.SUBJECT)
    one = axis((PEOPLE,), (over(0, 300.0, 310.0, overhead=False),), {0: row(50.0)}, falls)
    assert [one.mark_at(k) for k in (2, 3, 4, 6)] == [None, Mark.STOP, Mark.STOP, None]
    assert one.falls_on_at(3) is Below.PEOPLE
    assert one.over_at(3) is None
    road = np.full(N, GRAVEST_FIRST.index(Below.ROAD))
    assert axis((ROAD,), (over(0, 300.0, 310.0),), falls_on=road).mark_at(2) is None
    unknown = axis(falls_on=np.full(N, UNKNOWN))
    assert unknown.falls_on_at(0) is None
    assert axis(falls_on=np.zeros(N, int)).falls_on_at(0) is Below.ASSEMBLY


def test_drift_that_is_not_known_is_no_drift_of_none():
    known = axis(terminal=20.0, drift_m=row(7.0))
    assert known.drift_m.tolist() == [7.0] * N
    assert np.isnan(axis(drift_m=row(7.0)).drift_m).all()
    assert np.isnan(axis(terminal=20.0, weather={"wind": None}).drift_m).all()
    assert not drift_is_known(attrs.evolve(CASE, flight=None))
    assert not drift_is_known(flown(beneath=None))
    assert beneath_axis(None) is None
    for lacking in ({"flight": None}, {"track": None}):
        assert beneath_axis(attrs.evolve(CASE, **lacking)) is None


@pytest.mark.parametrize(
    ("layer", "state", "checked"),
    [
        (LayerName.ROADS, LayerState.OK, True), (LayerName.BUILDINGS, LayerState.OK, True),
        (LayerName.GATHERING_PLACES, LayerState.OK, True), (LayerName.ROADS, LayerState.EXPIRED, False),
        (LayerName.WATER, LayerState.OK, False),
    ],
)  # fmt: skip
def test_beneath_is_checked_where_anything_is_drawn_or_charted(layer, state, checked):
    statuses = (DataStatus(LayerName.ROADS, LayerState.MISSING, None, Weight.ADVISORY),
                DataStatus(layer, state, None, Weight.ADVISORY))  # fmt: skip
    base = attrs.evolve(case(), data=statuses)
    assert beneath_checked(base) is checked
    drawn_too = attrs.evolve(base, plan=attrs.evolve(base.plan, beneath=(PEOPLE.item,)))
    assert beneath_checked(drawn_too)
    assert people_given(drawn_too)
    for lacking in ({"flight": None}, {"flight": attrs.evolve(base.flight, beneath=None)}):
        assert not people_given(attrs.evolve(drawn_too, **lacking))
        assert people_given(attrs.evolve(drawn_too, area="anything", **lacking))
    assert list(judged(attrs.evolve(base, flight=None))) == []
