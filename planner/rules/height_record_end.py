"""Rule on how near what is flown above the height limit comes to where the record ends that allows it."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.ceiling.height_needs import above_limit, grants_of_height
from planner.permission.besides import BESIDE_M
from planner.permission.need import PermissionNeed, Subject
from planner.permission.routes import TOLERANCE_M
from planner.rules.beside import nearest_on_path
from planner.rules.beside_record import Inside, at_end
from planner.rules.case import Case
from planner.rules.finding import Finding
from planner.rules.words import along, over_ft
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.track import Track

Mask = NDArray[np.bool_]
_OF_HEIGHT = (Subject.HEIGHT_LIMIT, Subject.SITE_HEIGHT)


def close_to_the_end_of_a_height_record(case: Case) -> Iterator[Finding]:
    """Yield an act where path or area needs such a record close to the outline in which it holds."""
    if case.mapped is None:
        return
    for need in case.needs:
        if need.subject not in _OF_HEIGHT or not need.recorded:
            continue
        near = _nearest(case, case.mapped, need)
        # Where it leaves the record that high, that is a stop.
        if near is not None and near.away_m > TOLERANCE_M:
            yield _finding(need, near)


def _ends(
    case: Case, mapped: Mapped, need: PermissionNeed, samples: Track | AreaSamples
) -> Iterator[tuple[Mask, BaseGeometry]]:
    """Yield where it is flown above the limit as high as the same records allow, and their edge together.

    Of what one of them allows wherever it is flown there is no end.
    """
    grants = [grant for record in need.records for grant in grants_of_height(record, case.plan, mapped)]
    high = above_limit(samples, attrs.evolve(case.plan, permissions=()), mapped)
    launch_m, flown_m = samples.launch_ground_amsl_m, samples.planned_amsl_m
    with np.errstate(invalid="ignore"):
        rows = [flown_m <= grant.height_amsl_m(samples, launch_m) + TOLERANCE_M for grant in grants]
    enough = np.array(rows, dtype=bool).reshape(len(grants), len(flown_m))
    for counts in np.unique(enough[:, high], axis=1).T:
        able = [grant for grant, one in zip(grants, counts.tolist(), strict=True) if one]
        if not able or any(not grant.columns for grant in able):
            continue
        reaches = [
            shapely.intersection_all([mapped.outlines.polygon(column) for column in grant.columns])
            for grant in able
        ]
        yield high & np.equal(enough.T, counts).all(axis=1), shapely.boundary(shapely.union_all(reaches))


def _nearest(case: Case, mapped: Mapped, need: PermissionNeed) -> Inside | None:
    track, samples, found = case.track, case.area_samples, list[Inside]()
    if track is not None and len(track) > 1:
        for high, end in _ends(case, mapped, need, track):
            near = nearest_on_path(case, track, high, end)
            if near is not None:
                words = f"At {along(near.along_m)} the path is"
                found.append(Inside(words, near.away_m, near.place, near.along_m))
    if samples is not None and case.area is not None:
        for _, end in _ends(case, mapped, need, samples):
            nearest = shapely.shortest_line(samples.footprint, end)
            if nearest.length <= BESIDE_M:
                x_m, y_m = shapely.get_coordinates(nearest)[0].tolist()
                place = mapped.frame.xy_to_place(x_m, y_m)
                found.append(Inside("The flying area is", float(nearest.length), place))
    return min(found, key=lambda one: one.away_m, default=None)


def _finding(need: PermissionNeed, near: Inside) -> Finding:
    return at_end(
        near,
        f"record {need.references}",
        f"inside where {need.references} allows it above the height limit: flown a little farther out it is "
        "too high.",
        remedy=f"stay {over_ft(BESIDE_M)} inside while that high, or have the record reach farther",
    )


RULES = (close_to_the_end_of_a_height_record,)
