"""Rules on whether the crew sees the aircraft, stretch by stretch of the path."""

import math
from collections.abc import Iterator

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.crew import CrewMember
from planner.plan.model import Purpose
from planner.plan.role_words import name_or_role
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import waives_sight
from planner.rules.must_see import Demand, demands_of, most_own_unseen_s
from planner.rules.sight_lower import lower_words
from planner.rules.sight_places import stand_words
from planner.rules.sight_words import cause_words, remedy_words
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.words import along, capitalised
from planner.sight.along import GRAVEST_FIRST, Sight, SightProfile
from planner.track.track import Track

Mask = NDArray[np.bool_]

_RULES = {
    Sight.HIDDEN: ("hidden-from-crew", "Hidden from"),
    Sight.TOO_FAR: ("too-far-to-see", "Too far away for"),
    Sight.UNKNOWN: ("sight-not-known", "Not known whether seen by"),
    Sight.UNTRIED: ("distance-not-tried", "Distance not tried by"),
    Sight.AGAINST_SUN: ("against-the-sun", "Against the sun for"),
    Sight.BRIEFLY_HIDDEN: ("hidden-from-crew", "Hidden from"),
}


_MOST_PLACES = 3
"""So many hidden stretches are told where else to stand: it takes a moment to find."""


@attrs.frozen(eq=False)
class Unseen:
    """A stretch that some of those who must see do not see, all for one cause.

    `worst` is the sample at which it is worst, `profile` what the first of the people has of it.
    """

    sight: Sight
    part: Stretch
    people: tuple[CrewMember, ...]
    profile: SightProfile
    worst: int
    demand: Demand


def crew_sees(case: Case) -> Iterator[Finding]:
    """Yield a finding for each stretch that somebody who must see it doesn't see."""
    if case.sight is None or case.track is None:
        return
    places_left = _MOST_PLACES
    for unseen in unseen_stretches(case, case.track):
        looks = places_left > 0 and _place_may_cure(unseen)
        places_left -= looks
        yield _finding(case, case.track, unseen, looks_for_place=looks)


def _place_may_cure(unseen: Unseen) -> bool:
    dazzled = unseen.sight is Sight.AGAINST_SUN and not unseen.demand.tried_against_sun
    return dazzled or unseen.sight is Sight.HIDDEN


def unseen_stretches(case: Case, track: Track) -> tuple[Unseen, ...]:
    """Return what isn't seen, gravest first; people with the same stretch share one."""
    found: dict[tuple[Sight, int, int], Unseen] = {}
    for demand in demands_of(case):
        # Hidden is hidden, whether or not it is known how far anybody sees.
        told = tuple(_RULES) if demand.can_be_judged else (Sight.HIDDEN, Sight.BRIEFLY_HIDDEN)
        for sight in told:
            index = GRAVEST_FIRST.index(sight)
            for part in stretches(track, demand.grave == index):
                key = (sight, part.first, part.last)
                if key in found:
                    people = (*found[key].people, *demand.people)
                    found[key] = attrs.evolve(found[key], people=people)
                else:
                    profile = demand.best_profile(part)
                    worst = _worst(sight, profile, part)
                    found[key] = Unseen(sight, part, demand.people, profile, worst, demand)
    return tuple(sorted(found.values(), key=lambda one: (GRAVEST_FIRST.index(one.sight), one.part.first)))


def _worst(sight: Sight, profile: SightProfile, part: Stretch) -> int:
    values = {
        Sight.HIDDEN: profile.clearance_m,
        Sight.BRIEFLY_HIDDEN: profile.clearance_m,
        Sight.AGAINST_SUN: profile.sun_angle_deg,
        Sight.TOO_FAR: -profile.slant_range_m,
        Sight.UNTRIED: -profile.slant_range_m,
    }.get(sight)
    if values is None or np.isnan(values[part.slice]).all():
        return part.first
    return part.first + int(np.nanargmin(values[part.slice]))


def _finding(case: Case, track: Track, unseen: Unseen, *, looks_for_place: bool) -> Finding:
    rule, title = _RULES[unseen.sight]
    mark, basis, citation = _weight(case, unseen)
    part, worst, profile = unseen.part, unseen.worst, unseen.profile
    who = names_of(unseen.people, case.plan.purpose)
    allowed = basis is Basis.OWN_LIMIT
    settled = allowed or mark is Mark.NOTE
    short = part.to_m - part.from_m < 0.5
    ends = f"at {along(part.from_m)}" if short else f"from {along(part.from_m)} to {along(part.to_m)}"
    return Finding(
        rule=rule,
        mark=mark,
        basis=basis,
        title=f"{title} {who}" + (", within your own limit" if allowed else ""),
        message=f"{capitalised(who)} {cause_words(case, unseen.sight, profile, worst, ends, part)}"
        f"{_own(case, unseen, allowed)}",
        citation=citation,
        remedy="" if settled else _remedy(case, track, unseen, looks_for_place=looks_for_place),
        from_m=part.from_m,
        to_m=part.to_m,
        place=place_at(track, worst),
        numbers=_numbers(profile, worst),
    )


def _remedy(case: Case, track: Track, unseen: Unseen, *, looks_for_place: bool) -> str:
    told = (case, track, unseen.sight, unseen.profile, unseen.worst, unseen.part)
    lower = lower_words(case, track, unseen.people, unseen.sight, unseen.part)
    if not looks_for_place:
        return f"{lower}{remedy_words(*told)}"
    return f"{lower}{remedy_words(*told, stand_words(case, track, unseen.people, unseen.part))}"


def _own(case: Case, unseen: Unseen, allowed: bool) -> str:
    own_s = case.plan.own_unseen_s
    if own_s is None or unseen.sight not in (Sight.HIDDEN, Sight.BRIEFLY_HIDDEN):
        return ""
    most_s = most_own_unseen_s(case.plan)
    if own_s <= most_s:
        return f" Your own limit for that is {own_s:g} s; it is no rule." if allowed else ""
    return (
        f" Your own limit of {own_s:g} s counts for {most_s:g} s at the most (our own figure): "
        "whoever has not seen it for longer has it land, as their call LOST says."
    )


def _weight(case: Case, unseen: Unseen) -> tuple[Mark, Basis, str]:
    citation = unseen.demand.citation
    if unseen.sight is Sight.BRIEFLY_HIDDEN:
        return Mark.ACT, Basis.OWN_LIMIT, ""
    if unseen.sight in (Sight.HIDDEN, Sight.TOO_FAR):
        if waives_sight(case):
            return Mark.ACT, Basis.LAW, citation
        return Mark.STOP, Basis.LAW, citation
    if unseen.sight is Sight.AGAINST_SUN and unseen.demand.tried_against_sun:
        return Mark.NOTE, Basis.SAFETY, ""
    return Mark.UNKNOWN, Basis.LAW, citation


def names_of(people: tuple[CrewMember, ...], purpose: Purpose | None) -> str:
    """Return people by name, or by role where they have none."""
    names = list(dict.fromkeys(name_or_role(member, purpose) for member in people))
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} and {names[-1]}"


def _numbers(profile: SightProfile, sample: int) -> dict[str, float]:
    names = ("slant_range_m", "clearance_m", "spare_m", "sun_angle_deg")
    numbers = {name: float(getattr(profile, name)[sample]) for name in names}
    return {name: number for name, number in numbers.items() if math.isfinite(number)}


RULES = (crew_sees,)
