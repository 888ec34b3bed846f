"""Who and what lies on the straight way to the path, which is flown and not drawn; distances by hand."""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.plan.beneath import BeneathKind, DrawnAs
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.structures import Structure
from tests import worlds
from tests.rules.test_beneath_rules import finding, item, people
from tests.worlds import GROUND_M, at, terrain


def judged(*beneath, structures=(), launch=(0, -300)):
    """A path from 300 m north of the launch point, 40 m up."""
    path = worlds.points([(0, 0, 40), (400, 0, 40)], LegShape.STRAIGHT)
    spot = GroundSpot(at(*launch))
    plan = attrs.evolve(worlds.plan(path=path, launch=spot, landing=spot), beneath=beneath)
    return assess(plan, attrs.evolve(worlds.world(), structures=tuple(structures)))


@pytest.mark.parametrize(
    ("thing", "mark"),
    [
        (people(0, -150, BeneathKind.GATHERING, name="Fair (INVENTED)"), Mark.UNKNOWN),
        (people(0, -150), Mark.UNKNOWN),
        (people(60, -150), None),
        (people(0, -150, BeneathKind.CREW), None),
        (people(0, -150, under_cover=True), None),
    ],
)
def test_people_on_the_way_to_the_path_leave_the_answer_open(thing, mark):
    answer = judged(thing)
    found = finding(answer, "undrawn-way-over")
    assert (found.mark if found else None) is mark
    if found:
        assert answer.verdict is not Verdict.READY
        assert "300 m long" in found.message


@pytest.mark.parametrize(("height_m", "told"), [(25.0, True), (15.0, False)])
def test_what_stands_on_the_way_is_held_against_its_height_there(height_m, told):
    """Half way up to 40 m it is 20 m high; its near edge, 10 m before, is 18.7 m high."""
    hall = item(
        BeneathKind.BUILDING,
        DrawnAs.AREA,
        (-20, -160),
        (20, -160),
        (20, -140),
        (-20, -140),
        name="Hall (INVENTED)",
        height_m=height_m,
    )
    found = finding(judged(hall), "undrawn-way-over")
    assert (found is not None) is told
    if found:
        assert found.mark is Mark.ACT
        assert "Hall (INVENTED)" in found.message


@pytest.mark.parametrize(("east_m", "told"), [(0.0, True), (40.0, False)])
def test_a_charted_structure_on_the_way_counts_too(east_m, told):
    mast = Structure("M-1", "mast", at(east_m, -150), GROUND_M + 60.0, 60.0, 5.0, 3.0)
    found = finding(judged(structures=[mast]), "undrawn-way-over")
    assert (found is not None) is told


def test_a_path_that_begins_at_the_launch_point_leaves_nothing_undrawn():
    path_begin = judged(people(0, -150), launch=(0, 0))
    assert (
        finding(path_begin, "undrawn-way-over") is None
        or "landing" in finding(path_begin, "undrawn-way-over").title
    )


def test_unknown_ground_on_the_way_to_the_path_leaves_the_answer_open():
    """Nothing of a battery is said, so only the way itself can tell; under the path all ground is known."""
    gap = terrain(lambda x, y: np.where((y < -100) & (y > -200), np.nan, GROUND_M), cell_m=30.0)
    known = judged()
    answer = assess(known.plan, attrs.evolve(worlds.world(), terrain=gap))
    found = finding(answer, "way-not-drawn")
    assert found.mark is Mark.UNKNOWN
    assert "ground that is not known" in found.message
    assert answer.verdict is not Verdict.READY
    assert finding(known, "way-not-drawn") is None
