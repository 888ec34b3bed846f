"""A return on lost link and cloud: bases, ways and heights put in by hand (m).

That nobody sees an aircraft in cloud or above it: 14 CFR 107.31. Which of several bases and ways counts is
our own rule. Differences of heights.
"""

from types import SimpleNamespace

import numpy as np
import pytest

from planner.plan.aircraft import LinkLossAction
from planner.rules import loss_into_cloud as rule
from planner.rules.loss_into_cloud import returns_into_cloud

BACK, LAND = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND


def cloud(base_m, *, is_ceiling=True):
    return SimpleNamespace(base_amsl_m=base_m, is_ceiling=is_ceiling)


def told(monkeypatch, returns_m, clouds, flown_m=((300.0, 310.0),), *, action=BACK, waived=False, **craft):
    flown = [SimpleNamespace(planned_amsl_m=np.array(one)) for one in flown_m]
    losses = [(SimpleNamespace(highest_amsl_m=np.array(one)), True) for one in returns_m]
    monkeypatch.setattr(rule, "flown_through", lambda _case: flown)
    monkeypatch.setattr(rule, "losses_of", lambda _case: losses)
    monkeypatch.setattr(rule, "waives_sight", lambda _case: waived)
    monkeypatch.setattr(rule, "does", lambda _plan, _action: "returns")
    link_loss = None if action is None else SimpleNamespace(action=action)
    plan = SimpleNamespace(aircraft=craft.get("aircraft", SimpleNamespace(link_loss=link_loss)))
    weather = None if clouds is None else SimpleNamespace(clouds=clouds)
    found = list(returns_into_cloud(SimpleNamespace(weather=weather, plan=plan)))
    return [one.numbers["above_base_m"] for one in found], "".join(one.message for one in found)


@pytest.mark.parametrize(
    ("returns_m", "bases_m", "above_m"),
    [
        ([(330.0, 340.0)], (335.0,), [5.0]),
        ([(340.0, 330.0), (320.0,)], (335.0,), [5.0]),
        ([(320.0,), (340.0, np.nan)], (335.0,), [5.0]),
        ([(330.0, 334.0)], (335.0,), []),
        ([(335.0,)], (335.0,), [0.0]),  # at the base it is in it, as the flight would be
        ([(340.0,)], (337.0, 335.0), [5.0]),
        ([(340.0,)], (335.0, 337.0), [5.0]),
        ([(336.0,)], (337.0, 335.0), [1.0]),
        ([(np.nan,)], (335.0,), []),
        ([()], (335.0,), []),
        ([], (335.0,), []),
    ],
)
def test_the_highest_return_counts_against_the_lowest_base(returns_m, bases_m, above_m, monkeypatch):
    assert told(monkeypatch, returns_m, [cloud(one) for one in bases_m])[0] == above_m


def test_cloud_that_covers_less_does_not_count(monkeypatch):
    thin = cloud(320.0, is_ceiling=False)
    assert told(monkeypatch, [(340.0,)], [thin])[0] == []
    assert told(monkeypatch, [(340.0,)], [thin, cloud(335.0)])[0] == [5.0]


@pytest.mark.parametrize(
    "flown_m", [((300.0, 336.0),), ((336.0, 336.0),), ((300.0,), (335.0,)), ((335.0, 1.0),)]
)
def test_of_a_flight_that_is_in_it_itself_that_is_told(flown_m, monkeypatch):
    assert told(monkeypatch, [(340.0,)], [cloud(335.0)], flown_m)[0] == []


def test_its_words(monkeypatch):
    _, words = told(monkeypatch, [(340.0,)], [cloud(335.0)])
    # 5 m are 16.4 ft, rounded up; 335 m are 1,099 ft.
    assert "the aircraft returns, up to 17 ft above the base of cloud at 1,099 ft above the sea" in words


def test_without_cloud_an_aircraft_or_a_return_nothing_is_told(monkeypatch):
    above = ([(340.0,)], [cloud(335.0)])
    assert told(monkeypatch, *above, action=LAND)[0] == []
    assert told(monkeypatch, *above, action=None)[0] == []
    assert told(monkeypatch, *above, aircraft=None)[0] == []
    assert told(monkeypatch, *above, waived=True)[0] == []
    assert told(monkeypatch, [(340.0,)], [])[0] == []
    assert told(monkeypatch, [(340.0,)], None)[0] == []
