"""The room a wing takes where its link is lost in an area and about a path, told as each is flown.

Ways, places and things are put in by hand; which of them counts is our own rule (issue 6).
"""

from types import SimpleNamespace

import attrs
import pytest

from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.rules import wing_room
from planner.rules.finding import Mark
from planner.rules.wing_room import _losses, _things, room_where_lost
from tests.rules.test_area_links_by_hand import FLIGHT as IN_AREA
from tests.rules.test_wing_turns_by_hand import case, thing

HOLD, BACK = LinkLossAction.HOLD, LinkLossAction.RETURN_FIXED


def test_of_an_area_the_return_from_its_top_counts_and_where_a_wing_holds():
    (top, low), (above, beneath) = IN_AREA.losses[:2], IN_AREA.places[:2]
    assert top is not low
    assert above is not beneath
    bare = attrs.evolve(IN_AREA, held=None)
    assert [one[:2] for one in _losses(case(), bare)] == [(top, above)]
    held = attrs.evolve(IN_AREA, losses=(), places=(), held=(beneath, low))
    assert list(_losses(case(), held)) == [(low, beneath, "in the area")]
    both = attrs.evolve(IN_AREA, held=(beneath, low))
    assert [one[0] for one in _losses(case(), both)] == [top, low]


def test_of_a_path_its_own_way_counts():
    base = case()
    assert list(_losses(base, base.flight)) == [(base.flight.loss, base.track, "")]
    assert not list(_losses(base, attrs.evolve(base.flight, loss=None)))


def test_who_is_about_the_path_and_who_about_the_area_are_asked_for_each():
    jo, al = thing("JO", 0.0, 0.0), thing("AL", 0.0, 0.0)
    flight = case().flight
    assert _things(attrs.evolve(flight, beneath=attrs.evolve(flight.beneath, things=(jo,)))) == (jo,)
    assert _things(attrs.evolve(flight, beneath=None)) == ()
    about = attrs.evolve(IN_AREA, nearby=(SimpleNamespace(thing=al),))
    assert _things(about) == [al]


@pytest.mark.parametrize("flown", [{"flight"}, {"area_flight"}, {"flight", "area_flight"}, set()])
def test_path_and_area_are_both_asked_and_what_is_open_is_told_first(flown, monkeypatch):
    base = case()
    both = {"flight": base.flight, "area_flight": IN_AREA}
    marks = {base.flight: SimpleNamespace(mark=Mark.ACT), IN_AREA: SimpleNamespace(mark=Mark.UNKNOWN)}
    monkeypatch.setattr(wing_room, "_losses", lambda _case, flight: [(flight, None, "")])
    monkeypatch.setattr(wing_room, "_met", lambda _case, _flight, loss, *_given: marks[loss])
    found = list(
        room_where_lost(attrs.evolve(base, **{k: v if k in flown else None for k, v in both.items()}))
    )
    expected = "area_flight" if "area_flight" in flown else "flight"
    assert found == ([marks[both[expected]]] if flown else [])


@pytest.mark.parametrize(
    ("action", "assumed", "helps"),
    [(BACK, ("rate of climb",), True), (BACK, (), False), (HOLD, ("rate of climb",), False)],
)
def test_how_fast_it_climbs_helps_where_it_returns_and_nobody_said(action, assumed, helps):
    """What holds climbs nowhere; a rate that is given is not asked for."""
    base = case()
    failsafe = attrs.evolve(base.flight.loss.failsafe, action=action, assumed=assumed)
    near = attrs.evolve(base.flight.beneath, things=(thing("JO", -80.0, 200.0),))
    flight = attrs.evolve(base.flight, loss=attrs.evolve(base.flight.loss, failsafe=failsafe), beneath=near)
    craft = attrs.evolve(base.plan.aircraft, link_loss=LinkLoss(action, 1.0))
    plan = attrs.evolve(base.plan, aircraft=craft)
    (one,) = room_where_lost(attrs.evolve(base, flight=flight, plan=plan))
    assert one.remedy.endswith("or say how fast it climbs") is helps
