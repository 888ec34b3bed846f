"""Each purpose is pointed to its own law, and a plan that names none to both.

14 CFR part 107 and 49 USC 44809 (check_values 1.1, 1.5, 1.20 to 1.25; sections as read there).
"""

import pytest

from planner.plan.model import Purpose
from planner.rules import bibliography
from planner.rules.bibliography import (
    airspace_rule,
    give_way_rule,
    height_rule,
    notices_rule,
    sight_rule,
)
from planner.world.airspace import AirspaceKind


@pytest.mark.parametrize(
    ("rule", "part_107", "recreational"),
    [
        (height_rule, "14 CFR 107.51(b)", "49 USC 44809(a)(6)"),
        (airspace_rule, "14 CFR 107.41", "49 USC 44809(a)(5)"),
        (give_way_rule, "14 CFR 107.37(a)", "49 USC 44809(a)(4)"),
        (sight_rule, "14 CFR 107.31", "49 USC 44809(a)(3)"),
        (notices_rule, "14 CFR 107.49(a)", "49 USC 44809(a)(6)"),
    ],
)
def test_the_law_of_the_purpose_is_cited(rule, part_107, recreational):
    assert rule(Purpose.PART_107).startswith(part_107)
    assert "USC" not in rule(Purpose.PART_107)
    assert rule(Purpose.RECREATIONAL).startswith(recreational)
    assert "107" not in rule(Purpose.RECREATIONAL)
    unsaid = rule(None)
    assert part_107 in unsaid
    assert (recreational in unsaid) is (rule is not notices_rule)


@pytest.mark.parametrize(
    ("purpose", "kinds", "said"),
    [
        (Purpose.PART_107, {AirspaceKind.RESTRICTED}, "14 CFR 107.45; "),
        (Purpose.PART_107, {AirspaceKind.STADIUM}, "14 CFR 107.47; 14 CFR 91.145, 99.7"),
        (Purpose.PART_107, {AirspaceKind.RESTRICTED, AirspaceKind.STADIUM}, "14 CFR 107.45; 14 CFR 107.47; "),
        (Purpose.RECREATIONAL, {AirspaceKind.RESTRICTED}, f"{bibliography.RECREATIONAL_RESTRICTIONS}; "),
        (None, {AirspaceKind.RESTRICTED}, f"14 CFR 107.45; {bibliography.RECREATIONAL_RESTRICTIONS}; "),
        # Of a kind that nothing speaks of, all that closes is cited.
        (Purpose.PART_107, {AirspaceKind.OTHER}, bibliography.CLOSED_AIRSPACE),
        (Purpose.PART_107, set(), bibliography.CLOSED_AIRSPACE),
    ],
)
def test_what_closes_is_cited_by_purpose_and_kind(purpose, kinds, said):
    found = bibliography.closed_rule(purpose, kinds)
    assert found.startswith(said)
    assert ("107.47" in found) is ("107.47" in said)


@pytest.mark.parametrize(
    ("kind", "said", "other"),
    [
        # Extensions: check_values 1.13; other Class E is the statute's alone.
        (AirspaceKind.CLASS_E3, "AIM 3-2-6", "44809"),
        (AirspaceKind.CLASS_E4, "AIM 3-2-6", "44809"),
        (AirspaceKind.CLASS_E_OTHER, "49 USC 44809", "AIM"),
    ],
)
def test_what_only_the_authority_can_answer_is_cited_by_kind(kind, said, other):
    assert said in bibliography.inquiry_rule(kind)
    assert other not in bibliography.inquiry_rule(kind)
