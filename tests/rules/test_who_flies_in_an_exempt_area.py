"""Who has to be inside an area where no Remote ID is needed: places are put in by hand.

14 CFR 89.115(b) (from memory): aircraft and whoever flies it stay in the area all the time. That a return by
itself has to end in it as well is our own reading of that.
"""

import attrs
import pytest

from planner.plan.aircraft import LinkLoss, LinkLossAction, RemoteId
from planner.plan.crew import Role
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.papers import remote_id
from planner.world.sites import ExemptArea
from tests.rules.test_papers_by_hand import LAW, TERM, WIDE, exempt, told, without_id
from tests.worlds import area, at, box, plan, record

INSIDE, OUTSIDE = at(10, 10), at(2_500, 0)
BACK, LAND = LinkLoss(LinkLossAction.RETURN_FIXED), LinkLoss(LinkLossAction.LAND)


def crew(*places):
    """Pilot, observer and whoever is at the controls, each at a place."""
    pilot, observer = plan().crew
    hands = attrs.evolve(pilot, key="hands", name="Hands", role=Role.PERSON_AT_CONTROLS)
    people = (attrs.evolve(pilot, name="Ash"), observer, hands)
    return tuple(attrs.evolve(one, place=place) for one, place in zip(people, places, strict=True))


@pytest.mark.parametrize(
    ("places", "outside"),
    [
        ((INSIDE, INSIDE, INSIDE), None),
        ((INSIDE, OUTSIDE, INSIDE), None),
        ((None, INSIDE, None), None),
        ((OUTSIDE, INSIDE, INSIDE), "where Ash stands lies"),
        ((INSIDE, INSIDE, OUTSIDE), "where Hands stands lies"),
        ((OUTSIDE, INSIDE, OUTSIDE), "where Hands stands and where Ash stands lies"),
    ],
)
def test_whoever_flies_has_to_be_in_it(places, outside):
    one = without_id(exempt(), crew=crew(*places))
    assert one.mark is (Mark.STOP if outside else Mark.NOTE)
    if outside:
        assert f"{outside} outside FIELD" in one.message


@pytest.mark.parametrize(
    ("spot", "loss", "mark"),
    [
        (OUTSIDE, BACK, Mark.STOP),
        (INSIDE, BACK, Mark.NOTE),
        (None, BACK, Mark.NOTE),
        (OUTSIDE, LAND, Mark.NOTE),
        (OUTSIDE, None, Mark.NOTE),
    ],
)
def test_where_it_returns_to_has_to_be_in_it(spot, loss, mark):
    craft = {"remote_id": RemoteId.NONE, "link_loss": loss}
    (one,) = told(remote_id, LAW, craft, world=exempt(), return_point=spot).values()
    assert one.mark is mark
    assert ("the return point lies outside FIELD" in one.message) is (mark is Mark.STOP)


def test_of_several_areas_one_that_holds_everybody_is_enough():
    small, wide = box(-700, -700, 700, 700), WIDE
    both = [ExemptArea("a", "SMALL", small, *TERM), ExemptArea("b", "WIDE", wide, *TERM)]
    people = crew(at(1_000, 0), INSIDE, INSIDE)
    for areas in (both, both[::-1]):
        assert "inside WIDE" in without_id({"exempt_areas": tuple(areas)}, crew=people).title
    assert "outside SMALL" in without_id({"exempt_areas": (both[0],)}, crew=people).message


def test_an_authorization_that_falls_short_is_told_with_where():
    away = area(box(3_000, 0, 3_500, 500), None).ring
    short, other = (
        record("part 89", None, PermissionKind.WAIVER, reference=name, ring=away) for name in ("W-1", "W-2")
    )
    one = without_id(permissions=(short, other))
    assert one.mark is Mark.STOP
    assert ("W-1" in one.message, "W-2" in one.message) == (True, False)


@pytest.mark.parametrize(
    ("term", "missing"),
    [((None, TERM[1]), "from when"), ((TERM[0], None), "until when"), ((None, None), "from when")],
)
def test_an_area_that_does_not_say_for_how_long_is_none_and_what_it_lacks_is_said(term, missing):
    """14 CFR part 89 subpart C: recognised for a term only."""
    one = without_id(exempt(term=term))
    assert one.mark is Mark.STOP
    assert f"FIELD, in which it lies, does not say {missing} it is exempt." in one.message
