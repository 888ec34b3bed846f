"""Published hours in the plan's window: check_values 1.15 and 1.17 (standing A), and what is said of them.

The invented place lies near 150.2 W in the legal zone UTC-10 (Etc/GMT+10): the window of
`tests.worlds`, 12 June 2027 (a Saturday) 19:00 to 20:00 UTC, is 09:00 to 10:00 there.
"""

import pytest

from planner.assess import assess
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests import worlds


def judged(hours, kind, **plan):
    volume = worlds.volume(kind, name="INVENTED", schedule=hours)
    return assess(worlds.plan(**plan), worlds.world(airspace=(volume,)))


def rules_of(assessment):
    return {finding.rule for finding in assessment.findings}


# 1.15: tower closed, "other times Class G": no authorization; Class E at an airport still wants one (107.41).
@pytest.mark.parametrize(
    ("hours", "verdict", "rule"),
    [
        ("0600-2200; OTHER TIMES CLASS G", Verdict.PERMISSION_NEEDED, None),
        ("1200-2200; OTHER TIMES CLASS G", Verdict.READY, "hours-not-active"),
        ("1200-2200; OTHER TIMES CLASS E", Verdict.PERMISSION_NEEDED, None),
        ("1200-2200", Verdict.PERMISSION_NEEDED, "hours-unreadable"),
        ("AS THE TOWER PLEASES", Verdict.PERMISSION_NEEDED, "hours-unreadable"),
        ("BY NOTAM", Verdict.PERMISSION_NEEDED, "hours-by-notice"),
        ("", Verdict.PERMISSION_NEEDED, None),
    ],
)
def test_part_time_surface_area(hours, verdict, rule):
    assessment = judged(hours, AirspaceKind.CLASS_D)
    assert assessment.verdict is verdict
    assert {name for name in rules_of(assessment) if name.startswith("hours-")} == ({rule} if rule else set())


# 1.17: a restricted area while active is a stop without the agency's permission (107.45).
@pytest.mark.parametrize(
    ("hours", "verdict"),
    [
        ("0800 - 2200, DAILY", Verdict.MUST_CHANGE),
        ("1100 - 2200, DAILY", Verdict.READY),
        ("MON-FRI 0800-2200", Verdict.READY),
        ("MON-FRI 0800-2200; OTHER TIMES BY NOTAM", Verdict.MUST_CHANGE),
        ("SUNRISE - SUNSET", Verdict.MUST_CHANGE),
        ("SUNSET - SUNRISE", Verdict.READY),
        ("1100 - 2200, DALY", Verdict.MUST_CHANGE),
    ],
)
def test_restricted_area(hours, verdict):
    assert judged(hours, AirspaceKind.RESTRICTED).verdict is verdict


@pytest.mark.parametrize("kind", [AirspaceKind.ZONE_PROHIBITED, AirspaceKind.ZONE_PERMISSION])
def test_zones_close_unless_their_authority_permits(kind):
    assert judged("", kind).verdict is Verdict.MUST_CHANGE
    permission = worlds.record("INVENTED", 100.0, PermissionKind.AGENCY)
    assert judged("", kind, permissions=(permission,)).verdict is Verdict.READY
    assert judged("", AirspaceKind.ZONE_OPEN).verdict is Verdict.READY


@pytest.mark.parametrize(
    "kind", [AirspaceKind.TRAINING_ROUTE, AirspaceKind.PARACHUTE, AirspaceKind.GLIDER, AirspaceKind.WARNING]
)
def test_activity_of_others_is_a_caution_while_it_lasts(kind):
    assert "other-activity" in rules_of(judged("0800-2200", kind))
    assert "other-activity" not in rules_of(judged("1100-2200", kind))
    assert judged("0800-2200", kind).verdict is Verdict.READY


def test_the_note_names_the_text():
    (note,) = [
        f
        for f in judged("AS THE TOWER PLEASES", AirspaceKind.CLASS_D).findings
        if f.rule == "hours-unreadable"
    ]
    assert "AS THE TOWER PLEASES" in note.message
    assert note.mark is Mark.NOTE


@pytest.mark.parametrize(("hours", "read"), [("1200-2200 LCL", True), ("AS THE TOWER PLEASES", False)])
def test_hours_that_can_be_read_but_leave_open_what_follows_are_not_called_unreadable(hours, read):
    """Outside a tower's hours the airspace may be Class E or G: AIM 3-2-5 and 3-2-6 (from memory)."""
    found = judged(hours, AirspaceKind.CLASS_D).findings
    (note,) = [one for one in found if one.rule == "hours-unreadable"]
    assert ("can't be read" in note.message) is not read
    assert ("lies outside them" in note.message) is read
    assert "counts as active" in note.message


def test_hours_of_airspace_that_is_not_entered_are_not_told():
    far = worlds.volume(AirspaceKind.RESTRICTED, worlds.disc(500.0, (20_000, 0)), schedule="BY NOTAM")
    assert not [
        f for f in assess(worlds.plan(), worlds.world(airspace=(far,))).findings if f.rule.startswith("hours")
    ]
