"""The people of a flight and what they have tried."""

from datetime import date
from enum import StrEnum

import attrs

from planner.geo.place import Place
from planner.plan.bounds import TRIED_RANGE
from planner.plan.checks import bounded, not_empty


class Role(StrEnum):
    """What somebody does during the flight."""

    REMOTE_PILOT = "remote-pilot"
    PERSON_AT_CONTROLS = "person-at-controls"
    OBSERVER = "observer"
    SPECTATOR = "spectator"


class Contact(StrEnum):
    """How a crew member and the person at the controls talk."""

    BESIDE = "beside"
    RADIO = "radio"
    PHONE = "phone"


class Task(StrEnum):
    """What somebody does with their eyes: both are needed, and hard to do at once."""

    WATCH = "watch-the-aircraft"
    SCAN = "scan-the-sky"


@attrs.frozen
class TriedRange:
    """The distance at which an observer has really judged an aircraft's attitude.

    `light` is free text ("overcast noon", "low sun"), `distance_m` slant.
    `against_sun` says that it was tried looking toward the sun, `by_dark` that it was
    tried while the sun was down, by the aircraft's light; None: not said, so by day.
    """

    aircraft: str
    on: date
    light: str
    distance_m: float = attrs.field(converter=float, validator=bounded(TRIED_RANGE, "a tried range"))
    against_sun: bool = False
    by_dark: bool | None = None


@attrs.frozen
class CrewMember:
    """One person: `key` is unique within a plan; `place` is None until drawn; no `tasks`: not said."""

    key: str = attrs.field(validator=not_empty("the key of a crew member"))
    role: Role
    name: str = ""
    place: Place | None = None
    contact: Contact | None = None
    tried_ranges: tuple[TriedRange, ...] = ()
    tasks: frozenset[Task] = frozenset()

    @property
    def called(self) -> str:
        """What they are called in words: their name, or the key without its hyphens, like observer 1."""
        return self.name or self.key.replace("-", " ")
