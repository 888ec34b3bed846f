"""What ends before the flight does, and whose clock the window goes by, with ends and zones put in by hand.

A check of notices counts for 24 hours, and ends with a word of its own: own rule. That Phoenix has no summer
time, and Los Angeles begins it on 14 March 2027 at 10:00 UTC: the time zone database (tzdata).
"""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import attrs
import pytest

from planner.geo.window import TimeWindow
from planner.plan.records import NoticesChecked
from planner.rules import other_clock
from planner.rules.finding import Mark
from planner.rules.holds import ends_before_the_flight, ends_of
from planner.rules.other_clock import told_by_another_clock
from planner.world.currency import LayerState
from planner.world.layers import LayerName
from tests.rules.hand_made import complete
from tests.rules.test_data_by_hand import D, standing
from tests.worlds import START, WINDOW

CASE = complete()
HALF = timedelta(minutes=30)


def holding(*statuses, checked=None):
    notices = NoticesChecked(checked, "pilot") if checked else None
    return attrs.evolve(CASE, data=statuses, plan=attrs.evolve(CASE.plan, notices=notices))


@pytest.mark.parametrize(
    ("layer", "state", "expires", "ends"),
    [
        (D, LayerState.OK, START + HALF, True),
        (D, LayerState.OK, None, False),
        (D, LayerState.EXPIRED, START + HALF, False),
        (LayerName.ROADS, LayerState.OK, START + HALF, False),  # advice only
        (LayerName.ROADS, LayerState.EXPIRED, START + HALF, False),
        (LayerName.OBSTACLES, LayerState.OK, START + HALF, True),
    ],
)
def test_only_what_holds_now_and_is_rested_on_can_end(layer, state, expires, ends):
    case = holding(standing(layer, state, expires_utc=expires))
    assert list(ends_of(case)) == ([(expires, layer.value.replace("_", " "))] if ends else [])
    assert len(list(ends_before_the_flight(case))) == ends


def test_a_layer_without_a_record_ends_never():
    bare = attrs.evolve(standing(D, LayerState.OK, expires_utc=START), record=None)
    assert not list(ends_of(holding(bare)))


@pytest.mark.parametrize(
    ("end", "told", "never"),
    [
        (START - timedelta(seconds=1), False, False),
        (START, True, True),
        (START + HALF, True, False),
        (WINDOW.end_utc, False, False),
    ],
)
def test_it_ends_within_the_window(end, told, never):
    found = list(ends_before_the_flight(holding(standing(D, LayerState.OK, expires_utc=end))))
    assert len(found) == told
    for one in found:
        assert one.mark is Mark.ACT
        assert one.numbers == {"lacking_s": (WINDOW.end_utc - end).total_seconds()}
        assert ("no minute" in one.message) is never
        assert one.message.startswith("It ends at ")
        assert "see to what follows it" in one.remedy
        assert one.title == f"{D.value.replace('_', ' ').capitalize()} ends before the time window"


def test_of_notices_it_is_the_check_that_ends_and_what_ends_first_comes_first():
    checked = START + HALF - timedelta(hours=24)
    later = standing(D, LayerState.OK, expires_utc=START + HALF + timedelta(minutes=1))
    first, second = ends_before_the_flight(holding(later, checked=checked))
    assert first.title == "The check of notices ends before the time window"
    assert first.message.startswith("A check of notices counts for 24 hours: this one ends at ")
    assert first.remedy.startswith("look notices up again")
    assert second.message.startswith("It ends at ")
    timeless = attrs.evolve(CASE.plan, window=None)
    assert not list(ends_before_the_flight(attrs.evolve(CASE, plan=timeless)))


# ---- whose clock


PHOENIX, LOS_ANGELES = "America/Phoenix", "America/Los_Angeles"
CHANGE = datetime(2027, 3, 14, 10, tzinfo=UTC)


@pytest.mark.parametrize(
    ("zones", "begins", "told"),
    [
        ((PHOENIX,), CHANGE - 4 * HALF, True),  # winter: an hour apart
        ((PHOENIX,), CHANGE + HALF, False),  # summer: the same
        ((PHOENIX,), CHANGE - HALF, True),  # the same at the end of the window only
        ((LOS_ANGELES, PHOENIX), CHANGE - HALF, False),  # one of the clocks in use near by is enough
        ((PHOENIX, LOS_ANGELES), CHANGE - HALF, False),
    ],
)
def test_both_ends_of_the_window_are_held_against_each_clock_in_use(monkeypatch, zones, begins, told):
    monkeypatch.setattr(other_clock, "zones_near", lambda _place: tuple(map(ZoneInfo, zones)))
    window = TimeWindow(begins, begins + 2 * HALF, LOS_ANGELES)
    case = attrs.evolve(CASE, plan=attrs.evolve(CASE.plan, window=window))
    assert len(list(told_by_another_clock(case))) == told


def test_without_a_time_or_a_place_there_is_no_clock():
    bare = attrs.evolve(CASE.plan, path=(), launch=None, landing=None, crew=(), area=None)
    assert bare.anchor() is None
    for plan in (attrs.evolve(CASE.plan, window=None), bare):
        assert not list(told_by_another_clock(attrs.evolve(CASE, plan=plan)))
