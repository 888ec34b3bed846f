"""What flies on ahead of an area over lower ground: places, heights and ceilings put in by hand (m).

How far above is a difference; that the farthest above is told, and what is given before what may be at the
most, are our own rules.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.plan.aircraft import LinkLossAction
from planner.rules import area_flies_over as rule
from planner.rules.area_ahead import Ahead
from planner.rules.area_flies_over import flies_on_too_high
from planner.rules.finding import Basis, Mark
from tests.rules.test_return_near_people_by_hand import CASE

LAND, BACK = LinkLossAction.LAND, LinkLossAction.RETURN_FIXED
PLACES = np.array([(10.0, 1.0), (20.0, 2.0), (30.0, 3.0)])
NAMED, NAMELESS = SimpleNamespace(name="R"), SimpleNamespace(name="")


def told(monkeypatch, high_m, ceiling_m, given_m=60.0, most_m=60.0, *, column=(-1, -1, -1), **other):
    """What is told, and how far ahead was looked; `shut` are the places where nothing is open."""
    looked, shut = [], np.isin(np.arange(3), other.pop("shut", ()))

    def ahead(_case, _mapped, _samples, far_m):
        looked.append(far_m)
        return Ahead(PLACES, np.array(high_m))

    def over(_scene, x_m, y_m, amsl_m):
        assert (x_m.tolist(), y_m.tolist()) == ([10.0, 20.0, 30.0], [1.0, 2.0, 3.0])
        assert amsl_m.tolist() == pytest.approx(high_m, nan_ok=True)
        ceiling = SimpleNamespace(amsl_m=np.array(ceiling_m), column=np.array(column))
        return SimpleNamespace(ceiling=ceiling, from_ground=shut)

    action = other.pop("action", LAND)
    failsafe = None if action is None else attrs.evolve(CASE.flight.loss.failsafe, action=action, delay_s=3.0)
    for name, one in {
        "area_failsafe": lambda _case: failsafe,
        "straight_m": lambda comes, _failsafe: comes,
        "ahead_of": ahead,
        "over_ways": over,
        "Scene": lambda *_: None,
        "leave_rule": lambda _case, volume: f"leave for {volume.name}",
    }.items():
        monkeypatch.setattr(rule, name, one)
    frame = SimpleNamespace(xy_to_place=lambda x_m, y_m: (x_m, y_m))
    footprint = other.pop("footprint", shapely.box(-9.0, -9.0, -1.0, -1.0))
    parts = {
        "area_samples": SimpleNamespace(footprint=footprint),
        "mapped": SimpleNamespace(frame=frame, airspace={4: NAMED, 5: NAMELESS}),
        "area": object(),
        "area_flight": SimpleNamespace(comes=given_m, at_most=most_m),
    }
    case = SimpleNamespace(
        **{"plan": CASE.plan, "uses": (), "area_loss_over_ceiling_m": (), **parts, **other},
        once=lambda _key, make: make(),
    )
    return list(flies_on_too_high(case)), looked


@pytest.mark.parametrize(
    ("high_m", "ceiling_m", "shut", "over_m", "place"),
    [
        ((200.0, 200.0, 200.0), (195.0, 180.0, 190.0), (), 20.0, (20.0, 2.0)),
        ((200.0, 170.0, 200.0), (195.0, 180.0, 190.0), (), 10.0, (30.0, 3.0)),
        # Where nothing is open that is told of where it comes down.
        ((200.0, 200.0, 200.0), (195.0, 180.0, 190.0), (1,), 10.0, (30.0, 3.0)),
        ((200.0, 200.0, 200.0), (195.0, 180.0, 190.0), (0, 1, 2), None, None),
        # A height, or a ceiling, that nobody knows.
        ((np.nan, 200.0, 200.0), (195.0, 180.0, 190.0), (), 20.0, (20.0, 2.0)),
        ((200.0, 200.0, 200.0), (195.0, np.nan, 190.0), (), 10.0, (30.0, 3.0)),
        ((np.nan, np.nan, np.nan), (195.0, 180.0, 190.0), (), None, None),
        ((170.0, 170.0, 170.0), (195.0, 180.0, 190.0), (), None, None),
    ],
)
def test_the_place_that_is_farthest_above_is_told(high_m, ceiling_m, shut, over_m, place, monkeypatch):
    found, _ = told(monkeypatch, high_m, ceiling_m, shut=shut)
    expected = [] if place is None else [(over_m, place)]
    assert [(one.numbers["over_m"], one.place) for one in found] == expected


ABOVE = ((200.0, 200.0, 200.0), (195.0, 180.0, 190.0))


@pytest.mark.parametrize(
    ("given_m", "most_m", "marks", "looked"),
    [
        (60.0, 90.0, [Mark.STOP], [60.0]),
        (0.5, 90.0, [Mark.STOP], [0.5]),
        (0.0, 90.0, [Mark.ACT], [90.0]),
        (0.0, 0.0, [], []),
    ],
)
def test_what_is_given_counts_before_what_may_be_at_the_most(given_m, most_m, marks, looked, monkeypatch):
    found, places = told(monkeypatch, *ABOVE, given_m, most_m)
    assert ([one.mark for one in found], places) == (marks, looked)
    assert all(("87 kt" in one.message) is (one.mark is Mark.ACT) for one in found)


@pytest.mark.parametrize(
    ("over_m", "number"),
    [((), 1), ((None,), 1), (([np.nan, -0.5],), 1), (([np.nan],), 1), (([-0.5], [np.nan, 0.5]), 0)],
)
def test_a_return_is_told_of_that_is_not_told_to_come_above_a_ceiling(over_m, number, monkeypatch):
    above = tuple(None if one is None else np.array(one) for one in over_m)
    found, _ = told(monkeypatch, *ABOVE, action=BACK, area_loss_over_ceiling_m=above)
    assert len(found) == number


def test_its_words(monkeypatch):
    ((one,), _) = told(monkeypatch, *ABOVE)
    assert (one.title, one.basis) == ("On lost link it flies on above the ceiling", Basis.SAFETY)
    # 20 m are 65.6 ft, rounded up.
    assert "for 3 s, over lower ground 66 ft above what is allowed there; then it" in one.message
    ((one,), _) = told(monkeypatch, *ABOVE, column=(-1, 4, -1))
    assert (one.title, one.basis) == ("On lost link it flies on into R", Basis.LAW)
    assert "66 ft above what is open of R; then it" in one.message
    assert one.citation == "leave for R"
    ((one,), _) = told(monkeypatch, *ABOVE, column=(-1, 5, -1))
    assert one.title == "On lost link it flies on into an airspace without a name"


def test_whether_it_is_over_the_area_itself_or_ahead_of_it(monkeypatch):
    """The place that is told is 20 m east, 2 m north."""
    ((ahead,), _) = told(monkeypatch, *ABOVE)
    assert ahead.message.startswith("Lost at the edge of the flying area the aircraft flies on")
    assert ahead.remedy.startswith("end the area farther before the ground falls away, lower its top")
    ((over,), _) = told(monkeypatch, *ABOVE, footprint=shapely.box(10.0, 0.0, 21.0, 9.0))
    assert over.message.startswith("Lost high over its ground in the flying area the aircraft flies on")
    assert over.remedy.startswith("lower its top")


@pytest.mark.parametrize(
    "without",
    [
        {"area_samples": None},
        {"mapped": None},
        {"area": None},
        {"area_flight": None},
        {"action": None},
        # Returns that are told to come above a ceiling anyway.
        {"action": BACK, "area_loss_over_ceiling_m": (None, np.array([np.nan, 0.5]))},
    ],
)
def test_without_an_area_that_is_judged_or_where_it_is_told_anyway_nothing_is(without, monkeypatch):
    assert told(monkeypatch, *ABOVE, **without) == ([], [])
