"""Aerodromes near path or flying area, as JSON."""

from typing import Any

from planner.assessment import Assessment
from planner.rules.near_traffic import Traffic, traffic_of

Json = dict[str, Any]


def traffic_json(assessment: Assessment) -> list[Json]:
    """Return the aerodromes near path or flying area, the nearest first."""
    return [] if assessment.case is None else [_aerodrome(one) for one in traffic_of(assessment.case)]


def _aerodrome(one: Traffic) -> Json:
    near = one.near
    return {
        "ident": near.aerodrome.ident,
        "name": near.aerodrome.name,
        "kind": near.aerodrome.kind.value,
        "distance_m": near.distance_m,
        "toward_true_deg": near.toward.deg,
        "at_m": near.at_m,
        "traffic_may_be_low": one.meets,
        "runways": [
            {
                "name": met.name,
                "beyond_end_m": met.beyond_m,
                "aside_m": met.aside_m,
                "centre_line_crossed_m": met.crossed_m,
                "under_approach": met.under_approach,
                "above_surface": met.above_surface,
            }
            for met in one.runways
        ],
        "listen": [{"use": use, "mhz": mhz} for use, mhz in one.frequencies],
    }
