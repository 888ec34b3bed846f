"""The line that is flown where it is not as drawn: heights of what is flown put in by hand.

From how far apart on it is drawn, and by whose rates, is the project's own.
"""

import attrs
import numpy as np
import pytest

from planner.plan.performance import Performance
from planner.rules import flown_line as module
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown_line import flown_line
from planner.track.followed import Followed
from tests.rules.hand_flown import complete, flown, row

PLANNED_M = complete().track.planned_amsl_m
LAST = len(PLANNED_M) - 1


@pytest.fixture
def asked(monkeypatch):
    """What is flown, by how far it is above and below the plan, and by whose word it was asked."""
    made = {"above": {}, "below": {}, "words": []}

    def flown_as(_case, word):
        made["words"].append(word)
        if made["above"] is None:
            return None
        return Followed(PLANNED_M + row(0.0, made["above"]), PLANNED_M - row(0.0, made["below"]))

    monkeypatch.setattr(module, "flown_as", flown_as)
    monkeypatch.setattr(module, "own_word", lambda *_given: "rates")
    return made


def told(rule):
    return Finding(rule, Mark.STOP, Basis.SAFETY, "Title", "What it does.", "common practice")


@pytest.mark.parametrize(
    ("above", "below", "off", "joined"),
    [
        ({5: 1.1, 6: 0.9, 10: 3.0}, {7: 1.1}, {5: 1.1, 7: -1.1, 10: 3.0}, {4, 6, 8, 9, 11}),
        ({5: 1.1}, {5: 1.1}, {5: 1.1}, {4, 6}),
        ({0: 2.0}, {LAST: 2.0}, {0: 2.0, LAST: -2.0}, {1, LAST - 1}),
        ({5: 2.0, 6: 2.0}, {}, {5: 2.0, 6: 2.0}, {4, 7}),
        ({5: 2.0, 6: np.nan}, {6: np.nan}, {5: 2.0}, {4, 6}),
    ],
)
def test_it_leaves_the_path_where_it_is_a_metre_apart_and_comes_back_beside(above, below, off, joined, asked):
    asked |= {"above": above, "below": below}
    expected = row(np.nan, {k: PLANNED_M[k] for k in joined} | {k: PLANNED_M[k] + m for k, m in off.items()})
    assert flown_line(complete(), ()) == pytest.approx(expected, nan_ok=True)


def test_what_is_flown_as_drawn_has_none(asked):
    asked |= {"above": {5: 0.9}, "below": {6: 0.9}}
    assert flown_line(complete(), ()) is None
    asked["above"] = {5: 2.0}
    assert flown_line(complete(), ()) is not None
    assert flown_line(attrs.evolve(complete(), track=None), ()) is None
    assert flown_line(None, ()) is None
    asked["above"] = None
    assert flown_line(complete(), ()) is None


@pytest.mark.parametrize(
    ("rules", "rates", "word"),
    [
        (("over-people", "ground-falls-too-fast"), {"descent_mps": 3.0, "climb_mps": 4.0}, "rates"),
        (("ground-rises-too-fast",), {"climb_mps": 4.0}, "rates"),
        (("ground-rises-too-fast",), {"descent_mps": 3.0}, "rates"),
        (("ground-rises-too-fast",), {}, None),
        (("over-people",), {"descent_mps": 3.0, "climb_mps": 4.0}, None),
        ((), {"descent_mps": 3.0, "climb_mps": 4.0}, None),
    ],
)
def test_straight_legs_go_by_rates_that_are_given_where_it_is_told_that_they_matter(
    rules, rates, word, asked
):
    flown_line(flown({"performance": Performance(**rates)}), [told(one) for one in rules])
    assert asked["words"] == [word]
