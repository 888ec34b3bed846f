"""The path carries the pattern of the heaviest mark on each stretch."""

import itertools

import attrs
import pytest

from planner.drawing.path_pattern import Pattern, stretches
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.verdict import Verdict
from tests.briefing import made


def finding(mark, from_m, to_m):
    return Finding("rule", mark, Basis.LAW, "title", "message", "source", "", from_m, to_m)


def pattern_at(parts, at_m):
    (found,) = {part.pattern for part in parts if part.from_m < at_m < part.to_m}
    return found


def drawn(findings, permissions=()):
    answer = made.assessment(Verdict.READY)
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


def test_without_a_path_there_is_nothing_to_draw():
    answer = made.assessment(Verdict.READY, made.plan(path=()))
    assert stretches(answer) == ()
