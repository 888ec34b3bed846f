"""What a return on lost link comes above, in words: the height limit, or an airspace by its name."""

import attrs

from planner.geo.place import Place
from planner.permission.inquiry import inquired_of
from planner.permission.records import grants_for
from planner.rules.bibliography import airspace_rule, closed_rule, height_rule, inquiry_rule
from planner.rules.case import Case, OverOnReturn
from planner.rules.closed_words import agency_of, what_it_is
from planner.rules.finding import Basis
from planner.rules.words import over_ft
from planner.track.mapped import Mapped
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, AirspaceVolume

_LOWER = "set a lower return height that still clears the ground, or another action"


@attrs.frozen
class OverWords:
    """Parts of the finding; `place` is where the return comes farthest above, None: not known."""

    title: str
    what: str
    remedy: str
    citation: str
    basis: Basis
    place: Place | None = None


def over_words(case: Case, over: OverOnReturn | None, sample: int, over_m: float, where: str) -> OverWords:
    """Return how a return comes above what is allowed; `where` says it of the height limit."""
    column = -1 if over is None else int(over.column[sample])
    if over is None or case.mapped is None or (volume := case.mapped.airspace.get(column)) is None:
        return OverWords(
            title="On lost link it climbs above the ceiling",
            what=f", {over_ft(over_m)} above what is allowed {where}.",
            remedy=_LOWER,
            citation=height_rule(case.plan.purpose),
            basis=Basis.SAFETY,
        )
    name = volume.name or "an airspace without a name"
    place = case.mapped.frame.xy_to_place(float(over.x_m[sample]), float(over.y_m[sample]))
    lower = f"a return height that is {over_ft(over_m)} lower and still clears the ground, "
    return OverWords(
        title=f"On lost link it returns through {name}",
        what=f", and comes into {name}{_how_far(over, sample, over_m)}.{what_it_is(case, [volume])}"
        + _held(case, case.mapped, volume, permitted=bool(over.permitted[sample])),
        remedy=f"set {'' if over.from_ground[sample] else lower}another action or another way home, or "
        f"record {leave_words(case, volume)} with the outline and height that hold for it",
        citation=leave_rule(case, volume),
        basis=Basis.LAW,
        place=place,
    )


def _how_far(over: OverOnReturn, sample: int, over_m: float) -> str:
    if over.from_ground[sample]:
        return ", which is shut to it from the ground up"
    above = "what is on record for it" if over.permitted[sample] else "where it begins"
    return f", {over_ft(over_m)} above {above}"


def _held(case: Case, mapped: Mapped, volume: AirspaceVolume, *, permitted: bool) -> str:
    """Return which records for it don't reach there, '' without any or where their height decides."""
    records = [grant.record.reference for grant in grants_for(volume, case.plan, mapped)]
    if permitted or not records:
        return ""
    return f" What is on record for it ({', '.join(dict.fromkeys(records))}) does not reach there."


def leave_rule(case: Case, volume: AirspaceVolume) -> str:
    """Return the citation for what an airspace asks of whoever enters it."""
    if inquired_of(volume, case.plan.purpose):
        return inquiry_rule(volume.kind)
    closed = volume.kind in FORBIDDEN_WHILE_ACTIVE
    return closed_rule(case.plan.purpose, {volume.kind}) if closed else airspace_rule(case.plan.purpose)


def leave_words(case: Case, volume: AirspaceVolume) -> str:
    """Return whose word opens an airspace, after 'record'."""
    if inquired_of(volume, case.plan.purpose):
        return "the authority's answer"
    closed = volume.kind in FORBIDDEN_WHILE_ACTIVE
    return f"the permission of {agency_of([volume])}" if closed else "its authorization"
