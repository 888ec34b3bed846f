"""Whom what flies on low flies into before its action begins: ways, heights and things put in by hand (m).

Shares of a way and heights over it are proportions. What is told, and of what, are our own rules; so is that
a person reaches up 2.5 m, and that a lorry is 4.2 m high at the most (from memory: about 4 m).
"""

import math
from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.geo.parts_inside import places_inside
from planner.plan.aircraft import LinkLossAction
from planner.rules import loss_flies_into as rule
from planner.rules.finding import Mark
from planner.rules.loss_flies_into import _HOME, WAIT, _low_rows, _told, flies_into, height_m
from tests.rules.hand_flown import complete, row
from tests.rules.test_return_near_people_by_hand import CASE

BACK, LAND = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND
STOP, ACT, OPEN = Mark.STOP, Mark.ACT, Mark.UNKNOWN


def thing(below=Below.PEOPLE, west_m=40.0, east_m=60.0, name="JO (INVENTED)"):
    return Thing(below, name, shapely.box(west_m, -5.0, east_m, 5.0))


# ---- which ways come so low


@pytest.mark.parametrize(
    ("waiting_m", "known", "low"),
    [
        (4.9, True, True),
        (5.0, True, False),
        (9.0, True, False),
        (-2.0, True, True),
        (math.inf, True, True),  # it lands meanwhile
        (math.nan, True, False),
        (4.9, False, False),
    ],
)
@pytest.mark.parametrize("axis", ["corner_x_m", "corner_y_m"])
@pytest.mark.parametrize("corner", [0, 1])
def test_which_ways_come_so_low_till_its_action_begins(waiting_m, known, low, axis, corner):
    places = {name: np.zeros((2, 4)) for name in ("corner_x_m", "corner_y_m")}
    for one in places.values():
        one[:, 2:] = np.nan  # what is after that does not count
    places[axis][1, corner] = 0.0 if known else np.nan
    loss = SimpleNamespace(waiting_m=np.array([99.0, waiting_m]), **places)
    assert _low_rows(loss, WAIT, 5.0).tolist() == ([1] if low else [])


# ---- which places of them


@pytest.mark.parametrize(
    ("begin", "end", "box", "from_share", "to_share"),
    [
        ((0, 0), (100, 0), (40, -5, 60, 5), 0.4, 0.6),
        ((100, 0), (0, 0), (40, -5, 60, 5), 0.4, 0.6),
        ((10, 0), (110, 0), (40, -5, 70, 5), 0.3, 0.6),
        ((0, 0), (0, 50), (-5, 10, 5, 99), 0.2, 1.0),
        ((0, 20), (0, 70), (-5, 10, 5, 30), 0.0, 0.2),
        ((0, 0), (30, 40), (-9, 20, 99, 99), 0.5, 1.0),
        ((0, 0), (0.5, 0), (0.2, -5, 9, 5), 0.4, 1.0),
        ((7, 3), (7, 3), (0, 0, 9, 9), 0.0, 1.0),
    ],
)
def test_the_parts_of_ways_that_lie_inside(begin, end, box, from_share, to_share):
    ends = np.array([[(0.0, 0.0), (10.0, 0.0)], [begin, end]], dtype=float)
    inside = shapely.intersection(shapely.linestrings(ends), shapely.box(*box))
    inside[0] = shapely.LineString([(2.0, 0.0), (4.0, 0.0)])
    x_m, y_m, share = places_inside(ends, inside)
    assert share[0].tolist() == pytest.approx(np.linspace(0.2, 0.4, 9))
    assert share[1].tolist() == pytest.approx(np.linspace(from_share, to_share, 9))
    along = np.linspace(from_share, to_share, 9)[:, None]
    expected = np.array(begin) + along * (np.array(end, dtype=float) - begin)
    assert np.column_stack([x_m[1], y_m[1]]) == pytest.approx(expected)


