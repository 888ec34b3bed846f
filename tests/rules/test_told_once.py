"""Airspace close beside the flight, and closer beside what it does on lost link: told once.

Within 8 m, what a satellite fix may be off (GPS SPS Performance Standard 2020, from memory), of what is
closed the answer is open, within 20 m it is something to do: our own rule (`test_beside`). Distances by hand.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.performance import Performance
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.told_once import told_once
from planner.world.airspace import AirspaceKind
from tests.rules.test_beside_on_lost_link import RETURN, judged, told
from tests.worlds import area, box, plan, volume, world

BESIDE = "close-beside-airspace"


def over_area(away_m, action=LinkLossAction.LAND, kind=AirspaceKind.CLASS_D):
    """An area flown at 10 m/s at the most; what it does begins after a second: 10 m ahead of its edge."""
    beyond = volume(kind, box(100 + away_m, -300, 500, 300), name="BESIDE")
    flight = plan(path=(), area=area(box(-100, -100, 100, 100), AboveGround(30.0)))
    craft = attrs.evolve(
        flight.aircraft,
        performance=Performance(cruise_mps=8.0, highest_mps=10.0),
        link_loss=LinkLoss(action, 1.0),
    )
    answer = assess(attrs.evolve(flight, aircraft=craft), world(airspace=(beyond,)))
    return [one for one in answer.findings if one.rule == BESIDE]


@pytest.mark.parametrize("kind", [AirspaceKind.CLASS_D, AirspaceKind.RESTRICTED])
def test_an_area_beside_airspace_into_which_it_may_almost_come_down_is_told_once(kind):
    """14 m beside it is something to do; 4 m beside where it comes down is open."""
    (one,) = over_area(14.0, kind=kind)
    assert one.mark is Mark.UNKNOWN
    assert one.numbers["aside_m"] == pytest.approx(4.0, abs=0.1)
    assert one.message.startswith("Where the aircraft comes down by itself on lost link it may be")


def test_farther_away_the_area_alone_is_told():
    (one,) = over_area(18.9)
    assert (one.mark, one.numbers["aside_m"]) == (Mark.ACT, pytest.approx(18.9, abs=0.05))


def test_a_return_closer_than_the_path_is_no_less_open_for_it():
    """Its corner is 13.4 m beside the path's last leg, and some 7 m beside the way home from its end."""
    shut = volume(AirspaceKind.RESTRICTED, box(200, 305.6, 286.6, 360), name="SHUT")
    (one,) = told(judged(RETURN, shut), BESIDE)
    assert one.mark is Mark.UNKNOWN
    assert one.message.startswith("Its way home on lost link is 2")
    farther = volume(AirspaceKind.RESTRICTED, box(200, 309.6, 286.6, 360), name="SHUT")
    (one,) = told(judged(RETURN, farther), BESIDE)
    assert one.mark is Mark.ACT
    assert "the path is" in one.message


@pytest.mark.parametrize(
    ("kind", "ident", "titles"),
    [
        (AirspaceKind.CLASS_D, "", ("AIR (Class D)", "AIR (restricted area)")),
        (AirspaceKind.CLASS_E2, "", ("AIR (Class E2)", "AIR (restricted area)")),
        (AirspaceKind.PROHIBITED, "", ("AIR (prohibited area)", "AIR (restricted area)")),
        (AirspaceKind.RESTRICTED, "R-2", ("AIR (R-2)", "AIR (restricted area)")),
    ],
)
def test_two_airspaces_of_one_name_are_each_told(kind, ident, titles):
    """One is 15 m beside the area, and 5 m beside where it comes down; the other 19 m, on another side."""
    near = volume(kind, box(115, -300, 500, 300), name="AIR", key="near", ident=ident)
    other = volume(AirspaceKind.RESTRICTED, box(-500, -119, -119, 119), name="AIR", key="other")
    flight = plan(path=(), area=area(box(-100, -100, 100, 100), AboveGround(30.0)))
    craft = attrs.evolve(
        flight.aircraft,
        performance=Performance(cruise_mps=2.0, highest_mps=10.0),
        link_loss=LinkLoss(LinkLossAction.LAND, 1.0),
    )
    answer = assess(attrs.evolve(flight, aircraft=craft), world(airspace=(near, other)))
    told_of = {one.title.removeprefix("Close beside "): one for one in answer.findings if one.rule == BESIDE}
    assert [told_of[title].mark for title in titles] == [Mark.UNKNOWN, Mark.ACT]
    assert len(told_of) == 2


def finding(mark, title="A", rule=BESIDE, about=()):
    return Finding(
        rule=rule,
        mark=mark,
        basis=Basis.SAFETY,
        title=title,
        message="",
        citation="c",
        remedy="r",
        about=about,
    )


def test_only_what_is_said_of_the_same_airspace_falls_away_and_only_what_is_to_do():
    open_, act = finding(Mark.UNKNOWN), finding(Mark.ACT)
    assert told_once((act, open_)) == (open_,)
    assert told_once(iter((open_, act, act))) == (open_,)
    for other in (
        finding(Mark.ACT, title="B"),
        finding(Mark.ACT, about=("another of this name",)),
        finding(Mark.ACT, rule="close-beside-record"),
        finding(Mark.STOP),
        finding(Mark.UNKNOWN),
    ):
        assert told_once((other, open_)) == (other, open_)
    apart = finding(Mark.ACT, rule="x"), finding(Mark.UNKNOWN, rule="x")
    assert told_once(apart) == apart
    assert told_once((act, finding(Mark.STOP))) == (act, finding(Mark.STOP))
