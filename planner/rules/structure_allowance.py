"""Rule on what is lawful only because a structure is near, and where that begins and ends."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from planner.ceiling.profile import Binding, CeilingProfile
from planner.geo.place import Place
from planner.permission.routes import TOLERANCE_M
from planner.plan.model import Purpose
from planner.rules.bibliography import height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.words import along, over_ft, room_ft
from planner.track.mapped import Mapped, structure_limit_amsl_m, usable_radius_m
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.units import GROUND_LIMIT_M

_SAME_PLACE_M = 1e-3
"""Before and after a jump the axis repeats the distance, or nearly."""


def structure_used(case: Case) -> Iterator[Finding]:
    """Yield a note for each stretch that is lawful only because a structure is near, and by which."""
    track, profile = case.track, case.profile
    if track is None or profile is None:
        return
    for name, used in _used(track, profile).items():
        for part in stretches(track, used):
            over_m = track.planned_amsl_m - (track.lowest_ground_amsl_m + GROUND_LIMIT_M)
            worst = part.first + int(np.argmax(over_m[part.slice]))
            if over_m[worst] > TOLERANCE_M:
                yield _note(case, track, name, part, worst, float(over_m[worst]))


def _used(track: Track, profile: CeilingProfile) -> dict[str, NDArray[np.bool_]]:
    """Return, by the structure that sets the limit, at which samples the path needs it and keeps it."""
    by_structure = np.array([kind is Binding.STRUCTURE for kind in profile.binding])
    with np.errstate(invalid="ignore"):
        used = by_structure & (track.planned_amsl_m <= profile.ground_limit_amsl_m + TOLERANCE_M)
        used &= track.planned_amsl_m > track.lowest_ground_amsl_m + GROUND_LIMIT_M
    names = np.array(profile.binding_name)
    return {str(name): used & (names == name) for name in dict.fromkeys(names[used].tolist())}


def _note(case: Case, track: Track, name: str, part: Stretch, worst: int, over_m: float) -> Finding:
    return Finding(
        rule="structure-allowance",
        mark=Mark.NOTE,
        basis=Basis.LAW,
        title=f"The {name} raises the limit",
        message=(
            f"From {along(part.from_m)} to {along(part.to_m)} the path is up to {over_ft(over_m)} "
            "above what the ground allows, and keeps the law by this structure: within 400 ft of it the "
            "limit is 400 ft above its top; the accuracy of its record is taken off both. It ends where the "
            f"radius ends.{_standing(case, name)}"
        ),
        citation=height_rule(case.plan.purpose),
        from_m=part.from_m,
        to_m=part.to_m,
        place=place_at(track, worst),
        numbers={"at_m": float(track.distance_m[worst])},
    )


def _standing(case: Case, name: str) -> str:
    structures = case.mapped.structures.values() if case.mapped else ()
    called = [one for one in structures if one.label == name]
    words, said = case.plan.structures_standing, ""
    if any(one.stands_by(words) and one.standing_word not in words for one in called):
        said = (
            " The plan does not keep on which record you said that it stands: should that have changed "
            "since, say it anew."
        )
    if any(one.unverified for one in called):
        said += " Its record is marked as not verified: its place and height rest on your own look."
    if any(not one.count for one in called):
        said += (
            " The charts were imported before it was kept how many structures a record tells of: import the "
            "obstacle file again. Until then its top counts as less sure."
        )
    if (count := max((one.count for one in called), default=1)) > 1:
        said += (
            f" Its record tells of {count} structures at one place: that the highest stands just there "
            "rests on your word."
        )
    return said


def structure_used_by_area(case: Case) -> Iterator[Finding]:
    """Yield a note for each structure by which alone the area's top is lawful somewhere."""
    samples, mapped, area = case.area_samples, case.mapped, case.area
    if samples is None or mapped is None or area is None or case.plan.purpose is not Purpose.PART_107:
        return
    with np.errstate(invalid="ignore"):
        over_m = samples.planned_amsl_m - (samples.lowest_ground_amsl_m + GROUND_LIMIT_M)
    told: set[str] = set()
    for column, structure in mapped.structures.items():
        if not structure.stands_by(case.plan.structures_standing) or structure.label in told:
            continue
        with np.errstate(invalid="ignore"):
            used = samples.inside_outline(column) & (over_m > TOLERANCE_M)
            used &= samples.planned_amsl_m <= structure_limit_amsl_m(structure) + TOLERANCE_M
        if used.any():
            told.add(structure.label)
            worst = int(np.argmax(np.where(used, over_m, -np.inf)))
            yield _of_area(case, structure.label, float(over_m[worst]), _place(mapped, samples, worst))


def _place(mapped: Mapped, samples: AreaSamples, sample: int) -> Place:
    return mapped.frame.xy_to_place(float(samples.x_m[sample]), float(samples.y_m[sample]))


def _of_area(case: Case, name: str, over_m: float, place: Place) -> Finding:
    return Finding(
        rule="structure-allowance",
        mark=Mark.NOTE,
        basis=Basis.LAW,
        title=f"The {name} raises the limit",
        message=(
            f"The area's top is up to {over_ft(over_m)} above what the ground allows, and keeps the law "
            "there by this structure: within 400 ft of it the limit is 400 ft above its top; the accuracy of "
            f"its record is taken off both. It ends where the radius ends.{_standing(case, name)}"
        ),
        citation=height_rule(case.plan.purpose),
        place=place,
        numbers={"over_m": over_m},
    )


def allowance_ends(case: Case, part: Stretch) -> tuple[str, str]:
    """Return, of a stretch above the limit, where an allowance ends or begins beside it, and how to keep it.

    Both are '' where the stretch is above the limit for another reason.
    """
    track, profile = case.track, case.profile
    assert track is not None
    assert profile is not None
    said, names = "", []
    for sample, at_m, verb in ((part.first - 1, part.from_m, "ends"), (part.last + 1, part.to_m, "begins")):
        if not 0 <= sample < len(track) or abs(float(track.distance_m[sample]) - at_m) > _SAME_PLACE_M:
            continue
        if profile.binding[sample] is Binding.STRUCTURE:
            names.append(profile.binding_name[sample])
            said += f" The allowance of the {names[-1]} {verb} at {along(at_m)}."
    return said, _keep(case, names[0]) if names else ""


def _keep(case: Case, name: str) -> str:
    structures = case.mapped.structures.values() if case.mapped else ()
    radii = [usable_radius_m(one) for one in structures if one.label == name]
    reach = f"within {room_ft(min(known))} of" if (known := [one for one in radii if one]) else "near"
    return f", or stay {reach} the {name} while that high"


RULES = (structure_used, structure_used_by_area)
