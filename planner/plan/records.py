"""What the pilot has in hand: permissions, checks of notices."""

import re
from datetime import datetime
from enum import StrEnum

import attrs

from planner.errors import PlanError
from planner.geo.heights import Height
from planner.geo.place import Place
from planner.geo.window import in_utc
from planner.plan.checks import not_empty
from planner.plan.geometry import ring_fault

_SHA256 = re.compile(r"[0-9a-f]{64}")


class PermissionKind(StrEnum):
    """Kinds of permission that can be on record."""

    AUTHORIZATION = "airspace-authorization"
    FIXED_SITE_AGREEMENT = "fixed-site-agreement"
    AGENCY = "agency-permission"
    WAIVER = "waiver"


@attrs.frozen
class ScannedPaper:
    """A file that shows a permission: its name, never its path, and its SHA-256 in hex."""

    name: str = attrs.field(validator=not_empty("the name of a scanned paper"))
    sha256: str

    def __attrs_post_init__(self) -> None:
        if not _SHA256.fullmatch(self.sha256):
            raise PlanError("the SHA-256 of a scanned paper is not 64 small hexadecimal digits")


@attrs.frozen
class PermissionRecord:
    """A permission on record.

    `airspace` is the name of the airspace, site or rule it speaks of.
    `ring` bounds where it holds; None: all of that airspace. A `ceiling` of
    None says nothing about height and so covers none. `paper` is the scan of
    what was granted.
    """

    reference: str = attrs.field(validator=not_empty("the reference of a permission"))
    kind: PermissionKind
    airspace: str = attrs.field(validator=not_empty("the airspace of a permission"))
    ceiling: Height | None = None
    ring: tuple[Place, ...] | None = None
    valid_from_utc: datetime | None = None
    valid_to_utc: datetime | None = None
    conditions: str = ""
    paper: ScannedPaper | None = None

    def __attrs_post_init__(self) -> None:
        for name in ("valid_from_utc", "valid_to_utc"):
            moment = getattr(self, name)
            if moment is not None:
                object.__setattr__(self, name, in_utc(moment, "the validity of a permission"))
        if self.ring is not None:
            if len(self.ring) < 3:
                raise PlanError("the area of a permission has fewer than three corners")
            if fault := ring_fault(self.ring, "the area of a permission"):
                raise PlanError(fault, remedy="move its corners apart so that its edges don't cross")


@attrs.frozen
class NoticesChecked:
    """When, and by whom, notices and temporary restrictions were looked up."""

    at_utc: datetime
    by: str = attrs.field(validator=not_empty("who checked the notices"))

    def __attrs_post_init__(self) -> None:
        object.__setattr__(self, "at_utc", in_utc(self.at_utc, "the time of the check of notices"))
