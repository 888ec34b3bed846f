"""What is on record already, asked for as if nothing were: a plan may have outgrown its record.

On record it counts as held, and what is flown on lost link is held against the record. Whoever asks anew
needs all of it: height, cells and route.
"""

from collections import defaultdict
from collections.abc import Callable, Sequence
from typing import Final

import attrs

from planner.assess import assess
from planner.assessment import Assessment
from planner.permission.request import AirspaceRequest
from planner.plan.records import PermissionKind

Requests = tuple[AirspaceRequest, ...]

_ANSWERS: Final = frozenset(
    {PermissionKind.AUTHORIZATION, PermissionKind.AGENCY, PermissionKind.FIXED_SITE_AGREEMENT}
)
"""What a request sheet asks for."""


def asked_anew(
    assessment: Assessment, found: Sequence[AirspaceRequest], requests_of: Callable[[Assessment], Requests]
) -> Requests:
    """Return requests, those on record as they are made without it; they keep the names of their records."""
    held = {id(record) for one in found for record in one.need.records if record.kind in _ANSWERS}
    if not held:
        return tuple(found)
    others = tuple(one for one in assessment.plan.permissions if id(one) not in held)
    without = assess(attrs.evolve(assessment.plan, permissions=others), assessment.world)
    anew = defaultdict(list)
    for one in requests_of(without):
        anew[_of(one)].append(one)
    return tuple(_in_place_of(one, anew[_of(one)]) for one in found)


def _of(request: AirspaceRequest) -> tuple[str, ...]:
    need = request.need
    return (need.subject.value, need.airspace, need.airspace_class, request.ident, request.agency)


def _in_place_of(request: AirspaceRequest, anew: list[AirspaceRequest]) -> AirspaceRequest:
    # Of several alike they come in the same order.
    other = anew.pop(0) if anew else request
    if not any(record.kind in _ANSWERS for record in request.need.records):
        return request
    held = attrs.evolve(other.need, record=request.need.record, beside=request.need.beside)
    return attrs.evolve(other, need=held)
