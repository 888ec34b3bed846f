"""Where the program's answer and the twin's differ, in words; nothing else is a difference."""

from collections.abc import Iterator
from datetime import timedelta

import attrs

from planner.assess import assess
from planner.assessment import Assessment
from planner.briefing.request_sheet import requests_for
from planner.briefing.request_words import typed_agl_m
from planner.geo.heights import AboveGround
from planner.plan.model import Plan
from planner.plan.records import PermissionKind
from planner.rules.finding import Finding, Mark
from planner.rules.verdict import Verdict
from planner.world.world import World
from tests import worlds
from tests.lost_link.twin_air import CLOSED
from tests.lost_link.twin_judge import Above, Answer, Twin
from tests.lost_link.twin_worlds import Case

BOUND_M = 0.3
"""Heights between samples to 10 cm, the lowest ground within an error sideways to 11, an area's grid."""

STOPS = {
    "above-height-limit",
    "area-above-limit",
    "closed-airspace",
    "ground-falls-too-fast",
    "link-loss-above-ceiling",
    "link-loss-comes-through",
}
OPENS = {
    "class-e-extension",
    "class-e-recreational",
    "link-loss-asks",
    "link-loss-not-known",
    "closed-at-times",
}


def differences(case: Case) -> Iterator[str]:
    """Yield what differs between the program and the twin, before and after what is asked for is granted."""
    before, twin = assess(case.plan, case.world), Twin(case.plan, case.world).answer()
    yield from against(before, twin, case.world)
    plan = granted(case.plan, before)
    if plan is None:
        return
    stopped = _told(before)
    after, allowed = assess(plan, case.world), Twin(plan, case.world).answer()
    for difference in against(after, allowed, case.world):
        yield f"granted as asked: {difference}"
    if stopped:
        return
    for one in allowed.surely:
        if one.depth_m > BOUND_M:
            yield f"asked too low or too small: {words(one, case.world)}"
    new = {f.rule for f in _told(after)}
    if new and allowed.maybe.depth_m < -BOUND_M:
        yield f"granted as asked, yet {sorted(new)}: {allowed.maybe}"


def against(answer: Assessment, twin: Answer, world: World) -> Iterator[str]:
    """Yield what is above for sure and is not told, or told as less; and what is told and is not."""
    told = _told(answer)
    asked = {need.airspace for need in answer.permissions if not need.recorded}
    for one in twin.surely:
        if one.depth_m <= BOUND_M:
            continue
        if answer.verdict is Verdict.READY:
            yield f"Ready: {words(one, world)}"
        elif not _named(one, world, told, asked, twin):
            yield f"not told ({answer.verdict.value}, {[f.rule for f in told]}): {words(one, world)}"
    if twin.by_words_alone:
        yield from _told_as_less(told, twin, world)
    stops = [finding for finding in told if finding.mark is Mark.STOP]
    if stops and twin.maybe.depth_m < -BOUND_M:
        yield f"needless {[f.message for f in stops]}: {words(twin.maybe, world)}"


def _told(answer: Assessment) -> list[Finding]:
    return [
        one
        for one in answer.findings
        if (one.mark is Mark.STOP and one.rule in STOPS)
        or (one.mark is Mark.UNKNOWN and one.rule in STOPS | OPENS)
    ]


def _named(one: Above, world: World, told: list[Finding], asked: set[str], twin: Answer) -> bool:
    """Whether something tells of it: by its name where it is all that is above."""
    if one.zone < 0:
        return bool(told)
    name = world.airspace[one.zone].name
    if name in asked or any(name in f"{f.title} {f.message}" for f in told):
        return True
    others = {other.zone for other in twin.single if other.depth_m > 0.0} - {one.zone}
    return bool(told) and bool(others)


def _told_as_less(told: list[Finding], twin: Answer, world: World) -> Iterator[str]:
    """Yield where only the height limit is broken, and by more than is told."""
    above = [one for one in twin.surely if one.depth_m > BOUND_M]
    figures = [f.numbers["over_m"] for f in told if "over_m" in f.numbers]
    if not figures or not above or any(one.zone >= 0 for one in twin.single):
        return
    worst = max(above, key=lambda one: one.depth_m)
    if max(figures) < worst.depth_m - BOUND_M:
        yield f"told as {max(figures):.2f} m: {words(worst, world)}"


def granted(plan: Plan, answer: Assessment) -> Plan | None:
    """Return the plan with what each request asks on record, just as asked; None: nothing to ask."""
    kinds = {volume.name: volume.kind for volume in answer.world.airspace}
    papers = []
    for k, request in enumerate(requests_for(answer)):
        high = typed_agl_m(request)
        if request.need.recorded or high is None:
            continue
        kind = (
            PermissionKind.AGENCY
            if kinds.get(request.need.airspace) in CLOSED
            else PermissionKind.AUTHORIZATION
        )
        papers.append(
            worlds.record(
                request.need.airspace,
                AboveGround(high),
                kind,
                reference=f"GRANTED-{k}",
                ring=request.area.ring,
                valid_from_utc=worlds.WINDOW.start_utc - timedelta(hours=1),
                valid_to_utc=worlds.WINDOW.end_utc,
            )
        )
    return attrs.evolve(plan, permissions=(*plan.permissions, *papers)) if papers else None


def words(one: Above, world: World) -> str:
    """Say what is above, by how much, and where [m east, north, AMSL]."""
    zone = (
        "the height limit"
        if one.zone < 0
        else f"{world.airspace[one.zone].name} ({world.airspace[one.zone].kind})"
    )
    at = ", ".join(f"{axis:.1f}" for axis in one.place)
    return f"{one.phase} {one.depth_m:.2f} m above {zone} at ({at})"
