"""What the zero of the terrain's heights leaves open.

Airspace floors and tops, tops of structures and heights planned above the sea
count from the authority's zero; a terrain with another one, or none named,
shifts the ground against them.
"""

from collections.abc import Iterator

import numpy as np

from planner.ceiling.profile import Binding
from planner.geo.heights import AboveSeaLevel
from planner.permission.inquiry import inquired_of
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import judged
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, LimitReference
from planner.world.vertical_zero import Zero, zero_of

GEOID_M = 110.0
"""As far as an ellipsoid and the sea part anywhere on earth (EGM96: 106 m; from memory), rounded up."""

_OF_OTHER_ZERO = frozenset({Binding.AIRSPACE_FLOOR, Binding.STRUCTURE})
_CITATION = "common practice; FAA Order 8260.19J App. C on the datum of obstacles"
_MATTERS = (
    "floors of airspace, tops of structures and heights planned above the sea count from the authority's, "
    "NAVD 88 in the United States."
)


def terrain_datum(case: Case) -> Iterator[Finding]:
    """Yield what is open about the zero that the terrain's heights count from."""
    terrain = case.world.terrain
    if terrain is None or case.world.invented:
        return
    named = terrain.vertical_datum
    match zero_of(named):
        case Zero.ELLIPSOID:
            yield _open(
                f"The terrain's heights count from an ellipsoid ({named}); {_MATTERS} They part by tens of "
                "metres.",
                "use terrain with heights above sea level, best NAVD 88",
            )
        case Zero.SEA_LEVEL if _sets_the_limit(case):
            yield _finding(
                Mark.ACT,
                f"The terrain's heights count from {named}; {_MATTERS} They may part by a metre or two, "
                "more in the mountains.",
                "keep a few feet more room where an airspace or a structure sets the limit",
            )
        case Zero.UNKNOWN if _sets_the_limit(case) or _counts_from_the_sea(case):
            start = f"What {named!r} is, is not known" if named else "The terrain names no vertical datum"
            yield _open(
                f"{start}; {_MATTERS} If it counts from an ellipsoid they part by tens of metres.",
                "state the terrain's vertical datum where it is added to the charts",
            )
        case Zero.UNKNOWN:
            yield Finding(
                rule="terrain-datum",
                mark=Mark.NOTE,
                basis=Basis.SAFETY,
                title="Vertical datum of the terrain not named" if not named else "Vertical datum not known",
                message="Heights above ground are not touched; heights above sea level may be off.",
                citation=_CITATION,
            )


def _open(message: str, remedy: str) -> Finding:
    return _finding(Mark.UNKNOWN, message, remedy)


def _finding(mark: Mark, message: str, remedy: str) -> Finding:
    return Finding(
        rule="terrain-datum",
        mark=mark,
        basis=Basis.SAFETY,
        title="Heights may count from different zeros",
        message=message,
        citation=_CITATION,
        remedy=remedy,
    )


def _sets_the_limit(case: Case) -> bool:
    along = () if case.profile is None else case.profile.binding
    over = () if case.area is None else (case.area.binding,)
    return not _OF_OTHER_ZERO.isdisjoint((*along, *over))


def _counts_from_the_sea(case: Case) -> bool:
    """Whether a shift of the ground could change what is found."""
    area = case.plan.area
    heights = (
        *(point.height for point in case.plan.path),
        *(record.ceiling for record in case.plan.permissions),
        area.top if area is not None else None,
    )
    if any(isinstance(height, AboveSeaLevel) for height in heights):
        return True
    return _near_a_limit_above_the_sea(case) or _near_a_structure(case)


def _near_a_limit_above_the_sea(case: Case) -> bool:
    if case.mapped is None:
        return False
    for samples in judged(case):
        for column, volume in case.mapped.airspace.items():
            counts = volume.kind in NEEDS_AUTHORIZATION | FORBIDDEN_WHILE_ACTIVE
            inside = samples.inside_outline(column)
            if not (counts or inquired_of(volume, case.plan.purpose)) or not inside.any():
                continue
            for limit in (volume.floor, volume.top):
                if limit.reference is LimitReference.SEA_LEVEL:
                    with np.errstate(invalid="ignore"):
                        near = samples.flown_from_amsl_m[inside] - GEOID_M <= limit.m
                        near &= limit.m <= samples.planned_amsl_m[inside] + GEOID_M
                    if near.any():
                        return True
    return False


def _near_a_structure(case: Case) -> bool:
    if case.mapped is None:
        return False
    return any(
        samples.inside_outline(column).any() for samples in judged(case) for column in case.mapped.structures
    )


RULES = (terrain_datum,)
