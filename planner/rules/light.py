"""Rules on light: the aircraft's own by twilight and night, and what was tried by day."""

from collections.abc import Iterator
from datetime import timedelta

from planner.plan.aircraft import Lights
from planner.plan.model import Plan, Purpose
from planner.rules.bibliography import PART_107_LIGHTS, RECREATIONAL_GUIDELINES, sight_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import or_waiver, waived
from planner.rules.moments import hour, hour_and_day
from planner.sight.ranges import tried_by_dark
from planner.sight.window_light import light_of
from planner.units import STATUTE_MILE_M
from planner.world.light import earlier_minute, later_minute
from planner.world.light_kinds import LightSpan, light_over

LIGHT_SEEN_M = 3 * STATUTE_MILE_M
_DAY = timedelta(days=1)


def lights_by_dark(case: Case) -> Iterator[Finding]:
    """Yield what the aircraft's light must be like while the sun is down."""
    spans = dark_spans(case.plan)
    if not spans:
        return
    plan = case.plan
    when = _when(plan, spans)
    lights = plan.aircraft.lights if plan.aircraft else None
    lacking = _lacking(lights)
    if lacking:
        yield _lacking_light(case, when, lacking, free=_free(case, spans))
    else:
        yield Finding(
            rule="lights-by-dark",
            mark=Mark.ACT,
            basis=Basis.LAW,
            title="Anti-collision light on",
            message=f"The sun is down {when}; the light must flash often enough to avoid collisions.",
            citation=_citation(plan),
            remedy="switch the light on before take-off, and land if it fails",
        )
    if plan.purpose is not Purpose.RECREATIONAL and any(span.night for span in spans):
        yield Finding(
            rule="night-training",
            mark=Mark.ACT,
            basis=Basis.LAW,
            title="Night: training or test after 6 April 2021",
            message="By night the remote pilot must have done a test or training that includes night flying.",
            citation=PART_107_LIGHTS,
            remedy="make sure that the training or test is on record and not too old",
        )


def _lacking(lights: Lights | None) -> str:
    if lights is None:
        return "whether it has one is not said"
    if not lights.anti_collision:
        return "it has none"
    if lights.visible_m is None:
        return "how far its light is seen is not said"
    if lights.visible_m < LIGHT_SEEN_M - 0.5:
        return f"its light is seen for {lights.visible_m / STATUTE_MILE_M:.1f} statute miles only"
    return ""


def _free(case: Case, spans: tuple[LightSpan, ...]) -> bool:
    """Whether waivers lift the light for all of it: 107.29(a)(2) for night, (b) for civil twilight."""
    night = any(span.night for span in spans)
    twilight = any(span.fixed_twilight or not span.night for span in spans)
    return (not night or waived(case, "107.29", "(a)(2)")) and (not twilight or waived(case, "107.29", "(b)"))


def _lacking_light(case: Case, when: str, lacking: str, *, free: bool) -> Finding:
    plan = case.plan
    lights = plan.aircraft.lights if plan.aircraft else None
    said = lights is not None and (not lights.anti_collision or lights.visible_m is not None)
    by_law = plan.purpose is Purpose.PART_107
    mark = Mark.ACT if free else Mark.STOP if said and by_law else Mark.UNKNOWN
    wanted = (
        "an anti-collision light seen for 3 statute miles"
        if plan.purpose is not Purpose.RECREATIONAL
        else "a light, without which nobody sees it, as the guidelines you follow say"
    )
    return Finding(
        rule="no-light-by-dark",
        mark=mark,
        basis=Basis.LAW,
        title="Light of the aircraft while the sun is down",
        message=f"The sun is down {when}. The aircraft must carry {wanted}; {lacking}.",
        citation=_citation(plan),
        remedy=(
            f"give the aircraft such a light, or fly while the sun is up{_by_day(plan)}"
            + (or_waiver(case, "107.29", "(a)(2)", "(b)") if by_law else "")
        ),
    )


def _by_day(plan: Plan) -> str:
    """Return ': begin the window at 19:00' for the nearest such window in daylight, '' without one."""
    anchor, window = plan.anchor(), plan.window
    if anchor is None or window is None:
        return ""
    length = window.end_utc - window.start_utc
    around = light_over(anchor, window.start_utc - _DAY, window.end_utc + _DAY)
    starts = [
        min(max(window.start_utc, later_minute(span.start_utc)), earlier_minute(span.end_utc - length))
        for span in around
        if span.day and later_minute(span.start_utc) + length <= span.end_utc
    ]
    if not starts:
        return ""
    start_utc = min(starts, key=lambda one: (abs(one - window.start_utc), one))
    return f": begin the window at {hour_and_day(start_utc, window)}"


def _citation(plan: Plan) -> str:
    return RECREATIONAL_GUIDELINES if plan.purpose is Purpose.RECREATIONAL else PART_107_LIGHTS


def tried_by_day_only(case: Case) -> Iterator[Finding]:
    """Yield what is left of an estimate or a trial of the day while the sun is down."""
    spans = dark_spans(case.plan)
    if not spans or case.sight is None:
        return
    crew = sorted(case.sight.people, key=lambda member: member.key)
    tried = [(member.called, tried_by_dark(case.plan, member)) for member in crew]
    untried = [name for name, one in tried if one is None]
    lights = [one.light for _, one in tried if one is not None]
    when = _when(case.plan, spans)
    if untried:
        yield Finding(
            rule="not-tried-by-dark",
            mark=Mark.UNKNOWN,
            basis=Basis.LAW,
            title="How far it is seen while the sun is down is not tried",
            message=(
                f"The estimate and what is tried by day are for daylight; the sun is down {when}. "
                f"Nobody knows how far these see the aircraft's light then: {', '.join(untried)}."
            ),
            citation=sight_rule(case.plan.purpose),
            remedy="try the distance in such light by the aircraft's light, and record it as such",
        )
    if lights:
        said = ", ".join(dict.fromkeys(f"“{light}”" if light else "not said" for light in lights))
        yield Finding(
            rule="tried-in-other-light",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Was it tried in such light?",
            message=f"The sun is down {when}; the light of the tried ranges is given as {said}.",
            citation=sight_rule(case.plan.purpose),
            remedy="count only on ranges tried in such light",
        )


def dark_spans(plan: Plan) -> tuple[LightSpan, ...]:
    """Return the spans of the plan's window in which the sun may be down."""
    return tuple(span for span in light_of(plan) if span.lights_wanted)


def _when(plan: Plan, spans: tuple[LightSpan, ...]) -> str:
    kinds = "night" if any(span.night for span in spans) else "civil twilight"
    first, last = (hour(at_utc, plan.window) for at_utc in (spans[0].start_utc, spans[-1].end_utc))
    between = f"between {first} and {last}"
    return f"{between} ({kinds})"


RULES = (lights_by_dark, tried_by_day_only)
