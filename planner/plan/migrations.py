"""Versions of the plan file and the steps from each to the next.

A change of the file's shape raises `KNOWN_VERSION`, adds the step from the
version before it and keeps a sample of that version under tests/plan/samples.
"""

from collections.abc import Callable, Mapping
from typing import Any, Final

from planner.errors import PlanFileError
from planner.plan.file_text import quoted

Document = dict[str, Any]
Migration = Callable[[Document], Document]

KNOWN_VERSION: Final = 1

MIGRATIONS: Final[Mapping[int, Migration]] = {}


def version_of(member: dict[str, Any]) -> int:
    """Return the version that a file's member claims.

    Raises
    ------
    PlanFileError
        If there is none or it is no whole number.
    """
    version = member.get("version")
    if isinstance(version, bool) or not isinstance(version, int):
        raise PlanFileError(
            f"the version is {quoted(version)}, not a whole number" if "version" in member else "is missing",
            where="lowline.version",
            remedy=f"this program knows version {KNOWN_VERSION}",
        )
    return version


def migrated(
    document: Document,
    version: int,
    *,
    steps: Mapping[int, Migration] = MIGRATIONS,
    known: int = KNOWN_VERSION,
) -> Document:
    """Return the document brought from `version` to the known one, step by step.

    Raises
    ------
    PlanFileError
        If no steps lead from that version to the known one.
    """
    if version > known:
        raise _unknown(version, known, "open it with a newer program")
    while version < known:
        if version not in steps:
            raise _unknown(version, known, "open a plan of a known version")
        document = steps[version](document)
        version += 1
    return document


def _unknown(version: int, known: int, remedy: str) -> PlanFileError:
    return PlanFileError(
        f"the plan is of version {quoted(version)}, this program knows version {known}",
        where="lowline.version",
        remedy=remedy,
    )
