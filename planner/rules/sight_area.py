"""Rules on what of an area that is flown freely those see who must."""

from collections.abc import Iterator
from enum import IntEnum

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.place import Place
from planner.rules.bibliography import sight_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import waives_sight
from planner.rules.must_see import demanded_keys
from planner.rules.words import error_words, over_ft, room_ft
from planner.sight.answer import SightAnswer
from planner.sight.over_area import LOW_M, AreaSight
from planner.sight.ranges import ESTIMATE_STANDING, SightRange

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


_SAME_M = 0.01


class Grade(IntEnum):
    """What somebody has of a place, the worst first."""

    HIDDEN = 0
    TOO_FAR = 1
    UNKNOWN = 2
    UNTRIED = 3
    SEEN = 4


@attrs.frozen(eq=False)
class _Seen:
    """The worst of all who must see, arrays (n,) over the places; `far_m` and `judged_m` belong together."""

    grade: NDArray[np.int64]
    from_agl_m: Floats
    surely_from_agl_m: Floats
    far_m: Floats
    judged_m: float


@attrs.frozen
class _Part:
    """What is said of a part of the area."""

    rule: str
    mark: Mark
    title: str
    words: str
    remedy: str


def area_seen(case: Case) -> Iterator[Finding]:
    """Yield what of the area isn't seen, by cause."""
    answer = case.sight
    if answer is None or case.area is None or not answer.area:
        return
    groups = [seen for keys in demanded_keys(case) if (seen := _of_group(answer, keys)) is not None]
    if not groups:
        return
    worst = _Seen(
        grade=np.min([seen.grade for seen in groups], axis=0),
        from_agl_m=np.fmax.reduce([seen.from_agl_m for seen in groups]),
        surely_from_agl_m=np.fmax.reduce([seen.surely_from_agl_m for seen in groups]),
        far_m=np.fmax.reduce([seen.far_m for seen in groups]),
        judged_m=min(seen.judged_m for seen in groups),
    )
    yield from _unseen(case, worst, answer.area[0])


def _of_group(answer: SightAnswer, keys: tuple[str, ...]) -> _Seen | None:
    """Return the best that any of a group has of each place; None without anybody.

    Hidden is hidden also where it isn't known of any of them how far they see; that is said once, elsewhere.
    """
    reaches = {viewer.key: viewer.reach for viewer in answer.viewers}
    everybody = [part for part in answer.area if part.key in keys]
    parts = [part for part in everybody if reach_known(reaches[part.key])] or everybody
    if not parts:
        return None
    grades = np.stack([grade_of(part, reaches[part.key]) for part in parts])
    grade = grades.max(axis=0)

    def least_of_the_best(axes: list[Floats]) -> Floats:
        # What one sees who sees it worse does not help who has it best.
        return np.asarray(np.fmin.reduce(np.where(grades == grade, np.stack(axes), np.nan)))

    return _Seen(
        grade=grade,
        from_agl_m=least_of_the_best([part.seen_from_agl_m for part in parts]),
        surely_from_agl_m=least_of_the_best([part.surely_from_agl_m for part in parts]),
        far_m=least_of_the_best([part.slant_range_m for part in parts]),
        judged_m=max(reaches[part.key].attitude_m or 0.0 for part in parts),
    )


def reach_known(reach: SightRange) -> bool:
    """Whether it is known how far somebody sees at all."""
    return reach.detection_m is not None and reach.attitude_m is not None


def grade_of(part: AreaSight, reach: SightRange) -> NDArray[np.int64]:
    """Return what somebody with that range has of the places, a `Grade` each."""
    far_m, from_m = part.slant_range_m, part.seen_from_agl_m
    found_m, judged_m = (
        np.inf if most_m is None else most_m for most_m in (reach.detection_m, reach.attitude_m)
    )
    masks = {
        Grade.HIDDEN: np.isinf(from_m),
        Grade.TOO_FAR: far_m > found_m,
        Grade.UNKNOWN: np.isnan(from_m) | np.isnan(far_m),
        Grade.UNTRIED: far_m > judged_m,
    }
    return np.select(list(masks.values()), [int(grade) for grade in masks], default=int(Grade.SEEN))


