"""Who must see the aircraft, by purpose and Remote ID, and what of the path they have."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.aircraft import RemoteId
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Plan, Purpose
from planner.plan.role_words import name_or_role
from planner.plan.sheet import LOST_LANDS_S
from planner.rules.bibliography import BROADCAST_MODULE_SIGHT, PART_107_ABLE, sight_rule
from planner.rules.case import Case
from planner.rules.stretches import Stretch, stretches
from planner.sight.along import GRAVEST_FIRST, Sight, SightProfile
from planner.sight.answer import SightAnswer
from planner.sight.ranges import SightRange
from planner.world.terrain import SurfaceKind

FLYING_ROLES = (Role.REMOTE_PILOT, Role.PERSON_AT_CONTROLS)


@attrs.frozen(eq=False)
class Demand:
    """People of whom one at least must see the aircraft at every moment.

    `graves` (people, n) is per sample what each of them has of it, an index into
    `GRAVEST_FIRST`; where they all miss it for so short that the pilot's own
    limit allows it, that is `BRIEFLY_HIDDEN` or whatever is graver.
    """

    people: tuple[CrewMember, ...]
    profiles: tuple[SightProfile, ...]
    reaches: tuple[SightRange, ...]
    graves: NDArray[np.int64]
    citation: str

    @property
    def grave(self) -> NDArray[np.int64]:
        """Per sample the best that any of them has of it."""
        return np.asarray(self.graves.max(axis=0), dtype=np.int64)

    @property
    def can_be_judged(self) -> bool:
        """Whether it is known how far any of them sees at all; said once, not for each stretch."""
        return any(reach.detection_m is not None and reach.attitude_m is not None for reach in self.reaches)

    @property
    def tried_against_sun(self) -> bool:
        """Whether all of them have tried their range toward the sun."""
        return all(reach.tried is not None and reach.tried.against_sun for reach in self.reaches)

    @property
    def barely(self) -> NDArray[np.bool_]:
        """Per sample whether whoever has it best sees it by less than the terrain's stated error takes."""
        graves = np.stack([profile.grave_but_for_errors for profile in self.profiles])
        best = graves.max(axis=0)
        barely = np.stack([profile.barely for profile in self.profiles])
        mattering = best > GRAVEST_FIRST.index(Sight.TOO_FAR)
        return np.asarray(mattering & (barely | (graves < best)).all(axis=0))

    def best_profile(self, part: Stretch) -> SightProfile:
        """Return what the one of them has who sees most of a stretch."""
        return max(self.profiles, key=lambda profile: float(profile.grave[part.slice].mean()))


def flyers_must_see(plan: Plan) -> str:
    """Return by which rule those who fly must be able to see the aircraft with goggles off, '' if by none.

    Without a purpose the stricter rule counts.
    """
    if plan.purpose is not Purpose.RECREATIONAL:
        return PART_107_ABLE
    if plan.aircraft is not None and plan.aircraft.remote_id is RemoteId.BROADCAST_MODULE:
        return BROADCAST_MODULE_SIGHT
    return ""


def must_see_by_themselves(plan: Plan) -> tuple[CrewMember, ...]:
    """Return those who fly and must be able to see the aircraft from where they stand."""
    if not (rule := flyers_must_see(plan)):
        return ()
    roles = (Role.PERSON_AT_CONTROLS,) if rule == BROADCAST_MODULE_SIGHT else FLYING_ROLES
    found = tuple(member for member in plan.crew if member.role in roles)
    # Who is the only one to fly has the controls.
    return found or plan.crew_in(Role.REMOTE_PILOT)


def without_place(plan: Plan) -> tuple[CrewMember, ...]:
    """Return those of whom nobody can say what they see, though it must be known: they stand nowhere.

    Of several observers one who stands somewhere is enough.
    """
    observers = plan.crew_in(Role.OBSERVER)
    watching = () if any(member.place is not None for member in observers) else observers
    return tuple(member for member in (*watching, *must_see_by_themselves(plan)) if member.place is None)


