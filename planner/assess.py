"""The one call that desk, command line and briefing share: `assess(plan, world)`.

It has two parts. The live one (track, ceiling, permission and their rules) is
fast enough for every move of the mouse. The following one answers what takes
longer (`planner.following`); until it has, an assessment is not `whole`.
"""

from collections.abc import Hashable, Mapping

import attrs
from shapely.geometry.base import BaseGeometry

from planner.assessment import Assessment
from planner.ceiling.evaluate import Scene, over_area, profile_along
from planner.ceiling.height_needs import height_needs
from planner.following import followed
from planner.geo.frame import LocalFrame
from planner.geo.place import Place
from planner.geo.progress import Progress
from planner.geo.window import TimeWindow
from planner.permission.needs import airspace_uses, land_needs
from planner.plan.model import Plan
from planner.rules.air_given import air_unjudged
from planner.rules.area_waits import area_unjudged
from planner.rules.case import Case
from planner.rules.data_status import DataStatus, data_status
from planner.rules.finding import Finding
from planner.rules.flight_given import flight_given
from planner.rules.inquiry_uses import inquiry_uses
from planner.rules.judge import (
    following_findings,
    in_order_of_weight,
    live_findings,
    reason_of,
    recheck_of,
    valid_until,
)
from planner.rules.known_airspace import known_airspace
from planner.rules.need_as_flown import with_airspace_as_flown
from planner.rules.told_once import told_once
from planner.rules.undrawn import hand_on_ways
from planner.rules.undrawn_samples import undrawn_samples
from planner.rules.unknowns import not_checked
from planner.rules.usable import reliable_records, usable_world
from planner.rules.verdict import Verdict, verdict_of
from planner.track.build import LegMemory, build_track
from planner.track.joined import JoinedLegs
from planner.track.known_legs import known_track, unknown_legs
from planner.track.mapped import Mapped, map_world
from planner.track.patches import Patch, Patches
from planner.track.path_ends import PathEnds
from planner.track.restrictions import with_restrictions
from planner.track.samples import AreaSamples, sample_area, sample_spots
from planner.track.track import Track
from planner.world.currency import LayerState
from planner.world.layers import LayerRecord
from planner.world.world import World

_FRAME_STEP_DEG = 0.05
_NOT_LIVE = "Legs that are new are being worked out."
_NOT_WHOLE = "What the crew sees of the aircraft, and whether it comes home, is being worked out."


@attrs.define
class Memory:
    """What `assess` may keep between calls; it changes the speed, never the answer."""

    world: World | None = None
    known_of: tuple[World, TimeWindow | None] | None = None
    known: BaseGeometry | None = None
    mapped_key: tuple[Hashable, ...] = ()
    mapped: Mapped | None = None
    legs: LegMemory = attrs.field(factory=dict)
    path_ends: PathEnds = attrs.field(factory=PathEnds)
    joined: JoinedLegs = attrs.field(factory=JoinedLegs)
    area_key: tuple[Hashable, ...] = ()
    area: AreaSamples | None = None
    patches: Mapping[Hashable, Patch] = attrs.field(factory=dict)
    worth_of: "tuple[Plan, World, _Worth] | None" = None


def assess(plan: Plan, world: World, memory: Memory | None = None) -> Assessment:
    """Judge a plan in a world, whole.

    Pure: the same plan and world give the same answer; no clock, disk or
    network. Everything is judged against the plan's own time window.
    """
    return follow(assess_live(plan, world, memory))


def memory_of(answer: Assessment) -> Memory:
    """Return what a whole or live answer has laid out, for other plans in the same world."""
    memory, frame = Memory(), frame_for(answer.plan)
    if answer.scene is not None and frame is not None:
        worth = _worth(answer.plan, answer.world, memory)
        memory.world, memory.mapped_key = answer.world, _key(answer.plan, worth, frame)
        memory.mapped = answer.scene.mapped
    return memory


def follow(live: Assessment, progress: Progress | None = None) -> Assessment:
    """Return the whole assessment of what has only been judged live; may run on a worker.

    Raises
    ------
    Cancelled
        If `progress` says that nobody waits.
    """
    if live.whole or live.case is None:
        return live
    case, scene, found = followed(live.case, progress), live.scene, live.findings
    if scene is not None and (case.uses is not live.case.uses or _asks_for_more(live.case, case)):
        # Home on lost link takes more, or other airspace, than what is drawn.
        scene, found = attrs.evolve(scene, uses=case.uses), live_findings(case)
    findings = in_order_of_weight(told_once((*found, *following_findings(case, progress))))
    return _answer(case, findings, live.world, scene, whole=True)