def _unseen(case: Case, seen: _Seen, part: AreaSight) -> Iterator[Finding]:
    shrink = "shrink the area to what is covered"
    stop = Mark.ACT if waives_sight(case) else Mark.STOP
    for grade, mark, cure in (
        (Grade.HIDDEN, stop, f"let the observer stand elsewhere, or {shrink}"),
        (Grade.TOO_FAR, stop, f"let the observer stand nearer, or {shrink}"),
        (Grade.UNKNOWN, Mark.UNKNOWN, _to_know(case)),
        (Grade.UNTRIED, Mark.UNKNOWN, f"try that distance with this aircraft and record it, or {shrink}"),
    ):
        mask = seen.grade == grade
        if mask.any():
            rule, title, words = _WORDS[grade]
            far_m = float(np.nanmax(np.where(mask, seen.far_m, 0.0)))
            words = words.format(far=over_ft(far_m), judged=room_ft(seen.judged_m))
            yield _finding(case, _Part(rule, mark, title, words, cure), mask, part)
    with np.errstate(invalid="ignore"):
        low = (seen.grade >= Grade.UNTRIED) & (seen.from_agl_m > LOW_M)
    if low.any():
        most = over_ft(float(seen.from_agl_m[low].max()))
        cure = f"stay {most} or more above the ground there, or let the observer stand elsewhere"
        title = "Part of the area is seen only higher up"
        unmeasured = _some_unmeasured(case)
        surely = "surely " if unmeasured else ""
        cure += ", or give buildings and trees a height" if unmeasured else ""
        told = _Part("area-seen-above", Mark.ACT, title, f"is {surely}seen only from {most} up", cure)
        yield _finding(case, told, low, part)
    yield from _barely(case, seen, part)


def _barely(case: Case, seen: _Seen, part: AreaSight) -> Iterator[Finding]:
    """Yield what is seen, but by less than the terrain's error may take."""
    surfaces, samples = case.sight.surfaces if case.sight else None, case.area_samples
    if surfaces is None or samples is None:
        return
    surely_m = seen.surely_from_agl_m
    with np.errstate(invalid="ignore"):
        mask = (seen.grade >= Grade.UNTRIED) & (surely_m > np.maximum(seen.from_agl_m, LOW_M) + _SAME_M)
    if not mask.any():
        return
    top_agl_m = (samples.planned_amsl_m - samples.ground_amsl_m)[part.which]
    not_even = mask & (surely_m > top_agl_m + _SAME_M)
    at_top = f"; {share_words(not_even)} not even at the top" if not_even.any() else ""
    most = over_ft(float(surely_m[mask].max()))
    words = (
        f"is seen by less than the terrain may be wrong: as the ground in between may be "
        f"{error_words(surfaces.ground.terrain)} higher than given, it is surely seen only from "
        f"{most} up{at_top}"
    )
    cure = (
        "stay that high above the ground there, let the observer stand nearer or elsewhere, or look from "
        "the place before the flight"
    )
    told = _Part("area-barely-seen", Mark.ACT, "Part of the area is barely seen", words, cure)
    yield attrs.evolve(_finding(case, told, mask, part), basis=Basis.SAFETY)


def _to_know(case: Case) -> str:
    terrain = "add terrain that covers the area and where the crew stands"
    if not _some_unmeasured(case):
        return terrain
    return f"give buildings and trees in the way a height, or {terrain}"


def _some_unmeasured(case: Case) -> bool:
    surfaces = case.sight.surfaces if case.sight else None
    return surfaces is not None and bool(surfaces.unmeasured)


def _finding(case: Case, told: _Part, mask: Mask, part: AreaSight) -> Finding:
    return Finding(
        rule=told.rule,
        mark=told.mark,
        basis=Basis.LAW,
        title=told.title,
        message=f"{share_words(mask)} of the area {told.words}.",
        citation=sight_rule(case.plan.purpose),
        remedy=told.remedy,
        place=area_place(case, int(part.which[np.flatnonzero(mask)[0]])),
        numbers={"share": float(mask.mean())},
    )


def share_words(mask: Mask) -> str:
    """Return how much of the area a mask over its places is."""
    share = float(mask.mean())
    return f"{100 * share:.0f} %" if share >= 0.01 else "Less than 1 %"


def area_place(case: Case, index: int) -> Place | None:
    """Return one of the area's places."""
    samples = case.area_samples
    if samples is None or case.mapped is None:
        return None
    return case.mapped.frame.xy_to_place(float(samples.x_m[index]), float(samples.y_m[index]))


_WORDS = {
    Grade.HIDDEN: ("area-hidden", "Part of the area is hidden", "is hidden even at the area's top"),
    Grade.TOO_FAR: (
        "area-too-far",
        "Part of the area is too far away",
        "is up to {far} away, farther than the aircraft can be found at this visibility "
        f"({ESTIMATE_STANDING})",
    ),
    Grade.UNKNOWN: (
        "area-sight-not-known",
        "Not known whether all of the area is seen",
        "may be hidden: ground there, or the height of something in the way, is not known",
    ),
    Grade.UNTRIED: (
        "area-not-tried",
        "Part of the area lies beyond what was tried",
        "is up to {far} away, farther than the {judged} that are tried or estimated "
        f"({ESTIMATE_STANDING})",
    ),
}

RULES = (area_seen,)
