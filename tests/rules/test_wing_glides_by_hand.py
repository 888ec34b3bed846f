"""How near people are as a wing may glide to, or circle over: heights, places and speeds put in by hand (m).

Ten times as far as it is high is no long glide (common practice). 15 m/s banked 30 degrees turn in
15^2 / (9.80665 tan 30) = 39.74 m, so a circle is 79.5 m wide; a place is known to 7 m (check value 8.4).
"""

import math
from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.plan.aircraft import LinkLossAction
from planner.rules import wing_glides as rule

LAND, BACK = LinkLossAction.LAND, LinkLossAction.RETURN_FIXED
NAN = math.nan
CREW = Below.CREW


def thing(name="JO (INVENTED)", below=Below.PEOPLE, west_m=0.0):
    return Thing(below, name, shapely.box(west_m - 10.0, -10.0, west_m, 10.0))


def craft(cruise_mps=None):
    return SimpleNamespace(
        largest_dimension_m=0.0, performance=cruise_mps and SimpleNamespace(cruise_mps=cruise_mps)
    )


@pytest.fixture(autouse=True)
def _level_ground(monkeypatch):
    """Ground 300 m above the sea, a metre lower south of 0 m, unknown from 1 km east on."""

    def over(surfaces, x_m, y_m):
        assert surfaces == ("ground",)
        return np.where(x_m > 1_000.0, NAN, np.where(y_m < 0.0, 299.0, 300.0))

    monkeypatch.setattr(rule, "ground_over", over)


# ---- from a path


def loss_of(*ways):
    """Ways on lost link: each begins its action so far east, so high above 299 m, and so high over ground."""
    east, high, waited = (np.array(part, dtype=float) for part in zip(*ways, strict=True))
    return SimpleNamespace(
        corner_x_m=np.column_stack([east * NAN, east, east * NAN]),
        corner_y_m=np.zeros((len(east), 3)),
        corner_amsl_m=np.column_stack([high * NAN, 299.0 + high, high * NAN]),
        waited_agl_m=waited,
    )


def nearest(monkeypatch, *ways, speed_mps=15.0, ground="ground", what=None):
    monkeypatch.setattr(rule, "turn_speed_mps", lambda *_: speed_mps)
    case = SimpleNamespace(track="track", plan=SimpleNamespace(aircraft=craft()))
    found = rule._nearest(case, SimpleNamespace(ground=ground), ("flight", loss_of(*ways)), what or thing())
    return found and (round(found.away_m, 6), found.sample)


@pytest.mark.parametrize(
    ("east_m", "high_m", "waited_m", "met"),
    [
        (306.9, 30.0, 30.0, True),  # 300 m and 7 m
        (307.1, 30.0, 30.0, False),
        (86.4, 2.0, 2.0, True),  # 79.5 m and 7 m
        (86.6, 2.0, 2.0, False),
        # A metre over the ground, and lower, it has landed: it slides no farther than it glides.
        (86.4, 1.1, 1.1, True),
        (16.9, 1.0, 0.9, True),
        (17.1, 1.0, 0.9, False),
        # What is not known lets it circle, of its height, and of how low it has flown on.
        (86.4, 2.0, NAN, True),
        (86.4, NAN, 30.0, True),
        (86.6, NAN, 30.0, False),
        (NAN, 30.0, 30.0, False),
        # What has landed as low as that, or nobody knows how high, comes no farther.
        (6.9, 0.0, 0.5, True),
        (7.1, 0.0, 0.5, False),
        (7.1, NAN, 0.5, False),
    ],
)
def test_from_how_far_it_may_come(east_m, high_m, waited_m, met, monkeypatch):
    """The ground that counts is the lowest about people: its height is told above that."""
    found = nearest(monkeypatch, (east_m, high_m, waited_m))
    assert found == ((east_m, 0) if met else None)


def test_the_nearest_place_of_those_from_which_it_may_come(monkeypatch):
    low, high = (250.0, 20.0, 20.0), (300.0, 30.0, 30.0)
    assert nearest(monkeypatch, low, (320.0, 40.0, 40.0), high) == (300.0, 2)
    assert nearest(monkeypatch, (320.0, 40.0, 40.0), (306.0, 30.0, 30.0), (400.0, 90.0, 9.0)) == (306.0, 1)
    assert nearest(monkeypatch, low, low) is None


def test_where_nobody_knows_the_ground_it_may_circle(monkeypatch):
    far = thing(west_m=1_200.0)
    assert nearest(monkeypatch, (1_280.0, 30.0, 30.0), what=far) == (80.0, 0)
    assert nearest(monkeypatch, (1_300.0, 30.0, 30.0), what=far) is None
    assert nearest(monkeypatch, (80.0, 30.0, 30.0), ground=None) == (80.0, 0)
    assert nearest(monkeypatch, (90.0, 30.0, 30.0), ground=None) is None


# ---- from an area


