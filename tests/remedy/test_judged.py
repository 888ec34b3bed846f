"""What a remedy leaves: the verdict on the whole plan then; what leaves nothing wrong comes first."""

import pytest

import planner.assess
from planner.assess import assess, assess_live
from planner.desk.fixing.attempts import Room, attempt
from planner.desk.fixing.comparison import comparison
from planner.desk.fixing.kinds import FixKind
from planner.desk.fixing.then_words import then_words
from planner.plan.ground import GroundSpot, LandStatus
from planner.remedy.judged import best_judged
from planner.remedy.lowest_change import lowest_changes
from planner.remedy.sink import SinkLimits
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.track.mapped import map_world
from tests.remedy.test_bend_and_sink import restricted
from tests.worlds import GROUND_M, at, disc, plan, points, sea_level, tower, world

WEST, EAST = (GroundSpot(at(east_m, 0), LandStatus.OWN) for east_m in (-900, 900))
ROOM = Room(6.0, 15.0, 50.0, 1.0)


def stops(answer):
    return {one.rule for one in answer.findings if one.mark is Mark.STOP}


def tried(charts, kind=FixKind.LEAST, **changes):
    return attempt(assess(plan(**changes), charts), kind, ROOM)


@pytest.fixture(scope="module")
def floored():
    """A restricted area from 60 m above ground over a tower of 56 m, crossed at 80 m."""
    charts = world(
        airspace=(restricted(disc(120), floor=sea_level(GROUND_M + 60.0)),),
        structures=(tower(56.0 / 0.3048, key="t"),),
    )
    return charts, {"path": points([(-900, 0, 80.0), (900, 0, 80.0)]), "launch": WEST, "landing": EAST}


def test_the_lowest_change_that_leaves_nothing_wrong_comes_before_a_lower_one_that_does(floored):
    """Lowering under the floor changes less and runs into the tower; going round changes more."""
    charts, flown = floored
    lowered = tried(charts, FixKind.LOWER, **flown)
    assert lowered.judged.then.verdict is Verdict.MUST_CHANGE
    least = tried(charts, **flown)
    assert least.outcome.title.startswith("Bend path")
    assert least.judged.then.verdict is Verdict.READY
    assert comparison(least.outcome, least.judged)[0] == ("Verdict on the whole plan", "Must change", "Ready")
    assert then_words(least.judged) == ""


def test_what_is_new_after_a_remedy_is_told_as_new(floored):
    charts, flown = floored
    lowered = tried(charts, FixKind.LOWER, **flown).judged
    (new,) = lowered.new_then
    assert new.rule not in stops(lowered.before)
    assert then_words(lowered) == f"New then: {new.title}."
    assert lowered.then.verdict is Verdict.MUST_CHANGE


def test_what_stays_open_after_a_remedy_is_told():
    """Launch and landing, too, stand in restricted airspace: no bending of the path helps there."""
    charts = world(airspace=(restricted(disc(100)),))
    bent = tried(charts, FixKind.BEND, path=points([(-900, 0, 50.0), (900, 0, 50.0)])).judged
    assert bent.then.verdict is Verdict.MUST_CHANGE
    assert "closed-airspace" in stops(bent.then)
    assert then_words(bent).startswith("Still open then: Enters ")


def test_a_plan_that_is_still_being_checked_is_not_judged_again():
    high = plan(path=points([(-500, 0, 140.0), (500, 0, 140.0)]))
    assert attempt(assess_live(high, world()), FixKind.LOWER, ROOM).judged is None
    assert attempt(assess(high, world()), FixKind.LOWER, ROOM).judged.then.verdict is Verdict.READY


def test_what_the_answer_has_laid_out_serves_the_plan_after_a_remedy(floored, monkeypatch):
    """Our own rule: what is kept changes the speed, never the answer."""
    charts, flown = floored
    answer = assess(plan(**flown), charts)
    remedies = lowest_changes(answer, SinkLimits(5.0, 20.0, 0.5), 50.0)
    laid = []

    def counted(*given, **more):
        laid.append(1)
        return map_world(*given, **more)

    monkeypatch.setattr(planner.assess, "map_world", counted)
    then = best_judged(answer, remedies).then
    assert laid == []
    alone = assess(then.plan, charts)
    assert laid == [1]
    assert (then.verdict, then.permissions) == (alone.verdict, alone.permissions)
    assert then.findings == alone.findings
