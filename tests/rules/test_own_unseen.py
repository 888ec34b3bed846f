"""The pilot's own limit for how long something thin may hide the aircraft, and the call that ends it.

No rule knows such a limit; that it lasts no longer than the observer's call LOST waits is the project's own.
"""

import re

import attrs
import pytest

from planner.assess import assess
from planner.briefing.calls import calls_of
from planner.briefing.check_json import check_json
from planner.plan.sheet import CallTimes, SheetNotes
from planner.rules.finding import Basis, Mark
from planner.rules.sight_axis import sight_axis
from planner.sight.along import GRAVEST_FIRST, Sight
from planner.world.terrain import SurfaceKind
from tests import worlds
from tests.rules.test_sight_rules import BEHIND, found, wall
from tests.worlds import plan, world

QUICKLY = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=15.0)) for one in BEHIND)


@pytest.mark.parametrize(
    ("surface", "own_s", "mark"),
    [
        (SurfaceKind.SURFACE, None, Mark.STOP),
        (SurfaceKind.SURFACE, 4.5, Mark.ACT),
        (SurfaceKind.SURFACE, 3.0, Mark.STOP),
        (SurfaceKind.BARE_EARTH, 4.5, Mark.STOP),
    ],
)
def test_an_own_limit_holds_for_moments_behind_trees_never_for_the_ground(surface, own_s, mark):
    """60 m at 15 m/s take 4 s; that any limit in seconds exists is the pilot's own word, no rule."""
    ground = attrs.evolve(worlds.terrain(wall), surface=surface)
    answer = assess(plan(path=QUICKLY, own_unseen_s=own_s), world(terrain=ground))
    finding = found(answer, "hidden-from-crew")[0]
    assert finding.mark is mark
    assert (finding.basis is Basis.OWN_LIMIT) is (mark is Mark.ACT)


@pytest.mark.parametrize(
    ("own_s", "lost_s", "mark"),
    [
        (4.5, None, Mark.ACT),
        (4.5, 5.0, Mark.ACT),
        (4.5, 3.0, Mark.STOP),
        (60.0, 20.0, Mark.ACT),
        (60.0, 3.9, Mark.STOP),
    ],
)
def test_no_own_limit_outlasts_the_call_that_lands_it(own_s, lost_s, mark):
    """60 m at 15 m/s take 4 s; who has not seen it for as long as LOST waits has it land (own calls)."""
    ground = attrs.evolve(worlds.terrain(wall), surface=SurfaceKind.SURFACE)
    sheet = SheetNotes(calls=CallTimes(lost_s=lost_s)) if lost_s else None
    answer = assess(plan(path=QUICKLY, own_unseen_s=own_s, sheet=sheet), world(terrain=ground))
    assert found(answer, "hidden-from-crew")[0].mark is mark


def test_however_long_the_call_waits_an_own_limit_ends_where_it_does_by_default():
    """60 m at 11 m/s take 5.5 s."""
    slower = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=11.0)) for one in BEHIND)
    ground = attrs.evolve(worlds.terrain(wall), surface=SurfaceKind.SURFACE)
    sheet = SheetNotes(calls=CallTimes(lost_s=20.0))
    answer = assess(plan(path=slower, own_unseen_s=9.0, sheet=sheet), world(terrain=ground))
    (stop,) = found(answer, "hidden-from-crew")
    assert stop.mark is Mark.STOP
    landed = dict(calls_of(None))["LOST"]
    (waits_s,) = re.findall(r"Not seen after ([\d.]+) s: LAND", landed)
    assert f"counts for {waits_s} s at the most" in stop.message


def test_within_the_own_limit_it_is_a_kind_of_its_own_everywhere_and_hides_nothing_graver():
    ground = attrs.evolve(worlds.terrain(wall), surface=SurfaceKind.SURFACE)
    charts = world(terrain=ground)
    answer = assess(plan(path=QUICKLY, own_unseen_s=4.5), charts)
    told = check_json(answer)["sight"]
    assert set(told["reason"]) == {"hidden-within-own-limit"}
    assert set(told["seen"]) == {False}
    assert {GRAVEST_FIRST[k] for k in sight_axis(answer.case).grave} == {Sight.BRIEFLY_HIDDEN}
    # A range not tried there stays not known: the own limit is about what stands in the way.
    crew = tuple(attrs.evolve(member, tried_ranges=()) for member in plan().crew)
    untried = assess(plan(path=QUICKLY, own_unseen_s=4.5, crew=crew), charts)
    assert set(check_json(untried)["sight"]["reason"]) == {"untried"}
    assert {finding.mark for finding in found(untried, "distance-not-tried")} == {Mark.UNKNOWN}
    # No limit: hidden.
    assert set(check_json(assess(plan(path=BEHIND), charts))["sight"]["reason"]) == {"hidden"}