def from_area(*near, high_m=(30.0,), cruise_mps=15.0, airspeed_mps=None, wind_mps=0.0, on_m=(0.0, 0.0)):
    """Whom it may come to from an area of such heights over 299 m: `near` are things, outside, ended on."""
    flight = SimpleNamespace(
        nearby=[SimpleNamespace(thing=what, apart_m=apart, ended_on=on) for what, apart, on in near],
        comes=SimpleNamespace(wait_m=on_m[0]),
        at_most=SimpleNamespace(wait_m=on_m[1]),
        airspeed_mps=airspeed_mps,
        wind_mps=wind_mps,
    )
    samples = SimpleNamespace(planned_amsl_m=299.0 + np.array(high_m))
    case = SimpleNamespace(
        area_flight=flight, area_samples=samples, plan=SimpleNamespace(aircraft=craft(cruise_mps))
    )
    found = list(rule._from_area(case, SimpleNamespace(ground="ground")))
    assert all(one.sample is None for one in found)
    return [(one.thing.called, one.away_m) for one in found]


@pytest.mark.parametrize(
    ("apart_m", "given", "met"),
    [
        (306.9, {}, True),
        (307.1, {}, False),
        (306.9, {"high_m": (5.0, NAN, 30.0)}, True),  # the highest that is known
        (86.4, {"high_m": (2.0,)}, True),
        (86.6, {"high_m": (2.0,)}, False),
        (86.4, {"high_m": (NAN,)}, True),
        (86.6, {"high_m": (NAN,)}, False),
        # Flown on to first: by what is given, or at the most.
        (356.9, {"on_m": (50.0, NAN)}, True),
        (357.1, {"on_m": (50.0, NAN)}, False),
        (356.9, {"on_m": (20.0, 50.0)}, True),
        (306.9, {"on_m": (NAN, NAN)}, True),
        # 20 m/s turn in 70.65 m, 18 m/s in 57.22 m.
        (148.2, {"high_m": (2.0,), "airspeed_mps": 20.0}, True),
        (148.4, {"high_m": (2.0,), "airspeed_mps": 20.0}, False),
        (148.2, {"high_m": (2.0,), "airspeed_mps": 20.0, "cruise_mps": None}, True),
        (121.4, {"high_m": (2.0,), "wind_mps": 3.0}, True),
        (121.5, {"high_m": (2.0,), "wind_mps": 3.0}, False),
        # Nothing is known, neither of its height nor of its speed.
        (6.9, {"high_m": (NAN,), "cruise_mps": None}, True),
        (7.1, {"high_m": (NAN,), "cruise_mps": None}, False),
    ],
)
def test_from_how_far_outside_an_area_it_may_come(apart_m, given, met):
    assert from_area((thing(), apart_m, False), **given) == ([("JO (INVENTED)", apart_m)] if met else [])


def test_over_ground_that_nobody_knows_nothing_is_added():
    for apart_m, number in ((6.9, 1), (7.1, 0)):
        far = thing(west_m=1_200.0), apart_m, False
        assert len(from_area(far, cruise_mps=None)) == number


def test_whom_of_those_about_an_area():
    near = [(thing("A"), 0.0, False), (thing("B"), 5.0, True), (thing("C", CREW), 5.0, False)]
    assert from_area(*near, (thing("D"), 9.0, False)) == [("A", 0.0), ("D", 9.0)]


@pytest.mark.parametrize("without", ["area_flight", "area_samples"])
def test_without_an_area_nobody(without):
    case = SimpleNamespace(**{"area_flight": SimpleNamespace(nearby=[]), "area_samples": "", without: None})
    assert list(rule._from_area(case, None)) == []


# ---- from the one or the other


def from_path(monkeypatch, things, met, straight=(), **without):
    """Whom it may come to from a path; `met` says how far from the first and from the faster loss each is."""
    monkeypatch.setattr(
        rule, "reached", lambda _flight, _loss, one: np.array([False, one.called in straight])
    )
    monkeypatch.setattr(rule, "_nearest", lambda _case, _mapped, flown, one: met.get((flown[1], one.called)))
    flight = {"loss": "said", "fast_losses": ["fast"], "beneath": SimpleNamespace(things=things)}
    flight |= dict.fromkeys(without)
    return list(rule._from_path(SimpleNamespace(flight=SimpleNamespace(**flight)), None))


def test_whom_of_those_about_a_path(monkeypatch):
    things = [thing("A"), thing("B"), thing("C", CREW), thing("D")]
    met = {(loss, name): f"{loss} {name}" for loss in ("said", "fast") for name in "ABC"}
    assert from_path(monkeypatch, things, met) == ["said A", "said B"]
    # As fast as it may fly counts where nobody said how fast; who is under it as it falls is told of.
    del met["said", "B"]
    assert from_path(monkeypatch, things, met) == ["said A", "fast B"]
    assert from_path(monkeypatch, things, met, straight=["A"]) == ["fast B"]
    assert from_path(monkeypatch, things, met, loss=True) == []
    assert from_path(monkeypatch, things, met, beneath=True) == []
    assert list(rule._from_path(SimpleNamespace(flight=None), None)) == []


def test_the_nearest_first_and_each_once(monkeypatch):
    monkeypatch.setattr(rule, "_from_path", lambda *_: [rule.Glided(thing("A"), 9.0, 3)])
    near = [rule.Glided(thing("B"), 5.0, None), rule.Glided(thing("A"), 7.0, None)]
    monkeypatch.setattr(rule, "_from_area", lambda *_: near)

    def told(action, mapped="map"):
        found = rule.glides_onto(SimpleNamespace(mapped=mapped), SimpleNamespace(action=action))
        return [(one.thing.called, one.away_m) for one in found]

    assert told(LAND) == [("B", 5.0), ("A", 7.0)]
    assert told(BACK) == []
    assert told(LAND, None) == []
