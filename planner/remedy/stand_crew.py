"""From an assessment to the question where its crew should stand, and from an answer to an edit."""

from planner.assessment import Assessment
from planner.errors import PlanError
from planner.geo.geodesy import distance_m
from planner.geo.place import Place
from planner.plan.crew import CrewMember, Role
from planner.plan.edits.crew import MoveCrewTogether
from planner.plan.model import Plan
from planner.remedy.stand import WALK_M, StandQuestion
from planner.rules.must_see import must_see_by_themselves
from planner.sight.ranges import SightRange, range_in_plan

_BESIDE_M = 10.0


def stand_question(answer: Assessment, walk_m: float = WALK_M) -> StandQuestion:
    """Return the question where the observer, and who stands beside them, should stand.

    Raises
    ------
    PlanError
        If something is missing without which it can't be answered.
    """
    plan, sight, track = answer.plan, answer.sight, answer.track
    if track is None or len(track) < 2:
        raise PlanError("there is no path to look at", remedy="draw the path first")
    if sight is None or sight.surfaces is None:
        raise PlanError("the ground is not known", remedy="add terrain first")
    if plan.launch is None:
        raise PlanError("nobody knows from where to walk", remedy="set the launch point first")
    observers = plan.crew_in(Role.OBSERVER)
    if not observers:
        raise PlanError("there is no visual observer", remedy="add one to the crew first")
    reach = _shortest_reach(plan, observers[0])
    if reach is None:
        raise PlanError(
            "nobody knows how far the aircraft is seen",
            remedy="give its largest dimension and the visibility; for the dark, a range tried by dark",
        )
    return StandQuestion(
        track=track,
        surfaces=sight.surfaces,
        launch=plan.launch.place,
        reach=reach,
        footing=sight.footing,
        walk_m=walk_m,
        conditions=sight.conditions,
    )


def _shortest_reach(plan: Plan, observer: CrewMember) -> SightRange | None:
    """Return how far all who must see and would stand there see it; None where that isn't known of one."""
    beside = [
        member for member in must_see_by_themselves(plan) if _goes_along(member, observer, must_see=True)
    ]
    reaches = [range_in_plan(plan, member) for member in (observer, *beside)]
    known = [one for one in reaches if one.detection_m is not None and one.attitude_m is not None]
    return min(known, key=lambda one: one.attitude_m or 0.0) if len(known) == len(reaches) else None


def move_there(plan: Plan, place: Place) -> MoveCrewTogether:
    """Return the edit that puts the first observer there, and with them who stands beside or nowhere yet."""
    observer = plan.crew_in(Role.OBSERVER)[0]
    must = {member.key for member in must_see_by_themselves(plan)}
    along = [member.key for member in plan.crew if _goes_along(member, observer, member.key in must)]
    return MoveCrewTogether([observer.key, *along], place)


def _goes_along(member: CrewMember, observer: CrewMember, must_see: bool) -> bool:
    if member.key == observer.key or member.role is Role.SPECTATOR:
        return False
    if member.place is None:
        return must_see
    return observer.place is not None and distance_m(member.place, observer.place) <= _BESIDE_M
