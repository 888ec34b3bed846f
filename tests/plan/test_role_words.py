"""Who flies is called by the word of the law under which they fly.

Sources: "remote pilot" is the word of 14 CFR 107.12 and 107.64, where it takes a certificate; 49 USC 44809
speaks of the person operating the aircraft, and knows no remote pilot (both from memory).
"""

import pytest

from planner.plan.crew import CrewMember, Role
from planner.plan.model import Purpose
from planner.plan.role_words import name_or_role, role_words


@pytest.mark.parametrize(
    ("purpose", "words"),
    [(Purpose.PART_107, "remote pilot"), (Purpose.RECREATIONAL, "pilot"), (None, "pilot")],
)
def test_only_part_107_knows_a_remote_pilot(purpose, words):
    assert role_words(Role.REMOTE_PILOT, purpose) == words
    assert name_or_role(CrewMember("p", Role.REMOTE_PILOT), purpose) == words
    assert name_or_role(CrewMember("p", Role.REMOTE_PILOT, "Ash (invented)"), purpose) == "Ash (invented)"


@pytest.mark.parametrize("purpose", [None, *Purpose])
def test_each_other_role_is_called_the_same_for_each_purpose(purpose):
    others = [role_words(role, purpose) for role in Role if role is not Role.REMOTE_PILOT]
    assert others == ["person at the controls", "observer", "spectator"]
