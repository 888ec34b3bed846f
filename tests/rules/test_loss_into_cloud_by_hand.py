"""A return on lost link and cloud: bases, ways and heights put in by hand (m).

That nobody sees an aircraft in cloud or above it: 14 CFR 107.31. Which of several bases and ways counts is
our own rule. Differences of heights.
"""

from types import SimpleNamespace

import numpy as np
import pytest

from planner.plan.aircraft import LinkLossAction
from planner.plan.model import Purpose
from planner.rules import loss_into_cloud as rule
from planner.rules.finding import Basis, Mark
from planner.rules.loss_into_cloud import returns_into_cloud, returns_near_cloud

BACK, LAND = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND


def cloud(base_m, *, is_ceiling=True):
    return SimpleNamespace(base_amsl_m=base_m, is_ceiling=is_ceiling, source="typed")


def told(monkeypatch, returns_m, clouds, flown_m=((300.0, 310.0),), *, action=BACK, waived=False, **craft):
    found = list(
        returns_into_cloud(
            made(monkeypatch, returns_m, clouds, flown_m, action=action, waived=waived, **craft)
        )
    )
    return [one.numbers["above_base_m"] for one in found], "".join(one.message for one in found)


def made(monkeypatch, returns_m, clouds, flown_m, *, action=BACK, waived=False, waives=(), **craft):
    flown = [SimpleNamespace(planned_amsl_m=np.array(one)) for one in flown_m]
    losses = [(SimpleNamespace(highest_amsl_m=np.array(one)), True) for one in returns_m]
    monkeypatch.setattr(rule, "flown_through", lambda _case: flown)
    monkeypatch.setattr(rule, "losses_of", lambda _case: losses)
    monkeypatch.setattr(rule, "waives_sight", lambda _case: waived)
    monkeypatch.setattr(rule, "does", lambda _plan, _action: "returns")
    link_loss = None if action is None else SimpleNamespace(action=action)
    monkeypatch.setattr(rule, "weather_waived", lambda _case, paragraph: paragraph in waives)
    plan = SimpleNamespace(
        aircraft=craft.get("aircraft", SimpleNamespace(link_loss=link_loss)),
        purpose=craft.get("purpose", Purpose.PART_107),
    )
    weather = None if clouds is None else SimpleNamespace(clouds=clouds)
    return SimpleNamespace(weather=weather, plan=plan)


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


# ---- 14 CFR 107.51(d): 500 ft, 152.4 m, below cloud


def near(monkeypatch, highest_m, clouds, flown_m=((300.0,),), **changes):
    return list(returns_near_cloud(made(monkeypatch, [(highest_m, 0.0)], clouds, flown_m, **changes)))


@pytest.mark.parametrize(
    ("highest_m", "bases_m", "below_m"),
    [
        (350.0, (500.0,), 150.0),
        (347.6, (500.0,), None),  # 152.4 m
        (347.7, (500.0,), 152.3),
        (350.0, (490.0, 500.0), 140.0),
        (350.0, (500.0, 490.0), 140.0),
        (500.0, (500.0,), None),  # in it: that is told as such
        (350.0, (), None),
    ],
)
def test_a_return_that_does_not_keep_500_ft_below_cloud_is_told(highest_m, bases_m, below_m, monkeypatch):
    found = near(monkeypatch, highest_m, [cloud(one) for one in bases_m])
    assert [one.numbers["below_base_m"] for one in found] == (
        [] if below_m is None else [pytest.approx(below_m)]
    )
    for one in found:
        assert (one.rule, one.mark, one.basis) == ("link-loss-near-cloud", Mark.ACT, Basis.LAW)
        assert "107.51" in one.citation


def test_under_part_107_alone_and_where_the_flight_keeps_them(monkeypatch):
    low = [cloud(500.0)]
    assert not near(monkeypatch, 350.0, low, purpose=Purpose.RECREATIONAL)
    assert not near(monkeypatch, 350.0, low, ((300.0,), (347.7,)))
    assert not near(monkeypatch, 350.0, low, waives=("d",))
    assert near(monkeypatch, 350.0, low, waives=("c",))
    assert not near(monkeypatch, 350.0, low, action=LAND)
    assert not near(monkeypatch, 350.0, None)


def test_beside_cloud_that_covers_less_2000_ft_are_enough(monkeypatch):
    thin = cloud(480.0, is_ceiling=False)
    (act,) = near(monkeypatch, 350.0, [thin])
    # 130 m are 426.5 ft, rounded down; 480 m are 1,575 ft.
    assert (
        "up to 426 ft under cloud at 1,575 ft above the sea (typed); 500 ft below it are asked for."
        in act.message
    )
    assert act.message.endswith("Beside that cloud 2,000 ft are enough.")
    (act,) = near(monkeypatch, 490.0, [thin])
    assert "up to 33 ft above the base of cloud at 1,575 ft" in act.message
    # What covers most of the sky goes first.
    (act,) = near(monkeypatch, 400.0, [thin, cloud(500.0)])
    assert "2,000 ft" not in act.message


@pytest.mark.parametrize(
    ("high_m", "words"),
    [
        (479.5, "up to 1 ft under cloud at"),  # half a metre is 1.6 ft, rounded down
        (480.0, "up to 0 ft under cloud at"),
        (480.5, "up to 2 ft above the base of cloud at"),
    ],
)
def test_close_to_its_base_it_is_said_on_which_side(high_m, words, monkeypatch):
    thin = cloud(480.0, is_ceiling=False)
    (found,) = returns_near_cloud(made(monkeypatch, [(high_m,)], [thin], ((300.0,),)))
    assert words in found.message