def low_over(monkeypatch, *ways, things=None, grown_m=0.0, ground_m=300.0, doubt_m=0.0):
    """Least heights over things of ways, each begun and ended so far east and so high over the ground."""

    def over(surfaces, x_m, _y_m):
        assert surfaces == ("ground",)
        return np.where(x_m > 55.0, ground_m, 300.0)

    monkeypatch.setattr(rule, "ground_over", over)
    n = len(ways)
    loss = SimpleNamespace(
        waiting_m=np.array([min(way[2], way[3]) for way in ways]),
        corner_x_m=np.array([[*way[:2], 50.0, 50.0] for way in ways], dtype=float).reshape(n, 4),
        corner_y_m=np.zeros((n, 4)),
        corner_amsl_m=np.array([[300.0 + way[2], 300.0 + way[3], 0.0, 0.0] for way in ways]).reshape(n, 4),
    )
    flight = SimpleNamespace(beneath=SimpleNamespace(zone=SimpleNamespace(grown_m=grown_m)))
    there = [thing()] if things is None else things
    found = rule.low_over(SimpleNamespace(ground="ground"), flight, (loss, WAIT), there, doubt_m)
    return [(there[k].called, over_m.tolist()) for k, over_m in found]


JO, HIGH = "JO (INVENTED)", (0.0, 100.0, 9.0, 9.0)


@pytest.mark.parametrize(
    ("ways", "given", "found"),
    [
        ([(0.0, 100.0, 2.0, 2.0)], {}, [(JO, [2.0])]),
        # It falls 4 m on 100 m: at 60 m it is at 1.6 m, and climbs as much: at 40 m.
        ([(0.0, 100.0, 4.0, 0.0)], {}, [(JO, [1.6])]),
        ([(0.0, 100.0, 0.0, 4.0)], {}, [(JO, [1.6])]),
        # One that is too high, one that does not come there.
        (
            [(0.0, 100.0, 9.0, 9.0), (0.0, 100.0, 2.0, 2.0), (0.0, 30.0, 1.0, 1.0)],
            {},
            [(JO, [np.inf, 2.0, np.inf])],
        ),
        ([(0.0, 100.0, 4.1, 4.1)], {}, [(JO, [4.1])]),
        ([(0.0, 100.0, 4.3, 4.3)], {}, []),
        ([(0.0, 100.0, 6.0, 6.0)], {"doubt_m": 2.0}, [(JO, [6.0])]),
        ([(0.0, 100.0, 6.3, 6.3)], {"doubt_m": 2.0}, []),
        # As near as no aircraft keeps its place: 10 m beside; nothing is grown by less than 10 cm.
        ([(0.0, 30.5, 2.0, 2.0)], {"grown_m": 10.0}, [(JO, [2.0])]),
        ([(0.0, 29.5, 2.0, 2.0)], {"grown_m": 10.0}, []),
        ([(0.0, 39.95, 2.0, 2.0)], {}, [(JO, [2.0])]),
        ([(0.0, 39.5, 2.0, 2.0)], {}, []),
        # Ground that rises 1 m from 55 m east on, and ground that nobody knows there, or anywhere.
        ([(0.0, 100.0, 2.0, 2.0)], {"ground_m": 301.0}, [(JO, [1.0])]),
        ([(0.0, 100.0, 2.0, 2.0)], {"ground_m": np.nan}, [(JO, [2.0])]),
        ([(56.0, 100.0, 2.0, 2.0)], {"ground_m": np.nan}, [(JO, [np.inf])]),
        ([(0.0, 100.0, 2.0, 2.0)], {"things": []}, []),
        (
            [(0.0, 50.0, 2.0, 2.0), (0.0, 100.0, 3.0, 3.0)],
            {"things": [thing(west_m=70.0, east_m=80.0, name="A"), thing(name="B")]},
            [("A", [np.inf, 3.0]), ("B", [2.0, 3.0])],
        ),
    ],
)
def test_the_least_height_over_each_thing(ways, given, found, monkeypatch):
    known = low_over(monkeypatch, *ways, **given)
    assert [name for name, _ in known] == [name for name, _ in found]
    # A thing is grown by 10 cm: on such slopes by 4 mm of height.
    assert [over for _, over in known] == [pytest.approx(over, abs=0.005) for _, over in found]


