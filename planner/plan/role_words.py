"""What the people of a flight are called.

"Remote pilot" is the word of 14 CFR part 107, where it takes a certificate; 49 USC 44809 knows none, and who
flies for recreation is the pilot.
"""

from types import MappingProxyType
from typing import Final

from planner.plan.crew import CrewMember, Role
from planner.plan.model import Purpose

_WORDS: Final = MappingProxyType(
    {
        Role.REMOTE_PILOT: "pilot",
        Role.PERSON_AT_CONTROLS: "person at the controls",
        Role.OBSERVER: "observer",
        Role.SPECTATOR: "spectator",
    }
)


def role_words(role: Role, purpose: Purpose | None) -> str:
    """Return what somebody does, in words: 'pilot', under Part 107 'remote pilot'."""
    words = _WORDS[role]
    return f"remote {words}" if role is Role.REMOTE_PILOT and purpose is Purpose.PART_107 else words


def name_or_role(member: CrewMember, purpose: Purpose | None) -> str:
    """Return somebody's name, or what they do where they have none."""
    return member.name or role_words(member.role, purpose)
