"""Rule on how near what is flown above the height limit comes to where the record ends that allows it."""

from collections.abc import Iterator

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

from planner.ceiling.height_needs import above_limit, grants_of_height
from planner.permission.besides import BESIDE_M
from planner.permission.need import PermissionNeed, Subject
from planner.permission.routes import TOLERANCE_M
from planner.rules.beside import nearest_on_path
from planner.rules.beside_record import Inside
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.words import along, over_ft, room_ft
from planner.track.mapped import Mapped

_OF_HEIGHT = (Subject.HEIGHT_LIMIT, Subject.SITE_HEIGHT)


def close_to_the_end_of_a_height_record(case: Case) -> Iterator[Finding]:
    """Yield an act where path or area needs such a record close to the outline in which it holds."""
    if case.mapped is None:
        return
    for need in case.needs:
        if need.subject not in _OF_HEIGHT or not need.recorded:
            continue
        end = _end(case, case.mapped, need)
        near = None if end is None else _nearest(case, case.mapped, end)
        # Where it leaves the record that high, that is a stop.
        if near is not None and near.away_m > TOLERANCE_M:
            yield _finding(need, near)


def _end(case: Case, mapped: Mapped, need: PermissionNeed) -> BaseGeometry | None:
    """Return the edge of what the records allow together, None where one of them has none."""
    grants = [grant for record in need.records for grant in grants_of_height(record, case.plan, mapped)]
    if not grants or any(not grant.columns for grant in grants):
        return None
    reaches = [
        shapely.intersection_all([mapped.outlines.polygon(column) for column in grant.columns])
        for grant in grants
    ]
    return shapely.boundary(shapely.union_all(reaches))


def _nearest(case: Case, mapped: Mapped, end: BaseGeometry) -> Inside | None:
    bare = attrs.evolve(case.plan, permissions=())
    track, samples, found = case.track, case.area_samples, list[Inside]()
    if track is not None and len(track) > 1:
        near = nearest_on_path(case, track, above_limit(track, bare, mapped), end)
        if near is not None:
            found.append(
                Inside(f"At {along(near.along_m)} the path is", near.away_m, near.place, near.along_m)
            )
    if samples is not None and case.area is not None and above_limit(samples, bare, mapped).any():
        nearest = shapely.shortest_line(samples.footprint, end)
        if nearest.length <= BESIDE_M:
            x_m, y_m = shapely.get_coordinates(nearest)[0].tolist()
            place = mapped.frame.xy_to_place(x_m, y_m)
            found.append(Inside("The flying area is", float(nearest.length), place))
    return min(found, key=lambda one: one.away_m, default=None)


def _finding(need: PermissionNeed, near: Inside) -> Finding:
    return Finding(
        rule="close-to-record-end",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"Close to where record {need.references} ends",
        message=f"{near.words} {room_ft(near.away_m)} inside where {need.references} allows it above the "
        "height limit: flown a little farther out it is too high.",
        citation="common practice",
        remedy=f"stay {over_ft(BESIDE_M)} inside while that high, or have the record reach farther",
        from_m=near.along_m,
        to_m=near.along_m,
        place=near.place,
        numbers={"aside_m": near.away_m},
    )


RULES = (close_to_the_end_of_a_height_record,)
