"""The assessment for a terminal: verdict first, nothing wider than a screen."""

import pytest

from planner.briefing.report_text import report_text
from planner.plan.model import Plan
from planner.rules.verdict import Verdict
from planner.wording import CAUTIONS
from planner.world.world import World
from tests.briefing import made


@pytest.mark.parametrize("verdict", list(Verdict))
def test_verdict_comes_first_and_lines_stay_short(verdict):
    text = report_text(made.assessment(verdict))
    lines = text.splitlines()
    first = "INVENTED PLACE" if verdict is Verdict.READY else "INVENTED PLACE · DRAFT · NOT READY"
    assert lines[0] == first
    assert lines[1].startswith(f"{verdict.words}. ")
    assert max(map(len, lines)) <= 100
    assert " ".join(CAUTIONS) in " ".join(text.split())


def test_open_items_name_their_way():
    text = " ".join(report_text(made.assessment(Verdict.MUST_CHANGE)).split())
    assert "× Above the ceiling (must change, 1.18 km to 1.26 km)" in text
    assert "→ Lower point 4 by 31 ft. [14 CFR 107.51(b)]" in text
    assert "[ ] INVENTED FIELD (Class D): automated request; or further coordination request" in text
    assert "ask ahead: minutes as a rule (common practice)" in text
    assert "stadium events: missing" in text
    assert text.index("Above the ceiling") < text.index("Ask before flying") < text.index("Permissions")


def test_a_ready_plan_says_until_when():
    assert "Good until Wed 25 Nov 2026, 16:05 HST." in report_text(made.assessment(Verdict.READY))


def test_an_empty_plan_has_a_text_too():
    bare = made.assessment(
        Verdict.UNDETERMINED,
        Plan(),
        world=World(),
        findings=(),
        permissions=(),
        data=(),
        recheck=(),
        not_known=(),
    )
    text = report_text(bare)
    assert "Flight without a name · no time set" in text
    assert "What was found" not in text


def test_text_of_users_cannot_steer_the_terminal():
    text = report_text(made.assessment(made=made.plan(name="a\x1b[31m\u202eb\r\nc")))
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert "a[31mb c" in text