def test_without_a_ground_nothing_is_low():
    flight = SimpleNamespace(beneath="beneath")
    loss = SimpleNamespace(waiting_m=np.ones(1), corner_x_m=np.zeros((1, 4)), corner_y_m=np.zeros((1, 4)))
    assert not list(rule.low_over(SimpleNamespace(ground=None), flight, (loss, WAIT), [thing()], 0.0))


# ---- what is told


@pytest.mark.parametrize(
    ("below", "high_m"),
    [(Below.PEOPLE, 2.5), (Below.SUBJECT, 2.5), (Below.VEHICLES, 4.2), (Below.ROAD, 4.2)],
)
def test_how_high_somebody_is(below, high_m):
    assert height_m(thing(below)) == high_m


@pytest.mark.parametrize(
    ("below", "over", "doubt_m", "assumed", "mark", "title"),
    [
        (Below.PEOPLE, {5: 2.4}, 3.0, False, STOP, "flies into people"),
        (Below.PEOPLE, {5: 2.4}, 0.0, True, OPEN, "may fly into people"),
        (Below.PEOPLE, {5: 2.6}, 3.0, False, ACT, "may fly into people"),
        (Below.PEOPLE, {5: 5.4}, 3.0, False, ACT, "may fly into people"),
        (Below.PEOPLE, {5: 5.6}, 3.0, False, None, None),
        (Below.PEOPLE, {5: 2.6}, 0.0, False, None, None),
        (Below.PEOPLE, {5: 5.4, 7: 2.0}, 3.0, False, STOP, "flies into people"),
        (Below.PEOPLE, {5: 2.4, 6: 1.0}, 3.0, False, STOP, "flies into people"),
        (Below.PEOPLE, {5: 1.0, 6: 2.4}, 3.0, False, STOP, "flies into people"),
        (Below.PEOPLE, {5: 5.4, 6: 3.0}, 3.0, False, ACT, "may fly into people"),
        (Below.PEOPLE, {5: 3.0, 6: 5.4}, 3.0, False, ACT, "may fly into people"),
        (Below.ROAD, {5: 4.1}, 3.0, False, ACT, "flies through where people may be"),
        (Below.ROAD, {5: 4.1}, 0.0, True, ACT, "may fly through where people may be"),
        (Below.ROAD, {5: 4.3}, 3.0, False, None, None),
    ],
)
def test_what_is_told_of_a_height(below, over, doubt_m, assumed, mark, title):
    case, loss = CASE, attrs.evolve(complete().flight.loss)
    found = _told(
        case, complete().track, (loss, WAIT), thing(below), row(np.inf, over), doubt_m, assumed=assumed
    )
    assert (found and found.mark) is mark
    if found:
        assert found.title == f"On lost link it {title}"
        lowest = min(over, key=over.get)
        assert found.numbers == {"over_ground_m": over[lowest], "height_m": height_m(thing(below))}
        assert found.from_m <= complete().track.distance_m[lowest] <= found.to_m
        assert ("as nobody" in found.message or "that is" in found.message) is assumed


def test_under_the_ground_it_is_not_said_to_be_over_it():
    found = _told(
        CASE, complete().track, (complete().flight.loss, WAIT), thing(), row(np.inf, {5: -1.0}), 0.0
    )
    assert found.mark is STOP
    assert ", 0 ft over the ground over JO (INVENTED); only then it" in found.message
    low = _told(CASE, complete().track, (complete().flight.loss, WAIT), thing(), row(np.inf, {5: 0.5}), 0.0)
    # Half a metre is 1.6 ft, rounded down.
    assert ", 1 ft over the ground over" in low.message