def all_stand_somewhere(plan: Plan) -> bool:
    """Whether an observer, and each who flies and must see by themselves, is there and has a place."""
    flying = not flyers_must_see(plan) or bool(must_see_by_themselves(plan))
    return flying and bool(plan.crew_in(Role.OBSERVER)) and not without_place(plan)


def missing_words(plan: Plan) -> str:
    """Return who must see and stands nowhere, or is not in the crew: 'no observer, Ash'; '' if nobody."""
    missing = [] if plan.crew_in(Role.OBSERVER) else ["no observer"]
    if flyers_must_see(plan) and not must_see_by_themselves(plan):
        missing.append("nobody who flies")
    missing += [name_or_role(member, plan.purpose) for member in without_place(plan)]
    return ", ".join(dict.fromkeys(missing))


def demanded_keys(case: Case) -> tuple[tuple[str, ...], ...]:
    """Return the keys of those who must see: groups of whom one has to, of people who stand somewhere."""
    placed = {member.key for member in case.plan.crew if member.place is not None}
    watching = case.plan.crew_in(Role.OBSERVER)
    observers = tuple(sorted(member.key for member in watching if member.key in placed))
    flying = sorted(member.key for member in must_see_by_themselves(case.plan) if member.key in placed)
    return (*((observers,) if observers else ()), *((key,) for key in flying))


def demands_of(case: Case) -> tuple[Demand, ...]:
    """Return who must see: one of the observers, and each who flies where the rules want that."""
    answer, plan = case.sight, case.plan
    if answer is None or not answer.profiles:
        return ()
    index_of = {member.key: index for index, member in enumerate(answer.people)}
    found = []
    for keys in demanded_keys(case):
        indices = [index_of[key] for key in keys]
        observing = answer.people[indices[0]].role is Role.OBSERVER
        found.append(
            _demand(case, answer, indices, sight_rule(plan.purpose) if observing else flyers_must_see(plan))
        )
    return tuple(found)


def _demand(case: Case, answer: SightAnswer, indices: list[int], citation: str) -> Demand:
    profiles = tuple(answer.profiles[index] for index in indices)
    return Demand(
        people=tuple(answer.people[index] for index in indices),
        profiles=profiles,
        reaches=tuple(answer.viewers[index].reach for index in indices),
        graves=_graves(case, answer, profiles),
        citation=citation,
    )


def _graves(case: Case, answer: SightAnswer, profiles: tuple[SightProfile, ...]) -> NDArray[np.int64]:
    graves = np.stack([profile.grave for profile in profiles])
    if case.track is None:
        return graves
    missed = graves.max(axis=0) == GRAVEST_FIRST.index(Sight.HIDDEN)
    for part in stretches(case.track, missed):
        for row, profile in enumerate(profiles):
            if _may_be_thin(answer, profile, part) and _is_brief(case, answer, part):
                but_for_hiding = profile.grave_but_for_hiding[part.slice]
                graves[row, part.slice] = np.minimum(
                    but_for_hiding, GRAVEST_FIRST.index(Sight.BRIEFLY_HIDDEN)
                )
    return graves


def _may_be_thin(answer: SightAnswer, profile: SightProfile, part: Stretch) -> bool:
    """Whether a mast or tree may be what hides it; bare ground and buildings are never thin."""
    surfaces = answer.surfaces
    if surfaces is None:
        return False
    return surfaces.ground.terrain.surface is SurfaceKind.SURFACE or bool(profile.thin[part.slice].all())


def _is_brief(case: Case, answer: SightAnswer, part: Stretch) -> bool:
    own_s, times = case.plan.own_unseen_s, answer.times
    if own_s is None or times is None:
        return False
    return float(times.time_s[part.last] - times.time_s[part.first]) <= min(
        own_s, most_own_unseen_s(case.plan)
    )


def most_own_unseen_s(plan: Plan) -> float:
    """Return for how long an own limit holds [s]: no longer than the call LOST waits before LAND."""
    lost_s = plan.sheet.calls.lost_s if plan.sheet is not None else LOST_LANDS_S
    return min(lost_s, LOST_LANDS_S)
