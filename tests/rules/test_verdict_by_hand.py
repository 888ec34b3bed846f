"""Verdict, reason and for how long it holds, from findings, needs and data put in by hand.

What the absence of a layer means, and what a verdict rests on, is the project's own.
"""

from datetime import timedelta
from types import SimpleNamespace

import attrs
import pytest

from planner.rules import judge
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.judge import in_order_of_weight, reason_of, recheck_of, valid_until
from planner.rules.unknowns import BATTERY, CLOUD, WIND, not_checked
from planner.rules.verdict import Verdict, verdict_of
from planner.world.currency import LayerState
from planner.world.layers import LayerName
from tests.rules.hand_made import complete
from tests.rules.test_data_by_hand import NEED, D, standing
from tests.worlds import START, area, box

CASE = complete()

# ---- what a verdict does not cover


def test_what_is_not_checked_is_named_until_it_is_given():
    current = {name for name in LayerName if name not in (LayerName.ROADS, LayerName.STADIUMS, D)}
    first, *lines = not_checked(current)
    assert first == "not checked, as no current data covers the place: stadiums, roads"
    assert not [line for line in not_checked(set(LayerName)) if line.startswith("not checked")]
    assert "cloud: not given, not measured, or over a station of unknown height; look up on the spot" in lines
    given = not_checked(set(LayerName), {WIND, CLOUD, BATTERY})
    assert not [line for line in given if line.startswith(("wind:", "cloud:", "battery"))]
    assert "age and true state of the battery: packs differ; watch the voltage under load" in given
    assert [line for line in given if line.startswith("wires: ")]
    # What grants or restricts is told by its finding.
    assert not [line for line in lines if line.startswith(("permissions", "notices"))]


# ---- verdicts


def marked(mark, title="t", rule="r"):
    return Finding(rule=rule, mark=mark, basis=Basis.LAW, title=title, message="")


@pytest.mark.parametrize(
    ("marks", "recorded", "verdict"),
    [
        ((), None, Verdict.READY),
        ((Mark.ACT, Mark.NOTE), None, Verdict.READY),
        ((), True, Verdict.READY),
        ((), False, Verdict.PERMISSION_NEEDED),
        ((Mark.UNKNOWN,), False, Verdict.UNDETERMINED),
        ((Mark.UNKNOWN, Mark.STOP), False, Verdict.MUST_CHANGE),
    ],
)
def test_the_gravest_decides(marks, recorded, verdict):
    needs = () if recorded is None else (attrs.evolve(NEED, record="anything" if recorded else None),)
    assert verdict_of([marked(one) for one in marks], needs) is verdict


def test_exit_codes_are_the_documented_ones():
    """README: 0 ready, 10 permission needed, 20 must change, 30 cannot be determined."""
    assert {one.value: one.exit_code for one in Verdict} == {
        "must-change": 20, "undetermined": 30, "permission-needed": 10, "ready": 0,
    }  # fmt: skip


def test_findings_come_heaviest_first_and_else_as_they_are():
    given = [
        marked(mark, str(k))
        for k, mark in enumerate((Mark.NOTE, Mark.STOP, Mark.ACT, Mark.UNKNOWN, Mark.STOP))
    ]
    assert [one.title for one in in_order_of_weight(given)] == ["1", "4", "3", "2", "0"]


def test_the_reason_is_the_first_finding_and_how_many_more_are_as_grave():
    stop, other, act = marked(Mark.STOP, "Too high"), marked(Mark.STOP, "Too fast"), marked(Mark.ACT, "Look")
    assert reason_of(Verdict.MUST_CHANGE, (stop, act), CASE) == "Too high."
    assert reason_of(Verdict.MUST_CHANGE, (stop, other, act), CASE) == "Too high. And 1 more."
    assert reason_of(Verdict.MUST_CHANGE, (stop, other, stop, act), CASE) == "Too high. And 2 more."
    nothing = marked(Mark.UNKNOWN, "Nothing is drawn", "nothing-drawn")
    assert reason_of(Verdict.UNDETERMINED, (nothing, marked(Mark.UNKNOWN)), CASE) == "Nothing is drawn."
    begun, more = marked(Mark.UNKNOWN, "One point", "path-of-one-point"), marked(Mark.UNKNOWN)
    without_area = attrs.evolve(CASE, plan=attrs.evolve(CASE.plan, area=None))
    assert reason_of(Verdict.UNDETERMINED, (begun, more), without_area) == "One point."
    boxed = attrs.evolve(CASE, plan=attrs.evolve(CASE.plan, area=area(box(-50, -50, 50, 50), None)))
    assert reason_of(Verdict.UNDETERMINED, (begun, more), boxed) == "One point. And 1 more."
    assert reason_of(Verdict.READY, (act,), CASE).startswith("Every rule that is judged here is kept")
    needs = tuple(
        attrs.evolve(NEED, airspace=name, record=record)
        for name, record in (("A", None), ("B", "anything"), ("C", None), ("A", None))
    )
    words = reason_of(Verdict.PERMISSION_NEEDED, (), attrs.evolve(CASE, needs=needs))
    assert words == "Ask first, then record the answer: A, C."


def test_a_ready_plan_holds_until_the_first_thing_ends():
    window = CASE.plan.window
    hour = timedelta(hours=1)

    def until(verdict=Verdict.READY, flight=CASE.plan, **expires):
        statuses = [
            standing(D, LayerState.OK, expires_utc=expires.get("restricting", START + 90 * hour)),
            standing(LayerName.ROADS, LayerState.OK, expires_utc=expires.get("advisory", START + 90 * hour)),
            standing(
                LayerName.SECURITY, LayerState.EXPIRED, expires_utc=expires.get("expired", START + 90 * hour)
            ),
            standing(
                LayerName.OBSTACLES, LayerState.OK, expires_utc=expires.get("granting", START + 90 * hour)
            ),
        ]
        return valid_until(attrs.evolve(CASE, data=tuple(statuses), plan=flight), verdict)

    assert until() == window.end_utc
    assert until(restricting=START + hour / 2) == START + hour / 2
    assert until(granting=START + hour / 2) == START + hour / 2
    assert until(advisory=START + hour / 2) == window.end_utc
    assert until(expired=START - hour) == window.end_utc
    # A check of notices counts for 24 hours (own choice).
    looked = attrs.evolve(CASE.plan.notices, at_utc=START - 23.5 * hour)
    assert until(flight=attrs.evolve(CASE.plan, notices=looked)) == START + hour / 2
    for verdict in set(Verdict) - {Verdict.READY}:
        assert until(verdict) is None
    timeless = attrs.evolve(CASE.plan, window=None)
    assert until(flight=timeless) is None
    assert recheck_of(attrs.evolve(CASE, plan=timeless)) == ()
    assert {one.at_utc for one in recheck_of(CASE)} == {START}


# ---- how far it has come


def test_how_far_the_rules_have_come_is_a_share_that_only_grows(monkeypatch):
    """Three rules: of one nothing is found, of the next two things, which may be long looked for."""
    found = (
        Finding("a", Mark.ACT, Basis.SAFETY, "A", "A.", ""),
        Finding("b", Mark.ACT, Basis.SAFETY, "B", "B.", ""),
    )
    monkeypatch.setattr(judge, "_FOLLOWING", [lambda _case: (), lambda _case: found, lambda _case: ()])
    shares = []
    told = judge.following_findings(CASE, SimpleNamespace(report=shares.append))
    assert sorted(one.rule for one in told) == ["a", "b"]
    assert shares == pytest.approx([0.0, 1 / 3, 1 / 3, 1 / 3, 2 / 3])