def into(monkeypatch, low, fast=(), *, action=BACK, reached=(), told=(), home=(), **without):
    """What is told: `low` are the things flown low over, `fast` those of each way as fast as it may fly."""
    asked = []

    def low_over_of(_mapped, _flight, part, things, doubt_m):
        loss, way = part
        if way is WAIT:
            asked.append((loss.name, [one.called for one in things], doubt_m))
            names = low if loss.name == "said" else fast[int(loss.name)]
        else:
            assert (way, action, doubt_m) == (_HOME, BACK, 3.0)
            names = home
        return [(k, f"{loss.name} over {one.called}") for k, one in enumerate(things) if one.called in names]

    monkeypatch.setattr(rule, "vertical_doubt_m", lambda *_: 3.0)
    monkeypatch.setattr(rule, "matters", lambda one: one.called != "nobody")
    monkeypatch.setattr(rule, "low_over", low_over_of)
    monkeypatch.setattr(rule, "reached", lambda _flight, _loss, one: np.array([False, one.called in reached]))
    monkeypatch.setattr(
        rule,
        "_told",
        lambda _c, _t, _p, one, over, doubt_m, *, assumed=False: (
            None if one.called in told else (over, doubt_m, assumed)
        ),
    )
    monkeypatch.setattr(rule, "by_category", lambda _case, _thing, found: found)
    does = SimpleNamespace(action=action)
    loss = SimpleNamespace(name="said", failsafe=does)
    every = [thing(name=name) for name in ("A", "B", "nobody")]
    flight = {
        "loss": loss,
        "beneath": SimpleNamespace(things=every),
        "fast_losses": [SimpleNamespace(name=str(k), failsafe=does) for k in range(len(fast))],
    }
    flight |= {key: None for key in ("loss", "beneath") if key in without}
    case = {"flight": SimpleNamespace(**flight), "track": "track", "mapped": "map", "plan": "plan"}
    case |= {key: None for key in ("flight", "track", "mapped") if key in without}
    return list(flies_into(SimpleNamespace(**case))), asked


def test_each_thing_is_told_once_and_what_is_given_before_what_may_be(monkeypatch):
    found, asked = into(monkeypatch, ["A", "nobody"], [["A", "B"]])
    assert found == [("said over A", 3.0, False), ("0 over B", 0.0, True)]
    assert asked == [("said", ["A", "B"], 3.0), ("0", ["A", "B"], 0.0)]
    # On its way home, too; what it flies into before is told already.
    assert into(monkeypatch, ["A"], home=["A", "B"])[0] == [
        ("said over A", 3.0, False),
        ("said over B", 3.0, False),
    ]
    assert into(monkeypatch, ["A"], [["A"]], told=["A"])[0] == []
    assert into(monkeypatch, ["A", "B"])[0] == [("said over A", 3.0, False), ("said over B", 3.0, False)]


@pytest.mark.parametrize(("action", "told"), [(BACK, ["A"]), (LAND, [])])
def test_of_what_comes_down_on_somebody_by_its_action_that_is_told(action, told, monkeypatch):
    found, _ = into(monkeypatch, ["A"], action=action, reached=["A"])
    assert found == [(f"said over {name}", 3.0, False) for name in told]
    found, _ = into(monkeypatch, ["A"], action=action, reached=["B"])
    assert found == [("said over A", 3.0, False)]


@pytest.mark.parametrize("without", ["flight", "track", "mapped", "loss", "beneath"])
def test_where_nothing_is_known_of_it_nothing_is_told(without, monkeypatch):
    assert into(monkeypatch, ["A"], **{without: True}) == ([], [])


@pytest.mark.parametrize(
    ("margin_m", "landed", "rows"),
    [(4.9, None, [0, 1]), (5.0, None, []), (1.0, [False, True], [0])],
)
def test_which_ways_home_may_be_as_low(margin_m, landed, rows):
    """All of what clears by less may be; what has landed flies none."""
    places = {name: np.zeros((3, 4)) for name in ("corner_x_m", "corner_y_m")}
    places["corner_x_m"][2, 3] = np.nan
    down = None if landed is None else np.array([*landed, False])
    loss = SimpleNamespace(margin_m=margin_m, landed=down, **places)
    assert _low_rows(loss, _HOME, 5.0).tolist() == rows
