"""A flying area as JSON: its lowest limit, and what was asked of a flight anywhere in it."""

import math
from typing import Any

from planner.assessment import Assessment
from planner.ceiling.profile import AreaCeiling
from planner.flight.area_charge import AreaCharge
from planner.flight.area_flight import AreaFlight, Nearby
from planner.plan.aircraft import RadioUse
from planner.rules.charge_doubt import charge_doubt

Json = dict[str, Any]


def area_json(assessment: Assessment) -> Json | None:
    """Return what is known of the flying area; None without one."""
    if assessment.area is None:
        return None
    flight = assessment.case.area_flight if assessment.case else None
    return _limit(assessment.area) | {"flight": None if flight is None else _flight(assessment, flight)}


def _limit(area: AreaCeiling) -> Json:
    return {
        "lowest_limit_amsl_m": _number(area.lowest_limit_amsl_m),
        "lowest_limit_agl_m": _number(area.lowest_limit_agl_m),
        "planned_top_amsl_m": _number(area.planned_top_amsl_m),
        "over_by_m": _number(area.over_by_m),
        "binding": area.binding.value,
        "binding_name": area.binding_name,
        "lon": area.place.lon_deg,
        "lat": area.place.lat_deg,
        "uncertainty_m": _number(area.uncertainty_m),
        "unknown_share": _number(area.unknown_share),
    }


def _flight(assessment: Assessment, flight: AreaFlight) -> Json:
    given = flight.weather.wind is not None
    return {
        "top_agl_m": _number(flight.top_agl_m),
        "air_speed_mps": _number(flight.airspeed_mps),
        "wind_mps": _number(flight.wind_mps) if given else None,
        "gust_mps": _number(flight.gust_mps) if given else None,
        "fall_reach_m": _number(flight.reach_m),
        "drift_m": _number(flight.drift_m),
        "separation_m": _number(flight.separation_m),
        "flies_on_m": _number(flight.waits.reach_m),
        "flies_on_clearance_m": _number(flight.waits.clearance_m),
        "control_margin_db": _least_db(flight, RadioUse.CONTROL),
        "video_margin_db": _least_db(flight, RadioUse.VIDEO),
        "home": None if flight.charge is None else _home(assessment, flight.charge),
        "nearby": [_near(one) for one in flight.nearby],
    }


def _least_db(flight: AreaFlight, use: RadioUse) -> float | None:
    """Return the least margin at the area's top; None where there is none, or one is not known."""
    margins = [margin for one in flight.links if one.radio.use is use for margin in one.profile.margin_db]
    return _number(min(margins)) if margins and all(map(math.isfinite, margins)) else None


def _home(assessment: Assessment, charge: AreaCharge) -> Json:
    known = not charge.over_unknown and not charge_doubt(assessment.case)
    return {
        "known": known,
        "reserve": charge.reserve,
        "away_m": charge.away_m,
        "home_s": _number(charge.home_s),
        "turn_home_used_mah": _number(charge.turn_home_mah) if known else None,
        "left_at_once": _number(charge.left_at_once) if known else None,
    }


def _near(one: Nearby) -> Json:
    return {
        "what": one.thing.below.value,
        "name": one.thing.name,
        "drawn": one.thing.item is not None,
        "apart_m": one.apart_m,
        "drifted_on": one.drifted_on,
        "returned_over": one.returned_over,
        "ended_on": one.ended_on,
        "may_drift_on": one.may_drift_on,
        "may_end_on": one.may_end_on,
    }


def _number(value: float | None) -> float | None:
    return float(value) if value is not None and math.isfinite(value) else None
