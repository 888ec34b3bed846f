"""The boxes that stop the flight, with their numbers."""

import math
from collections.abc import Iterator

import numpy as np

from planner.assessment import Assessment
from planner.briefing.words import clock, height_words, plain
from planner.flight.cloud import BELOW_CLOUD_M, LEAST_VISIBILITY_M
from planner.flight.failsafe import RETURNS
from planner.plan.aircraft import RadioUse, ReadoutSource, RemoteId
from planner.plan.model import Plan, Purpose
from planner.rules.stadium_near import unlisted_stadiums
from planner.units import NAUTICAL_MILE_M, STATUTE_MILE_M, kt_from_mps
from planner.wording import planned_ft, position
from planner.world.light import earlier_minute

_BLANK = "____"


def no_go_boxes(assessment: Assessment) -> list[str]:
    """Return what stops the flight, each a line without its box."""
    plan = assessment.plan
    return [
        wind_words(assessment),
        visibility_words(plan),
        cloud_words(assessment),
        _notices(plan),
        *_games(assessment),
        _channel(plan),
        _remote_id(plan),
        _readout(plan),
        *_return_height(plan),
    ]


def wind_limits_mps(assessment: Assessment) -> tuple[float | None, float | None]:
    """Return the most wind and gust: the pilot's own, and never more than was reckoned with."""
    sheet, flight = assessment.plan.sheet, assessment.flight
    case = assessment.case
    weather = flight.weather if flight else case.area_flight.weather if case and case.area_flight else None
    reckoned = weather.wind if weather else None
    wind = _least(sheet.most_wind_mps if sheet else None, reckoned.speed_mps if reckoned else None)
    gust = _least(sheet.most_gust_mps if sheet else None, reckoned.gust_mps if reckoned else None)
    return wind, gust


def wind_words(assessment: Assessment) -> str:
    """Return the box of the wind: knots rounded down."""
    wind, gust = wind_limits_mps(assessment)
    if wind is None and gust is None:
        return f"wind above {_BLANK} kt, gusts above {_BLANK} kt (no limit set: agree on one)"
    wind_kt = _BLANK if wind is None else f"{math.floor(kt_from_mps(wind) + 1e-6):.0f}"
    gust_kt = _BLANK if gust is None else f"{math.floor(kt_from_mps(gust) + 1e-6):.0f}"
    return f"wind above {wind_kt} kt, gusts above {gust_kt} kt"


def visibility_words(plan: Plan) -> str:
    """Return the box of the visibility: what was counted on, under part 107 three miles at least."""
    least_m = LEAST_VISIBILITY_M if plan.purpose is Purpose.PART_107 else 0.0
    wanted_m = max(plan.visibility_m or 0.0, least_m)
    if wanted_m <= 0.0:
        return f"visibility below {_BLANK} mi (none set: agree on one)"
    miles = math.ceil(wanted_m / STATUTE_MILE_M * 10 - 1e-6) / 10
    return f"visibility below {miles:g} mi"


def cloud_words(assessment: Assessment) -> str:
    """Return the box of the cloud: 500 ft over the highest planned height, above the launch point."""
    base_m = least_cloud_base_m(assessment)
    if base_m is None:
        return f"cloud below {_BLANK} ft (heights not known)"
    return f"cloud below {planned_ft(base_m)} above launch"


def least_cloud_base_m(assessment: Assessment) -> float | None:
    """Return the lowest cloud base above the launch point that leaves 500 ft [m]; None if not known."""
    track = assessment.track
    tops = [] if track is None else [float(np.max(track.planned_amsl_m))]
    launch_m = float("nan") if track is None else track.launch_ground_amsl_m
    samples = assessment.case.area_samples if assessment.case is not None else None
    # An area that only bounds the path has no heights of its own.
    if samples is not None and len(samples.planned_amsl_m):
        tops.append(float(np.max(samples.planned_amsl_m)))
        launch_m = samples.launch_ground_amsl_m
    known = tops and all(math.isfinite(top) for top in tops) and math.isfinite(launch_m)
    return max(tops) - launch_m + BELOW_CLOUD_M if known else None


def _notices(plan: Plan) -> str:
    by = f" by {clock(earlier_minute(plan.window.start_utc), plan.window)}" if plan.window else ""
    return f"notices not rechecked{by}"


def _games(assessment: Assessment) -> Iterator[str]:
    near = unlisted_stadiums(assessment.case) if assessment.case is not None else ()
    if near:
        names = ", ".join(plain(one.stadium.name, 28) or "stadium without a name" for one in near[:2])
        more = f" and {len(near) - 2} more" if len(near) > 2 else ""
        yield f"games that day not looked up: {names}{more} ({near[0].distance_m / NAUTICAL_MILE_M:.1f} NM)"


def _channel(plan: Plan) -> str:
    radios = plan.aircraft.radios if plan.aircraft else ()
    video = [radio for radio in radios if radio.use is RadioUse.VIDEO]
    if not video:
        return f"video channel {_BLANK} not agreed"
    names = [f"{plain(radio.channel, 12)} {radio.frequency_mhz:g} MHz".strip() for radio in video[:2]]
    return f"video channel {', '.join(names)} not agreed"


def _remote_id(plan: Plan) -> str:
    remote_id = plan.aircraft.remote_id if plan.aircraft else None
    if remote_id is RemoteId.NONE:
        return "no Remote ID: outside an exempt area"
    return "Remote ID self-test not passed"


def _readout(plan: Plan) -> str:
    readout = plan.aircraft.readout if plan.aircraft else None
    if readout is not None and readout.source is ReadoutSource.NONE:
        return "no height in the goggles: heights agreed by eye"
    return "height readout not zeroed at launch"


def _return_height(plan: Plan) -> Iterator[str]:
    loss = plan.aircraft.link_loss if plan.aircraft else None
    if loss is None:
        yield "link-loss action not known: set and test it"
    elif loss.action in RETURNS:
        height = f" {height_words(loss.height)}" if loss.height else ""
        yield f"return height{height} not set"
        if plan.return_point is not None:
            yield f"return point {position(plan.return_point)} not set"
    else:
        yield f"link-loss action not tested: {loss.action.value.replace('-', ' ')}"


def _least(own: float | None, reckoned: float | None) -> float | None:
    given = [value for value in (own, reckoned) if value is not None]
    return min(given) if given else None
