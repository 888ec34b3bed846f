"""What the height of a request is made of: heights above ground put in by hand (m).

Sums and differences. That whole mm are asked for, rounded up, and that the greatest cause is named, are our
own rules.
"""

import math
from types import SimpleNamespace

import pytest

from planner.permission import asked_heights as rule
from planner.permission.asked_heights import AskedHeights, asked_heights
from planner.permission.need import PermissionNeed, Rise, Route, Subject

LOST, FLOWN = Rise.ON_LOST_LINK, Rise.AS_FLOWN


def asked(monkeypatch, asked_m, ways_m=(), lost_m=(), higher_m=(), **of_it):
    """The answer where so high is needed, and flown on ways, on lost link and otherwise than drawn."""

    def part_of(sample, columns, _mapped):
        assert columns == (3,)
        inside = sample.high_m is not None
        return SimpleNamespace(by_volume={3: "inside"} if inside else {}, asked_agl_m=lambda: sample.high_m)

    def samples(heights_m, *, on_lost_link):
        return [SimpleNamespace(high_m=one, on_lost_link=on_lost_link) for one in heights_m]

    monkeypatch.setattr(rule, "Part", SimpleNamespace(of=part_of))
    need = PermissionNeed(Subject.AIRSPACE, "D", "D", Route.AUTOMATED, asked_agl_m=asked_m, **of_it)
    besides = SimpleNamespace(
        samples=samples(ways_m, on_lost_link=False) + samples(lost_m, on_lost_link=True),
        higher=samples(higher_m, on_lost_link=False),
    )
    return asked_heights("map", SimpleNamespace(need=need, volumes=(3,)), besides)


@pytest.mark.parametrize(
    ("needed", "ways_m", "lost_m", "higher_m", "made_of"),
    [
        # What is needed is drawn: highest, on ways alone, how much more, and why.
        ({}, (), (), (), (40.0, 0.0, 0.0, LOST)),
        ({}, (30.0,), (35.0,), (39.0,), (40.0, 0.0, 0.0, LOST)),
        ({}, (45.0, 60.0), (), (), (60.0, 20.0, 0.0, LOST)),
        ({}, (60.0, 45.0), (50.0,), (55.0,), (60.0, 20.0, 0.0, LOST)),
        ({}, (), (70.0, 50.0), (), (70.0, 0.0, 30.0, LOST)),
        ({}, (), (50.0, 70.0), (65.0,), (70.0, 0.0, 30.0, LOST)),
        ({}, (), (65.0,), (50.0, 70.0), (70.0, 0.0, 30.0, FLOWN)),
        ({}, (60.0,), (65.0,), (90.0,), (90.0, 20.0, 30.0, FLOWN)),
        ({}, (60.0,), (90.0,), (65.0,), (90.0, 20.0, 30.0, LOST)),
        # Outside that airspace it is not asked for.
        ({}, (None,), (None, 50.0), (None,), (50.0, 0.0, 10.0, LOST)),
        # Of what is needed 10 m are on ways alone.
        ({"way_rise_m": 10.0}, (40.0,), (), (), (40.0, 10.0, 0.0, LOST)),
        ({"way_rise_m": 10.0}, (45.0,), (90.0,), (), (90.0, 15.0, 45.0, LOST)),
        # Of what is needed 10 m are flown otherwise than drawn already.
        ({"rise_m": 10.0, "rise": FLOWN}, (), (), (), (40.0, 0.0, 10.0, FLOWN)),
        ({"rise_m": 10.0, "rise": FLOWN}, (), (35.0,), (), (40.0, 0.0, 10.0, FLOWN)),
        ({"rise_m": 10.0, "rise": FLOWN}, (), (50.0,), (), (50.0, 0.0, 20.0, LOST)),
        ({"rise_m": 10.0, "rise": LOST}, (), (50.0,), (60.0,), (60.0, 0.0, 30.0, FLOWN)),
        ({"rise_m": 10.0, "rise": FLOWN}, (35.0,), (), (), (40.0, 5.0, 5.0, FLOWN)),
        ({"rise_m": 10.0, "rise": FLOWN}, (40.0,), (), (), (40.0, 10.0, 0.0, LOST)),
        ({"rise_m": 10.0, "rise": FLOWN, "way_rise_m": 5.0}, (), (), (), (40.0, 5.0, 10.0, FLOWN)),
        # Nothing is drawn there: all of it is on ways, or on lost link.
        ({"not_drawn": True}, (60.0,), (90.0,), (), (90.0, 0.0, 0.0, LOST)),
    ],
)
def test_what_it_is_made_of(needed, ways_m, lost_m, higher_m, made_of, monkeypatch):
    found = asked(monkeypatch, 40.0, ways_m, lost_m, higher_m, **needed)
    assert (found.highest_m, found.way_rise_m, found.rise_m, found.rise) == made_of


@pytest.mark.parametrize(
    ("flown_m", "asked_m"), [(50.0002, 50.001), (50.0010001, 50.002), (50.0, 50.0), (50.9999, 51.0)]
)
def test_whole_millimetres_are_asked_for_rounded_up(flown_m, asked_m, monkeypatch):
    assert asked(monkeypatch, 40.0, lost_m=(flown_m,)).highest_m == pytest.approx(asked_m, abs=1e-9)
    assert asked(monkeypatch, flown_m).highest_m == pytest.approx(asked_m, abs=1e-9)


@pytest.mark.parametrize("asked_m", [0.0, 0.5])
def test_close_to_the_ground_no_more_is_asked_for(asked_m, monkeypatch):
    found = asked(monkeypatch, asked_m)
    assert (found.highest_m, found.way_rise_m, found.rise_m) == (asked_m, 0.0, 0.0)


def test_what_rounding_adds_is_not_said_to_rise(monkeypatch):
    # Less than a millimetre, and what is added to come to a whole one.
    for needed_m, flown in ((40.0002, {}), (40.0, {"ways_m": (40.0009,)}), (40.0, {"lost_m": (40.0009,)})):
        found = asked(monkeypatch, needed_m, **flown)
        assert (found.highest_m, found.way_rise_m, found.rise_m) == (40.001, 0.0, 0.0)
    found = asked(monkeypatch, 40.0002, rise_m=10.0, rise=FLOWN)
    assert (found.highest_m, found.rise) == (40.001, FLOWN)
    # 131 ft are 39.9288 m: what is more than a millimetre stays one.
    found = asked(monkeypatch, 39.9288, lost_m=(39.931,))
    assert (found.highest_m, found.rise_m) == (39.931, pytest.approx(0.0022))


@pytest.mark.parametrize("kind", ["ways_m", "lost_m", "higher_m"])
@pytest.mark.parametrize("unknown_m", [math.nan, math.inf])
def test_a_height_that_is_not_known_makes_the_whole_unknown(kind, unknown_m, monkeypatch):
    assert asked(monkeypatch, 40.0, **{kind: (50.0, unknown_m)}) is None
    assert asked(monkeypatch, None, **{kind: (50.0,)}) is None
    assert asked(monkeypatch, None) is None


def test_what_is_not_said_of_it_is_nothing():
    assert (AskedHeights(40.0).way_rise_m, AskedHeights(40.0).rise_m) == (0.0, 0.0)
