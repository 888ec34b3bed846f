"""The path carries the pattern of the heaviest mark on each stretch."""

import itertools

import attrs
import pytest

from planner.assess import assess
from planner.drawing.path_pattern import of_the_whole, stretches
from planner.drawing.patterns import Pattern
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.model import Purpose
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.verdict import Verdict
from tests import worlds
from tests.briefing import made


def finding(mark, from_m, to_m):
    return Finding("rule", mark, Basis.LAW, "title", "message", "source", "", from_m, to_m)


def pattern_at(parts, at_m):
    (found,) = {part.pattern for part in parts if part.from_m < at_m < part.to_m}
    return found


def drawn(findings, permissions=()):
    answer = attrs.evolve(made.assessment(Verdict.READY), profile=None)
    return stretches(
        attrs.evolve(answer, findings=tuple(findings), permissions=permissions)
    ), answer.track.length_m


def test_heaviest_mark_wins_and_notes_weigh_nothing():
    marks = [
        (Mark.ACT, 500, 2000),
        (Mark.STOP, 1000, 1500),
        (Mark.UNKNOWN, 1400, 1800),
        (Mark.NOTE, 2500, 3000),
    ]
    parts, length_m = drawn(finding(*mark) for mark in marks)
    expected = {
        250: Pattern.CLEAR, 750: Pattern.ACT, 1200: Pattern.STOP, 1450: Pattern.STOP, 1600: Pattern.UNKNOWN,
        1900: Pattern.ACT, 2700: Pattern.CLEAR,
    }  # fmt: skip
    assert {at_m: pattern_at(parts, at_m) for at_m in expected} == expected
    assert parts[0].from_m == 0.0
    assert parts[-1].to_m == length_m
    assert all(one.to_m == other.from_m for one, other in itertools.pairwise(parts))


@pytest.mark.parametrize("at_m", [0.0, 1200.0])
def test_what_happens_at_one_place_can_still_be_seen(at_m):
    parts, length_m = drawn([finding(Mark.STOP, at_m, at_m)])
    seen_m = sum(part.to_m - part.from_m for part in parts if part.pattern is Pattern.STOP)
    assert seen_m >= 0.005 * length_m


def test_a_permission_not_on_record_is_something_to_do():
    parts, _ = drawn([], (made.NEED,))
    assert pattern_at(parts, 300.0) is Pattern.ACT
    assert pattern_at(parts, 1000.0) is Pattern.CLEAR


@pytest.mark.parametrize(
    ("marks", "whole"),
    [
        ([(Mark.STOP, None), (Mark.UNKNOWN, None)], Pattern.STOP),
        ([(Mark.STOP, 100), (Mark.UNKNOWN, None), (Mark.ACT, None)], Pattern.UNKNOWN),
        ([(Mark.STOP, 100), (Mark.ACT, None), (Mark.NOTE, None)], None),
        ([], None),
    ],
)
def test_the_line_cannot_show_what_lies_on_no_stretch_of_it(marks, whole):
    """Our own rule (the manual, "The profile"): the line shows places, words beside it the whole flight."""
    found = [finding(mark, at_m, at_m) for mark, at_m in marks]
    assert of_the_whole(found) is whole


def test_without_a_path_there_is_nothing_to_draw():
    answer = made.assessment(Verdict.READY, made.plan(path=()))
    assert stretches(answer) == ()


def test_every_place_that_is_met_is_hatched_not_only_the_one_a_finding_leads_to():
    """Out over a road and back: one finding, at the first crossing; by hand at 200 m from either end."""
    ends = (worlds.at(200, -80), worlds.at(200, 80))
    road = BeneathItem(BeneathKind.ROAD, DrawnAs.LINE, ends, moving_vehicles=True)
    path = worlds.points([(0, 0, 30.0), (400, 0, 30.0), (0, 20, 30.0)])
    answer = assess(worlds.plan(path=path, beneath=(road,)), worlds.world())
    (over,) = [one for one in answer.findings if one.rule == "over-people"]
    assert over.mark is Mark.STOP
    assert over.to_m < 300.0
    parts = stretches(answer)
    for at_m in (200.0, answer.track.length_m - 200.0):
        assert pattern_at(parts, at_m) is Pattern.STOP


def test_a_path_that_nobody_is_placed_to_see_cannot_be_judged():
    parts = stretches(assess(worlds.plan(crew=()), worlds.world()))
    assert {part.pattern for part in parts} == {Pattern.UNKNOWN}


@pytest.mark.parametrize("recorded", [(), (worlds.record("INVENTED CLASS-D", worlds.ft(200)),)])
@pytest.mark.parametrize("purpose", [*Purpose, None])
def test_above_a_map_value_or_a_record_it_is_long_dashed_as_the_findings_ask_and_stop_nothing(
    purpose, recorded
):
    """247 ft where 200 ft are given (49 USC 44809(a)(5), 14 CFR 107.41): to be asked for, by whatever route.

    That what is drawn and what is found agree is our own rule (issue 8, "one picture").
    """
    flown = {"path": worlds.points([(-500, 0, worlds.ft(247)), (500, 0, worlds.ft(247))])}
    charts = worlds.world(airspace=(worlds.volume(),), cells=(worlds.cell(200),))
    answer = assess(worlds.plan(purpose, permissions=recorded, **flown), charts)
    assert not [one for one in answer.findings if one.mark is Mark.STOP]
    assert answer.verdict is (Verdict.UNDETERMINED if purpose is None else Verdict.PERMISSION_NEEDED)
    assert {part.pattern for part in stretches(answer)} == {Pattern.ACT}
