"""The assessment as JSON: a documented contract (`resources/check.schema.json`).

Numbers keep the unit their key names; what isn't known is null, never a token
that JSON lacks. Moments are ISO 8601 in UTC.
"""

import math
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any

from planner.assessment import Assessment
from planner.briefing.area_json import area_json
from planner.briefing.beneath_json import beneath_json
from planner.briefing.figures_json import figures_json
from planner.briefing.loss_json import loss_json
from planner.briefing.traffic_json import traffic_json
from planner.flight.links import least_margin_db
from planner.permission.need import PermissionNeed
from planner.plan.aircraft import RadioUse
from planner.rules.data_status import DataStatus
from planner.rules.finding import Finding
from planner.rules.sight_axis import sight_axis
from planner.sight.along import GRAVEST_FIRST, Sight
from planner.units import ft_from_m
from planner.wording import CAUTIONS
from planner.world.currency import LayerState

SCHEMA_VERSION = 1

Json = dict[str, Any]

_COVERING = frozenset({LayerState.OK, LayerState.UNDATED, LayerState.EXPIRED, LayerState.NOT_YET_EFFECTIVE})
_SIGHT_KEYS = ("seen", "slant_range_m", "clearance_m", "sun_angle_deg", "reason")
_SEEN = {
    Sight.SEEN: True,
    Sight.BARELY: True,
    Sight.HIDDEN: False,
    Sight.TOO_FAR: False,
    Sight.BRIEFLY_HIDDEN: False,
}
_FLIGHT_KEYS = ("time_s", "charge_fraction", "control_margin_db", "video_margin_db")


def check_json(assessment: Assessment) -> Json:
    """Return the assessment as values that the `json` module writes as they are."""
    samples = len(assessment.track) if assessment.track else 0
    return {
        "schema": SCHEMA_VERSION,
        "verdict": assessment.verdict.value,
        "reason": assessment.reason,
        "valid_until": moment_text(assessment.valid_until_utc),
        "recheck": [{"what": item.what, "at": moment_text(item.at_utc)} for item in assessment.recheck],
        "findings": [_finding(finding) for finding in assessment.findings],
        "permissions": [_permission(need) for need in assessment.permissions],
        "profile": _profile(assessment),
        "area": area_json(assessment),
        "data": [_data(status) for status in assessment.data],
        "sight": _sight(assessment, samples),
        "flight": _flight(assessment, samples),
        "beneath": beneath_json(assessment, samples),
        "near_traffic": traffic_json(assessment),
        "figures": figures_json(assessment),
        "not_known": list(assessment.not_known),
        "invented": assessment.world.invented,
        "cautions": list(CAUTIONS),
    }


def moment_text(at_utc: datetime | None) -> str | None:
    """Return a moment as '2026-11-25T16:05:00Z', None as None."""
    if at_utc is None:
        return None
    return at_utc.astimezone(UTC).isoformat().replace("+00:00", "Z")


def _finding(finding: Finding) -> Json:
    return {
        "rule": finding.rule,
        "mark": finding.mark.value,
        "basis": finding.basis.value,
        "title": finding.title,
        "message": finding.message,
        "citation": finding.citation,
        "from_m": _number(finding.from_m),
        "to_m": _number(finding.to_m),
        "lon": finding.place.lon_deg if finding.place else None,
        "lat": finding.place.lat_deg if finding.place else None,
        "remedy": finding.remedy,
    }


def _permission(need: PermissionNeed) -> Json:
    return {
        "subject": need.subject.value,
        "airspace": need.airspace,
        "class": need.airspace_class,
        "route": need.route.value,
        "alternatives": [route.value for route in need.alternatives],
        "cell_ceiling_agl_ft": _feet(need.cell_ceiling_agl_m),
        "asked_agl_ft": _feet(need.asked_agl_m),
        "lead_time": need.lead_time,
        "recorded": need.recorded,
        "reference": need.record.reference if need.record else None,
        "references": [record.reference for record in need.records],
        "shortfall": need.shortfall,
        "from_m": _number(need.from_m),
        "to_m": _number(need.to_m),
    }


def _profile(assessment: Assessment) -> Json:
    track, profile = assessment.track, assessment.profile
    empty: tuple[float, ...] = ()
    return {
        "distance_m": _numbers(track.distance_m if track else empty),
        "lon": _numbers(track.lon_deg if track else empty),
        "lat": _numbers(track.lat_deg if track else empty),
        "ground_amsl_m": _numbers(track.ground_amsl_m if track else empty),
        "planned_amsl_m": _numbers(track.planned_amsl_m if track else empty),
        "ceiling_amsl_m": _numbers(profile.ceiling_amsl_m if profile else empty),
        "requestable_amsl_m": _numbers(profile.requestable_amsl_m if profile else empty),
        "binding": [binding.value for binding in profile.binding] if profile else [],
    }


def _sight(assessment: Assessment, samples: int) -> Json:
    axis = sight_axis(assessment.case)
    if axis is None:
        return {key: [None] * samples for key in _SIGHT_KEYS}
    sights = [GRAVEST_FIRST[index] for index in axis.grave]
    return {
        "seen": [
            True if sight is Sight.AGAINST_SUN and tried else _SEEN.get(sight)
            for sight, tried in zip(sights, axis.sun_tried, strict=True)
        ],
        "slant_range_m": _numbers(axis.slant_range_m),
        "clearance_m": _numbers(axis.clearance_m),
        "sun_angle_deg": _numbers(axis.sun_angle_deg),
        "reason": [None if sight is Sight.SEEN else sight.value for sight in sights],
    }


def _flight(assessment: Assessment, samples: int) -> Json:
    flight, found = assessment.flight, {key: [None] * samples for key in _FLIGHT_KEYS}
    if flight is None:
        return {**found, **loss_json(assessment, samples)}
    links = [link.profile for link in flight.links]
    return {
        "time_s": _numbers(flight.motion.time_s),
        "charge_fraction": (
            _numbers(flight.charge.energy.charge_fraction) if flight.charge else found["charge_fraction"]
        ),
        "control_margin_db": _numbers(least_margin_db(links, RadioUse.CONTROL, samples)),
        "video_margin_db": _numbers(least_margin_db(links, RadioUse.VIDEO, samples)),
        **loss_json(assessment, samples),
    }


def _data(status: DataStatus) -> Json:
    record = status.record
    return {
        "layer": status.layer.value,
        "state": status.state.value,
        "publisher": record.publisher if record else None,
        "effective": moment_text(record.effective_utc) if record else None,
        "expires": moment_text(record.expires_utc) if record else None,
        "covers": status.state in _COVERING,
    }


def _number(value: float | None) -> float | None:
    return float(value) if value is not None and math.isfinite(value) else None


def _numbers(values: Iterable[float]) -> list[float | None]:
    return [_number(value) for value in values]


def _feet(metres: float | None) -> float | None:
    number = _number(metres)
    return None if number is None else round(ft_from_m(number), 6)