def _asks_for_more(live: Case, case: Case) -> bool:
    """Whether the authority has to be asked about more than was known at first."""
    first, now = ([use.need for use in inquiry_uses(one)] for one in (live, case))
    return first != now


def assess_live(
    plan: Plan, world: World, memory: Memory | None = None, progress: Progress | None = None
) -> Assessment:
    """Judge what can be judged on every move of the mouse, unless hundreds of legs are new.

    Unless something must change already, the verdict stays open: it is not
    `whole` before `follow`.

    Raises
    ------
    Cancelled
        If `progress` says that nobody waits; the legs done until then are kept in `memory`.
    """
    memory = Memory() if memory is None else memory
    worth = _worth(plan, world, memory)
    mapped = _mapped(plan, worth, world, memory)
    track = _track(plan, mapped, memory, progress) if mapped else None
    area_samples = _area(plan, mapped, memory) if mapped else None
    # An area without a top only bounds the path on the map; alone it would leave nothing to judge.
    volume = area_samples if plan.area and (plan.area.top or track is None) else None
    spots = sample_spots(plan, mapped) if mapped else None
    laid = Case(
        plan=plan,
        world=worth.usable,
        mapped=mapped,
        track=track,
        profile=None,
        area_samples=area_samples,
        area=None,
        spots=spots,
        uses=(),
        needs=(),
        data=worth.data,
    )
    uses = airspace_uses(plan, mapped, track, volume, spots, undrawn_samples(laid)) if mapped else ()
    uses = with_airspace_as_flown(laid, uses)
    scene = Scene(plan, mapped, uses) if mapped else None
    flown = [samples for samples in (track, volume) if samples is not None]
    heights = height_needs(plan, mapped, flown) if mapped else ()
    case = attrs.evolve(
        laid,
        profile=profile_along(track, scene) if track and scene else None,
        area=over_area(volume, scene) if volume and scene else None,
        uses=uses,
        needs=(*(use.need for use in uses), *heights, *land_needs(plan)),
    )
    hand_on_ways(laid, case)
    return _answer(case, live_findings(case), world, scene, whole=False)


def legs_to_judge(plan: Plan, world: World, memory: Memory) -> int:
    """Return how many legs `assess_live` would have to sample; each takes a good half of a millisecond."""
    mapped = _kept(plan, _worth(plan, world, memory), world, memory)
    if mapped is None or len(plan.path) < 2:
        return max(len(plan.path) - 1, 0)
    return unknown_legs(plan, mapped, memory.legs, memory.path_ends)


def assess_ahead(plan: Plan, world: World, memory: Memory) -> Assessment:
    """Return what is known before any new leg is sampled: nothing of these, and no verdict.

    It is not `live`. Where more legs are known than not, they are in `track` and `profile`; of the
    others heights and ceilings are not known, only where their ends are.
    """
    worth = _worth(plan, world, memory)
    mapped = _kept(plan, worth, world, memory)
    found = None
    if mapped is not None and len(plan.path) > 1:
        found = known_track(plan, mapped, memory.legs, memory.path_ends)
    track = profile = None
    if mapped is not None and found is not None:
        track = found.track
        scene = Scene(plan, mapped, airspace_uses(plan, mapped, track, None, None))
        profile = profile_along(track, scene).forgetting(~found.known[track.leg])
    return Assessment(
        plan=plan,
        world=world,
        verdict=Verdict.UNDETERMINED,
        reason=_NOT_LIVE,
        findings=(),
        permissions=(),
        data=worth.data,
        track=track,
        profile=profile,
        whole=False,
        live=False,
    )


