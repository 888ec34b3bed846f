"""What an area's lost link comes down in: when that is open, how far it may come and its words, by hand.

Only the authority can say of some airspace (check_values 1.13); what is closed at times is open while no time
is set.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.flight.area_comes import NO_WAY
from planner.plan.aircraft import LinkLossAction
from planner.rules import loss_into_area as rule
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.loss_into_area import _farthest_m, _is_open, _lost_at_the_edge
from planner.saying import Units, said, told
from planner.world.airspace import AirspaceKind
from tests.rules.test_return_near_people_by_hand import CASE
from tests.worlds import WINDOW

R, D = AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D
LAND, DROP, BACK = LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.RETURN_FIXED


@pytest.mark.parametrize(
    ("asked", "window", "at_times", "kind", "is_open"),
    [
        (True, WINDOW, False, D, True),
        (False, None, True, R, True),
        (False, None, True, D, False),
        (False, None, False, R, False),
        (False, WINDOW, True, R, False),
        (False, WINDOW, False, R, False),
    ],
)
def test_when_nobody_can_say_yet_if_it_is_closed(asked, window, at_times, kind, is_open, monkeypatch):
    monkeypatch.setattr(rule, "inquired_of", lambda _volume, _purpose: asked)
    case = SimpleNamespace(plan=SimpleNamespace(window=window, purpose=None))
    assert _is_open(case, SimpleNamespace(kind=kind, rests_at_times=at_times)) is is_open


def failsafe(action):
    return attrs.evolve(CASE.flight.loss.failsafe, action=action, delay_s=1.5)


@pytest.mark.parametrize(
    ("wait_m", "on"),
    [(0.0, ""), (0.5, "flies on for 1.5 s, 2 ft"), (37.5, "flies on for 1.5 s, 124 ft")],
)
def test_how_far_it_flies_on_is_said_where_it_does(wait_m, on):
    words = said(told(_lost_at_the_edge(CASE, failsafe(LAND), attrs.evolve(NO_WAY, wait_m=wait_m))), Units())
    assert words.startswith(f"Lost at the edge of the flying area the aircraft {on}")
    assert ("flies on" in words) is bool(on)


def test_how_far_it_may_come_is_its_way_and_the_most_that_it_is_carried():
    comes = attrs.evolve(NO_WAY, wait_m=30.0, ahead_m=50.0)
    assert _farthest_m(comes, failsafe(LAND)) == 30.0
    assert _farthest_m(comes, failsafe(DROP)) == 80.0
    near, far = (SimpleNamespace(farthest_m=m) for m in (5.0, 20.0))
    assert _farthest_m(attrs.evolve(comes, carried=(near,), landed=(far,)), failsafe(LAND)) == 50.0
    assert _farthest_m(attrs.evolve(comes, carried=(far, near), landed=()), failsafe(LAND)) == 50.0


# ---- beside the area


def put_in(monkeypatch, **answers):
    for name, one in answers.items():
        monkeypatch.setattr(rule, name, one)


def beside(monkeypatch, near_m=None, action=LAND, **without):
    """Which of two airspaces are judged; of the first two shapes are shut, of the second one."""
    shuts = {1: ["wide", "close"], 2: ["far"]}
    asked = []

    def nearest(_mapped, _samples, volume, shut, far_m, *, comes_down):
        asked.append((volume, shut, far_m, comes_down))
        away_m = (near_m or {}).get(shut)
        return None if away_m is None else SimpleNamespace(away_m=away_m)

    put_in(
        monkeypatch,
        area_failsafe=lambda _case: None if action is None else failsafe(action),
        _farthest_m=lambda most_m, _failsafe: most_m,
        _beside=lambda *_: shuts.items(),
        nearest_of_area=nearest,
        _judged=lambda _case, _failsafe, shut, near: [(shut, near.away_m)],
    )
    mapped = SimpleNamespace(airspace={1: "R", 2: "D"})
    flight = SimpleNamespace(at_most=60.0)
    parts = {"area_samples": "samples", "mapped": mapped, "area_flight": flight, **without}
    return list(rule.comes_down_beside(SimpleNamespace(**parts))), asked


def test_each_airspace_is_judged_once_by_what_is_shut_of_it(monkeypatch):
    found, asked = beside(monkeypatch, {"wide": 30.0, "close": 20.0, "far": 70.0})
    assert found == [((1, "wide"), 30.0), ((2, "far"), 70.0)]
    # As far as it comes at the most, and 20 m beside that (own rule); coming down it passes every top.
    assert asked == [("R", "wide", 80.0, True), ("D", "far", 80.0, True)]
    # What the area itself reaches is told of it.
    assert beside(monkeypatch, {"wide": 0.0, "close": 20.0})[0] == [((1, "close"), 20.0)]
    assert beside(monkeypatch, {})[0] == []
    near = {"wide": 30.0}
    for without in ({"area_samples": None}, {"mapped": None}, {"action": None}, {"action": BACK}):
        assert beside(monkeypatch, near, **without)[0] == []


def test_what_is_shut_is_asked_as_far_as_is_given_and_as_far_as_it_may_come(monkeypatch):
    looked = []

    def down(_case, _mapped, wanted, reach_m):
        assert [wanted(column, None) for column in (6, 7, 8)] == [False, True, False]
        looked.append(reach_m)
        return ["there"] if reach_m else []

    opened = SimpleNamespace(
        all_along=lambda one: np.array([one == "there", False]),
        beyond=lambda which: f"beyond {which.tolist()}" if which.sum() < 2 else None,
    )
    put_in(monkeypatch, down_beside_area=down, opened_of=lambda *_: opened)
    # 80 m are 60 m that it comes at the most, and 20 m beside that.
    assert rule._shut(None, None, ("samples", 80.0), 7) == ["beyond [True, False]"]
    assert looked == [None, 60.0]


@pytest.mark.parametrize("name", ["R", ""])
@pytest.mark.parametrize(
    ("close", "carried", "told"),
    [
        (None, True, "carried"),
        (Mark.UNKNOWN, True, "close"),
        (Mark.ACT, True, "carried"),
        (Mark.ACT, False, "close"),
        (None, False, None),
    ],
)
def test_the_graver_of_what_is_close_and_where_wind_carries_it_is_told(
    close, carried, told, name, monkeypatch
):
    near = None if close is None else SimpleNamespace(mark=close)
    put_in(
        monkeypatch,
        straight_m=lambda comes, _failsafe: comes.wait_m,
        opened_of=lambda _case, _mapped, column: f"opened {column}",
        comes_down_near=lambda _case, one, shut, _near, reach_m: (
            near if (one, shut, reach_m) == ("opened 7", "shut", 30.0) else "asked otherwise"
        ),
        _carried_into=lambda *_: carried,
    )
    comes, at_most = (attrs.evolve(NO_WAY, wait_m=m) for m in (0.0, 30.0))
    flight = SimpleNamespace(at_most=at_most, comes=comes)
    mapped = SimpleNamespace(airspace={7: SimpleNamespace(name=name)})
    case = SimpleNamespace(area_flight=flight, area_samples="samples", mapped=mapped, plan=CASE.plan)
    found = Finding(rule="", mark=Mark.STOP, basis=Basis.LAW, title="", message="", citation="", remedy="")
    given = (case, failsafe(LAND), (7, "shut"), SimpleNamespace(away_m=35.0), found)
    (one,) = rule._close_or_carried(*given) if told else (None, *rule._close_or_carried(*given))
    if told == "carried":
        called = name or "an airspace without a name"
        assert (one.rule, one.mark) == ("link-loss-drifts-into", Mark.ACT)
        assert one.title == f"On lost link the wind may carry it into {called}"
        # 35 m are 114.8 ft, rounded down.
        assert f"carry it into {called}, 114 ft outside." in one.message
    else:
        assert one is (near if told else None)
