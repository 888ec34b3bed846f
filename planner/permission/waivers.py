"""Waivers on record: which sections of 14 CFR part 107 they name, and which of those can be waived at all.

14 CFR 107.200 (A) and the list of 107.205 (B: read in a secondary description).
"""

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

import attrs

from planner.plan.records import PermissionKind, PermissionRecord

WAIVABLE: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "107.25": ("",), "107.29": ("(a)(2)", "(b)"), "107.31": ("",), "107.33": ("",), "107.35": ("",),
        "107.37": ("(a)",), "107.39": ("",), "107.41": ("",), "107.51": ("",), "107.145": ("",),
    }
)  # fmt: skip
"""Sections that the authority may waive, each with its paragraphs; '' is all of it."""

_PARAGRAPHS = r"(?P<paragraph>(?: ?\([a-z0-9]{1,3}\))*)"
_SECTION = re.compile(
    rf"(?:14 ?)?(?:CFR ?)?(?:part )?(?:§ ?)?(?P<section>107\.\d+){_PARAGRAPHS}", re.IGNORECASE
)
_MORE = re.compile(_PARAGRAPHS)


@attrs.frozen
class Waived:
    """A section that a record names, with its paragraph: ("107.29", "(a)(2)"); '' is all of it."""

    section: str
    paragraph: str = ""

    @property
    def can_be(self) -> bool:
        """Whether the section, or some of the paragraph, is on the list of what can be waived."""
        return any(_touch(self.paragraph, listed) for listed in WAIVABLE.get(self.section, ()))


def named(record: PermissionRecord) -> Iterator[Waived]:
    """Yield what a waiver on record names; nothing for a record of another kind.

    A part of the text that says anything else ("denied", "applied for") names nothing.
    """
    if record.kind is not PermissionKind.WAIVER:
        return
    section = ""
    for part in re.split(r",|;|\band\b", record.airspace):
        words = " ".join(part.split())
        found = _SECTION.fullmatch(words)
        if found is not None:
            section = found["section"]
        elif words and section:
            found = _MORE.fullmatch(words)
        if found is None:
            section = ""
        else:
            yield Waived(section, found["paragraph"].replace(" ", "").lower())


def waives(record: PermissionRecord, section: str, paragraph: str = "") -> bool:
    """Whether a record is a waiver of a section, all of it or this paragraph, that can be waived."""
    return any(
        one.section == section and one.can_be and _touch(one.paragraph, paragraph) for one in named(record)
    )


def _touch(one: str, other: str) -> bool:
    return one.startswith(other) or other.startswith(one)
