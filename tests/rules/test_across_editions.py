"""A window across the change of editions: neither holds for all of it, and what to do about that is said.

An edition holds from its effective to its expiry date (published on each chart; from memory); that data which
does not hold is never ready, and that a finding says what to do, are our own rules.
"""

from datetime import timedelta

import attrs
import pytest

from planner.assess import assess_live
from planner.geo.window import TimeWindow
from planner.rules.finding import Mark
from planner.world.layers import LayerName
from tests.worlds import START, layer, layers, plan, world

MINUTE = timedelta(minutes=1)
OLD = layer(LayerName.CLASS_AIRSPACE, effective_utc=START - timedelta(days=28), expires_utc=START)
NEW = layer(LayerName.CLASS_AIRSPACE, effective_utc=START, expires_utc=START + timedelta(days=28))
AT = "12 Jun 2027 19:00 UTC"


def told(*editions, begins=-11, ends=9):
    window = TimeWindow(START + begins * MINUTE, START + ends * MINUTE)
    charts = world(layers=(*layers(class_airspace=None), *editions))
    found = assess_live(plan(window=window), charts).findings
    return [one for one in found if one.rule == "data-class-airspace"]


@pytest.mark.parametrize(
    ("editions", "words"),
    [
        ((OLD, NEW), f"end the window by {AT} or begin it at {AT} or later; or load current data"),
        ((NEW, OLD), f"end the window by {AT} or begin it at {AT} or later; or load current data"),
        ((OLD,), f"a part of the time: end the window by {AT}; or load current data"),
        ((NEW,), f"a part of the time: begin it at {AT} or later; or load current data"),
    ],
)
def test_a_window_across_the_change_names_the_moment(editions, words):
    (one,) = told(*editions)
    assert one.mark is Mark.UNKNOWN
    assert words in one.remedy


@pytest.mark.parametrize(("begins", "ends"), [(-30, 0), (0, 30)])
def test_up_to_it_or_from_it_on_the_edition_of_then_holds(begins, ends):
    assert not told(OLD, NEW, begins=begins, ends=ends)


def test_where_no_part_holds_nothing_is_said_of_one():
    (one,) = told(OLD, begins=5, ends=30)
    assert one.remedy.startswith("load current data")


def test_an_edition_that_does_not_say_from_when_it_holds_holds_for_no_part():
    (one,) = told(attrs.evolve(OLD, effective_utc=None))
    assert one.mark is Mark.UNKNOWN
    assert "end the window" not in one.remedy