def _answer(
    case: Case, findings: tuple[Finding, ...], world: World, scene: Scene | None, *, whole: bool
) -> Assessment:
    verdict = verdict_of(findings, case.needs)
    reason = reason_of(verdict, findings, case)
    if not whole and verdict in (Verdict.READY, Verdict.PERMISSION_NEEDED):
        verdict, reason = Verdict.UNDETERMINED, _NOT_WHOLE
    return Assessment(
        plan=case.plan,
        world=world,
        verdict=verdict,
        reason=reason,
        findings=findings,
        permissions=case.needs,
        data=case.data,
        track=case.track,
        profile=case.profile,
        area=case.area,
        valid_until_utc=valid_until(case, verdict),
        recheck=recheck_of(case),
        not_known=(
            *not_checked(
                {status.layer for status in case.data if status.state is LayerState.OK}, flight_given(case)
            ),
            *air_unjudged(case),
            *area_unjudged(case),
        ),
        scene=scene,
        sight=case.sight,
        flight=case.flight,
        case=case,
        whole=whole,
    )


def frame_for(plan: Plan) -> LocalFrame | None:
    """Return the plane a plan is laid out in; its origin moves in coarse steps only."""
    anchor = plan.anchor()
    if anchor is None:
        return None
    return LocalFrame(Place(_clamped(anchor.lon_deg, 180.0), _clamped(anchor.lat_deg, 90.0)))


def _clamped(degrees: float, limit: float) -> float:
    stepped = round(degrees / _FRAME_STEP_DEG) * _FRAME_STEP_DEG
    return max(-limit, min(limit, stepped))


def _known(plan: Plan, world: World, memory: Memory) -> BaseGeometry:
    """Return where it is known which airspace there is, kept as one object while world and window stay."""
    kept = memory.known_of
    if memory.known is None or kept is None or kept[0] is not world or kept[1] != plan.window:
        known = known_airspace(world.layers, plan.window)
        if memory.known is None or memory.known != known:
            memory.known = known
        memory.known_of = world, plan.window
    return memory.known


@attrs.frozen(eq=False)
class _Worth:
    """What the world is worth to a plan: which data may be relied on, and which airspace is known."""

    data: tuple[DataStatus, ...]
    reliable: frozenset[LayerRecord]
    usable: World
    known: BaseGeometry


def _worth(plan: Plan, world: World, memory: Memory) -> _Worth:
    last = memory.worth_of
    if last is not None and last[0] is plan and last[1] is world:
        return last[2]
    data, reliable = data_status(plan, world), reliable_records(plan, world)
    usable = with_restrictions(usable_world(world, data, reliable), plan.restrictions)
    worth = _Worth(data, reliable, usable, _known(plan, world, memory))
    memory.worth_of = (plan, world, worth)
    return worth


def _mapped(plan: Plan, worth: _Worth, world: World, memory: Memory) -> Mapped | None:
    frame = frame_for(plan)
    if frame is None:
        return None
    if (kept := _kept(plan, worth, world, memory)) is not None:
        return kept
    mapped = map_world(
        worth.usable, plan.permissions, frame, obstacles=world.structures, airspace_known=worth.known
    )
    memory.world, memory.mapped_key, memory.mapped = world, _key(plan, worth, frame), mapped
    # Not emptied: somebody may still be filling the old ones.
    memory.legs = {}
    memory.area_key = ()
    memory.patches = {}
    return mapped


def _kept(plan: Plan, worth: _Worth, world: World, memory: Memory) -> Mapped | None:
    """Return the world as it was laid out last, None where that does not hold for this plan."""
    frame = frame_for(plan)
    if frame is None or memory.world is not world or memory.mapped_key != _key(plan, worth, frame):
        return None
    return memory.mapped


def _key(plan: Plan, worth: _Worth, frame: LocalFrame) -> tuple[Hashable, ...]:
    states = tuple(status.state for status in worth.data)
    return (frame.origin, states, worth.reliable, worth.known, plan.permissions, plan.restrictions)


def _track(plan: Plan, mapped: Mapped, memory: Memory, progress: Progress | None) -> Track | None:
    ends = memory.path_ends.of(plan, mapped) if len(plan.path) > 1 else None
    return build_track(plan, mapped, memory.legs, progress, ends, memory.joined)


def _area(plan: Plan, mapped: Mapped, memory: Memory) -> AreaSamples | None:
    key = (plan.area, plan.launch.place if plan.launch else None, plan.path[:1], len(plan.path) > 1)
    if memory.area_key != key:
        memory.area_key = key
        patches = Patches(memory.patches)
        memory.area = sample_area(plan, mapped, patches)
        memory.patches = patches.used
    return memory.area
