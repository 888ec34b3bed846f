"""What the zero of the terrain's heights leaves open.

Airspace floors and tops, tops of structures and heights planned above the sea
count from the authority's zero; a terrain with another one, or none named,
shifts the ground against them.
"""

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.ceiling.profile import Binding
from planner.geo.heights import AboveSeaLevel
from planner.permission.inquiry import inquired_of
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import judged
from planner.rules.transit_airspace import within_outline
from planner.rules.undrawn import ways_not_drawn
from planner.track.mapped import Mapped
from planner.track.samples import Samples
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, LimitReference
from planner.world.vertical_zero import Zero, zero_of

GEOID_M = 110.0
"""As far as an ellipsoid and the sea part anywhere on earth (EGM96: 106 m; from memory), rounded up."""

SEA_LEVELS_M = 5.0
"""As far as two sea levels of surveys part in the United States, with room to spare: own choice. NGVD 29 and
NAVD 88 part by 1.5 m at the most in the conterminous states (from memory)."""
NEAR_M = 150.0
"""A structure farther off than this neither raises a limit (400 ft) nor stands in the way."""

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
        case Zero.ELLIPSOID if _matters(case, GEOID_M):
            yield _open(
                f"The terrain's heights count from an ellipsoid ({named}); {_MATTERS} They part by tens of "
                "metres.",
                "use terrain with heights above sea level, best NAVD 88",
            )
        case Zero.SEA_LEVEL if _matters(case, SEA_LEVELS_M):
            yield _finding(
                Mark.ACT,
                f"The terrain's heights count from {named}; {_MATTERS} They may part by a metre or two, "
                "more in the mountains.",
                "keep a few feet more room from every limit above the sea, and from structures",
            )
        case Zero.UNKNOWN if _matters(case, GEOID_M):
            start = f"What {named!r} is, is not known" if named else "The terrain names no vertical datum"
            yield _open(
                f"{start}; {_MATTERS} If it counts from an ellipsoid they part by tens of metres.",
                "state the terrain's vertical datum where it is added to the charts, as its publisher does: "
                "NAVD 88, NGVD 29, EGM2008, EGM96, mean sea level, ellipsoid",
            )
        case Zero.ELLIPSOID | Zero.UNKNOWN as zero:
            yield Finding(
                rule="terrain-datum",
                mark=Mark.NOTE,
                basis=Basis.SAFETY,
                title=_title(zero, named),
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


def _title(zero: Zero, named: str) -> str:
    if zero is Zero.ELLIPSOID:
        return "The terrain's heights count from an ellipsoid"
    return "Vertical datum not known" if named else "Vertical datum of the terrain not named"


def _matters(case: Case, apart_m: float) -> bool:
    """Whether ground that is shifted by so much could change what is found."""
    return (
        _sets_the_limit(case)
        or _counts_from_the_sea(case)
        or _near_a_limit_above_the_sea(case, apart_m)
        or _near_a_structure(case)
    )


def _sets_the_limit(case: Case) -> bool:
    along = () if case.profile is None else case.profile.binding
    over = () if case.area is None else (case.area.binding,)
    return not _OF_OTHER_ZERO.isdisjoint((*along, *over))


def _counts_from_the_sea(case: Case) -> bool:
    """Whether a height that is planned or permitted counts from the sea."""
    area = case.plan.area
    heights = (
        *(point.height for point in case.plan.path),
        *(record.ceiling for record in case.plan.permissions),
        area.top if area is not None else None,
    )
    return any(isinstance(height, AboveSeaLevel) for height in heights)


def _near_a_limit_above_the_sea(case: Case, apart_m: float) -> bool:
    if case.mapped is None:
        return False
    for column, volume in case.mapped.airspace.items():
        counts = volume.kind in NEEDS_AUTHORIZATION | FORBIDDEN_WHILE_ACTIVE
        if not (counts or inquired_of(volume, case.plan.purpose)):
            continue
        limits_m = [
            limit.m for limit in (volume.floor, volume.top) if limit.reference is LimitReference.SEA_LEVEL
        ]
        if limits_m and any(
            _reaches(samples, inside, limits_m, apart_m)
            for samples, inside in _flown_in(case, case.mapped, column)
        ):
            return True
    return False


def _flown_in(case: Case, mapped: Mapped, column: int) -> Iterator[tuple[Samples, NDArray[np.bool_]]]:
    """Yield what of the flight lies in an outline: path, area, launch and landing, and undrawn ways."""
    for samples in judged(case):
        yield samples, samples.inside_outline(column)
    for way in ways_not_drawn(case, mapped):
        near = column in mapped.outlines.columns_near(np.array(way.line.bounds))
        within = within_outline(mapped, way, column) if near else None
        if within is not None:
            yield within, np.ones(len(within.x_m), dtype=bool)


def _reaches(samples: Samples, inside: NDArray[np.bool_], limits_m: list[float], apart_m: float) -> bool:
    """Whether what is flown there comes within a distance of one of the limits."""
    low_m, high_m = samples.flown_from_amsl_m[inside], samples.planned_amsl_m[inside]
    with np.errstate(invalid="ignore"):
        return any(bool(((low_m - apart_m <= m) & (m <= high_m + apart_m)).any()) for m in limits_m)


def _near_a_structure(case: Case) -> bool:
    """Whether anything on record stands so near that its height, above the sea, counts."""
    mapped = case.mapped
    if mapped is None:
        return False
    for shape in _shapes(case, mapped):
        west, south, east, north = shape.bounds
        near = mapped.obstacles.within(west - NEAR_M, south - NEAR_M, east + NEAR_M, north + NEAR_M)
        standing = np.column_stack([mapped.obstacles.x_m[near], mapped.obstacles.y_m[near]])
        if shapely.dwithin(shape, shapely.points(standing), NEAR_M).any():
            return True
    return False


def _shapes(case: Case, mapped: Mapped) -> Iterator[BaseGeometry]:
    for samples in judged(case):
        places = np.column_stack([samples.x_m, samples.y_m])
        yield shapely.MultiPoint(places[np.isfinite(places).all(axis=1)])
    for way in ways_not_drawn(case, mapped):
        yield way.line


RULES = (terrain_datum,)
