"""A finding on lost link that rests on a figure nobody stated is no stop: our own rule (issue 4)."""

import attrs
import pytest

from planner.flight.failsafe import Failsafe
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.loss_assumed import by_what_is_said

FOUND = Finding(
    rule="x",
    mark=Mark.STOP,
    basis=Basis.SAFETY,
    title="Too low",
    message="It is low.",
    remedy="set it higher",
)
EVERYTHING = LinkLoss(
    LinkLossAction.RETURN_FIXED, delay_s=1.0, speed_mps=12.0, climb_mps=3.0, descent_mps=3.0
)

# What is taken where nothing is stated (common practice): 2 s, 10 m/s = 19.4 kt, 2.5 m/s up and 2 m/s down.
ASSUMED = [
    ("delay", "delay_s", "a delay of 2 s"),
    ("speed", "speed_mps", "an airspeed of 19 kt"),
    ("rate of climb", "climb_mps", "a climb of 492 ft/min (2.5 m/s)"),
    ("rate of descent", "descent_mps", "a descent of 394 ft/min (2.0 m/s)"),
]


@pytest.mark.parametrize(("name", "key", "words"), ASSUMED)
def test_a_stop_that_rests_on_what_is_assumed_is_open_and_says_what(name, key, words):
    failsafe = Failsafe.of(attrs.evolve(EVERYTHING, **{key: None}))
    told = by_what_is_said(FOUND, failsafe, (name,))
    assert told.mark is Mark.UNKNOWN
    assert told.message == f"It is low. Nobody said, so only assumed: {words}."
    assert told.title == "Too low, if it flies as assumed"
    assert told.remedy.endswith("or set it higher")
    for mark in (Mark.ACT, Mark.UNKNOWN, Mark.NOTE):
        assert by_what_is_said(attrs.evolve(FOUND, mark=mark), failsafe, (name,)).mark is mark
    # What it does not rest on weakens nothing.
    others = tuple(other for other, *_ in ASSUMED if other != name)
    assert by_what_is_said(FOUND, failsafe, others) is FOUND


def test_what_is_stated_stays_a_stop():
    names = tuple(name for name, *_ in ASSUMED)
    assert by_what_is_said(FOUND, Failsafe.of(EVERYTHING), names) is FOUND
