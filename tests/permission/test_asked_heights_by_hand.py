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
from planner.wording import planned_ft

LOST, FLOWN = Rise.ON_LOST_LINK, Rise.AS_FLOWN


def asked(monkeypatch, asked_m, ways_m=(), lost_m=(), higher_m=(), beside_m=0.0, **of_it):
    """The answer where so high is needed, and flown on ways, on lost link and otherwise than drawn."""

    def part_of(sample, columns, _mapped):
        assert columns == (3,)
        inside = sample.high_m is not None
        return SimpleNamespace(by_volume={3: "inside"} if inside else {}, asked_agl_m=lambda: sample.high_m)

    def samples(heights_m, *, on_lost_link):
        return [SimpleNamespace(high_m=one, on_lost_link=on_lost_link) for one in heights_m]

    def beside(_mapped, columns, these):
        assert columns == (3,)
        assert not [one for one in these if one.on_lost_link]
        return beside_m

    monkeypatch.setattr(rule, "Part", SimpleNamespace(of=part_of))
    monkeypatch.setattr(rule, "beside_agl_m", beside)
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


def feet_to_type(height_m):
    """What is typed, in whole feet: as `planned_ft` has it."""
    return int(planned_ft(height_m).removesuffix(" ft").replace(",", ""))


def test_a_height_in_feet_is_asked_for_as_it_is_typed(monkeypatch):
    """137 ft are 41.7576 m, 41.758 in whole mm: a foot more. The foot is 0.3048 m exactly (1959)."""
    for feet in range(1, 1_000):
        for off_m in (0.0, 1e-13, -1e-13):
            found = asked(monkeypatch, feet * 0.3048 + off_m)
            assert feet_to_type(found.highest_m) == feet
            assert (found.way_rise_m, found.rise_m) == (0.0, 0.0)


def test_who_is_granted_the_feet_that_are_typed_may_fly_it(monkeypatch):
    """To a thousandth of a millimetre, above every foot: 0.1 mm more than it takes a foot more."""
    for feet in range(1, 500):
        for off_m in (1e-5, 1e-4, 2e-4, 3e-4, 5e-4, 1e-3, 0.1, 0.3047):
            height_m = feet * 0.3048 + off_m
            highest_m = asked(monkeypatch, 0.1, lost_m=(height_m,)).highest_m
            assert highest_m >= height_m - 1e-6
            assert feet_to_type(highest_m) == feet + 1, (feet, off_m)


@pytest.mark.parametrize("asked_m", [0.0, 0.5])
def test_close_to_the_ground_no_more_is_asked_for(asked_m, monkeypatch):
    found = asked(monkeypatch, asked_m)
    assert (found.highest_m, found.way_rise_m, found.rise_m) == (asked_m, 0.0, 0.0)


def test_of_the_ground_alone_what_is_flown_close_beside_is_asked_for(monkeypatch):
    """On the very edge; a foot (0.3048 m) is no flight."""
    for asked_m, ways_m, beside_m, highest_m, way_rise_m in (
        (0.0, (), 6.0, 6.0, 6.0),
        (0.3, (), 6.0, 6.0, 5.7),
        (0.3048, (), 6.0, 0.3048, 0.0),
        (0.0, (0.2,), 6.0, 6.0, 6.0),
        (0.0, (2.0,), 6.0, 2.0, 2.0),
        (0.0, (), 0.0, 0.0, 0.0),
    ):
        found = asked(monkeypatch, asked_m, ways_m, beside_m=beside_m)
        assert (found.highest_m, found.way_rise_m) == pytest.approx((highest_m, way_rise_m))


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
