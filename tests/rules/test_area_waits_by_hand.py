"""Where a flight anywhere in an area flies on to when its link is lost, put in by hand; what is not judged.

That a delay is flown out as the sticks said is common practice; what is told of it is the project's own.
"""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.area_waits import Waits
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.rules import area_loss_beneath, area_waits
from planner.rules.finding import Mark
from planner.rules.stretches import place_at
from tests import worlds
from tests.rules.test_area_links import returning
from tests.rules.test_area_links_by_hand import CASE, FLIGHT, HIGH, LAND, N, free, the

# ---- where it flies on to


MASTS = tuple(worlds.tower(100, (number, 0.0), key=f"{number}", name=f"M{number}") for number in range(7))


def waiting(reach_m, **of_it):
    frame = CASE.mapped
    mapped = attrs.evolve(frame, obstacles=attrs.evolve(frame.obstacles, structures=MASTS))
    return free(LinkLoss(LAND, 2.0), waits=Waits(reach_m, **of_it), case={"mapped": mapped})


@pytest.mark.parametrize(
    ("reach_m", "clearance_m", "told"),
    [
        (20.0, 0.1, None),
        # 3 m are 9.8 ft, rounded up.
        (20.0, -3.0, "up to 66 ft in the 2 s before its action begins, and M2 there stands 10 ft higher"),
        (20.0, 0.0, "M2 there stands 0 ft higher than that"),
        (0.5, -3.0, "up to 2 ft in the 2 s"),
        (0.0, -3.0, None),
        (math.nan, -3.0, None),
        (20.0, math.nan, None),
        (20.0, math.inf, None),
    ],
)
def test_what_the_top_flies_on_into_is_something_to_do(reach_m, clearance_m, told):
    one = the(area_waits.flies_on, waiting(reach_m, clearance_m=clearance_m, over=("structure", 2)))
    assert (one is None) is (told is None)
    if one:
        assert (one.rule, one.mark) == ("link-loss-flies-on", Mark.ACT)
        assert one.title == "On lost link it may hit M2"
        assert one.remedy.endswith("; or keep away from it")
        assert told in one.message
        assert one.numbers == {"clearance_m": clearance_m, "reach_m": reach_m}


def test_the_ground_has_no_name():
    one = the(area_waits.flies_on, waiting(20.0, clearance_m=-3.0))
    assert (one.rule, one.mark) == ("link-loss-too-low", Mark.STOP)
    assert one.title == "On lost link it hits the ground"
    assert one.remedy.endswith("shorter delay")
    blind = attrs.evolve(waiting(20.0, clearance_m=-3.0, over=("structure", 2)), mapped=None)
    assert the(area_waits.flies_on, blind).title == "On lost link it may hit the ground"


@pytest.mark.parametrize(
    ("which", "words"),
    [
        ((0,), "ends in M0."),
        ((0, 1, 2, 3, 4), "ends in M0, M1, M2, M3, M4."),
        ((0, 1, 2, 3, 4, 5), "ends in M0, M1, M2, M3, M4 and 1 more."),
        ((0, 1, 1, 2, 3, 4, 5, 6), "ends in M0, M1, M2, M3, M4 and 2 more."),
    ],
)
def test_five_of_what_a_low_flight_meets_are_named(which, words):
    one = the(area_waits.flies_on, waiting(20.0, low_over=tuple(("structure", k) for k in which)))
    assert one.mark is Mark.ACT
    assert one.message.endswith(words)


@pytest.mark.parametrize(("reach_m", "line"), [(0.0, False), (0.5, True), (20.0, True), (math.nan, False)])
def test_what_rises_beyond_the_edge_is_not_checked_where_it_flies_on(reach_m, line):
    said = area_waits.area_unjudged(free(waits=Waits(reach_m), charge=None))
    assert [one.startswith("low flight in the area") for one in said] == [True] * line
    assert area_waits.area_unjudged(attrs.evolve(CASE, area_flight=None)) == ()


# ---- over what of no height it returns


def returned_over(monkeypatch, met, structures=(), case=None):
    """Things by name, and from which places of the top's returns and of the ground's each is met."""
    shapes = {name: shapely.Point(number, 0) for number, name in enumerate(met)}
    drawn = [(name, shape) for name, shape in shapes.items() if name not in structures]
    charted = [(name, shape) for name, shape in shapes.items() if name in structures]
    monkeypatch.setattr(area_waits, "untold_cover", lambda *_given: drawn)
    monkeypatch.setattr(area_waits, "untold_structures", lambda *_given: charted)
    by_number = list(met.values())

    def meets(loss, shape):
        places = by_number[int(shape.x)][loss is not HIGH]
        return np.isin(np.arange(N), places)

    monkeypatch.setattr(type(HIGH), "meets", meets)
    return list(area_waits.over_cover_of_no_height(case or CASE))


def test_what_of_no_height_a_return_leads_over_is_told_once_where_it_is_first_met(monkeypatch):
    met = {"wood": ((3, 5), (1,)), "barn": ((), (4,)), "mast": ((), ()), "tree": ((2,), ())}
    wood, barn, tree = returned_over(monkeypatch, met, structures=("mast", "tree"))
    assert [one.mark for one in (wood, barn, tree)] == [Mark.ACT] * 3
    for one, name, places, place in ((wood, "wood", 0, 3), (barn, "barn", 1, 4), (tree, "tree", 0, 2)):
        assert name in one.message
        assert one.place == place_at(FLIGHT.places[places], place)


def test_where_no_return_from_an_area_is_judged_it_leads_over_nothing(monkeypatch):
    met = {"wood": ((3,), ())}
    assert returned_over(monkeypatch, met)
    for given in ({"area_flight": None}, {"mapped": None}, {"flight": object()}):
        assert not returned_over(monkeypatch, met, case=attrs.evolve(CASE, **given))


# ---- what is not judged


@pytest.mark.parametrize(
    ("loss", "waits", "losses", "words"),
    [
        (LinkLoss(LAND, 0.0), Waits(0.0), (), None),
        (LinkLoss(LAND, 0.5), Waits(7.0), (), None),
        (LinkLoss(LAND, 0.5), Waits(math.nan), (), "How far it flies on in the 0.5 s before its"),
        (returning(), Waits(0.0), FLIGHT.losses, None),
        (returning(), Waits(0.0), (), "The way on lost link, as its ground or the launch point is not known"),
        (
            LinkLoss(LinkLossAction.RETURN_HIGHEST, 0.0),
            Waits(0.0),
            FLIGHT.losses,
            "A return that begins before the area's top was flown.",
        ),
    ],
)
def test_what_is_given_and_not_judged_is_named_and_nothing_else(loss, waits, losses, words):
    case = free(loss, waits=waits, losses=losses)
    one = the(area_waits.not_judged, case)
    assert (one is None) is (words is None)
    if one:
        assert one.message.startswith(words)
        assert ";" not in one.message
        # A path has its own answers.
        assert the(area_waits.not_judged, attrs.evolve(case, flight=object())) is None


def test_where_nothing_flies_anywhere_in_an_area_nothing_is_named():
    for given in ({"area_flight": None}, {"plan": attrs.evolve(CASE.plan, aircraft=None)}):
        case = attrs.evolve(CASE, **given)
        for rule in (area_waits.not_judged, area_waits.flies_on, area_loss_beneath.over_people):
            assert not list(rule(case))
