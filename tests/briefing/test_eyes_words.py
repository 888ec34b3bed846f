"""Who watches and who scans, as the sheet says it: 14 CFR 107.33(c) asks for both (standing A)."""

import attrs
import pytest

from planner.briefing.eyes_words import eyes_words
from planner.plan.crew import CrewMember, Role, Task
from tests.worlds import plan

WATCH, SCAN = frozenset({Task.WATCH}), frozenset({Task.SCAN})


def crew(**tasks):
    return tuple(
        CrewMember(name, Role.OBSERVER if name != "ash" else Role.REMOTE_PILOT, name.title(), tasks=given)
        for name, given in tasks.items()
    )


@pytest.mark.parametrize(
    ("people", "words"),
    [
        (crew(ash=SCAN, wren=WATCH), "Wren watches the aircraft, Ash scans the sky."),
        (crew(ash=SCAN, wren=WATCH, finch=WATCH), "Wren and Finch watch the aircraft, Ash scans the sky."),
        (crew(wren=WATCH | SCAN), "Wren watches the aircraft and scans the sky, by turns."),
        (
            crew(wren=WATCH | SCAN, finch=WATCH | SCAN),
            "Wren and Finch watch the aircraft and scan the sky, by turns.",
        ),
        (crew(a=WATCH, b=WATCH, c=WATCH, d=SCAN), "A, B and 1 more watch the aircraft, D scans the sky."),
        (crew(ash=SCAN, wren=frozenset()), "Settle who watches the aircraft and who scans the sky."),
        (crew(ash=SCAN), ""),
        (
            (
                CrewMember("o", Role.OBSERVER, "", tasks=WATCH),
                CrewMember("p", Role.REMOTE_PILOT, "", tasks=SCAN),
            ),
            "The observer watches the aircraft, the remote pilot scans the sky.",
        ),
    ],
)
def test_the_sheet_says_who_does_which(people, words):
    assert eyes_words(attrs.evolve(plan(), crew=people)) == words
