"""The radios of the aircraft as rows of a table."""

import math

import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.briefing.words import NOT_GIVEN, plain
from planner.flight.links import LinkProfile
from planner.plan.aircraft import Radio, RadioUse
from planner.wording import distance

Floats = NDArray[np.float64]

_USE = {RadioUse.CONTROL: "control", RadioUse.VIDEO: "video"}


def radio_rows(assessment: Assessment) -> list[list[str]]:
    """Return use, channel, MHz, power, kind, least margin and where it is, for each radio."""
    aircraft, flight, track = assessment.plan.aircraft, assessment.flight, assessment.track
    rows = []
    for radio in aircraft.radios if aircraft else ():
        links = [link.profile for link in flight.links if link.radio == radio] if flight else []
        margin, where = _area_margin(assessment, radio)
        if links:
            margin, where = _margin(links[0], track.distance_m if track else None)
        rows.append(
            [
                _USE[radio.use],
                plain(radio.channel, 12) or "–",
                f"{radio.frequency_mhz:g}",
                f"{radio.power_mw:g} mW" if radio.power_mw is not None else NOT_GIVEN,
                _kind(radio),
                margin,
                where,
            ]
        )
    rows += [
        [
            f"{plain(other.name, 24)} (other pilot)",
            plain(other.channel, 12) or "–",
            f"{other.frequency_mhz:g}",
            "–",
            "–",
            "–",
            "–",
        ]
        for other in assessment.plan.other_pilots
    ]
    return rows


def _area_margin(assessment: Assessment, radio: Radio) -> tuple[str, str]:
    """Return the least margin anywhere in a flying area: at its top, or low in it where that is too weak."""
    flight = assessment.case.area_flight if assessment.case and assessment.flight is None else None
    if flight is None:
        return "–", "–"
    at = [(link.profile, "area's top") for link in flight.links if link.radio == radio]
    at += [(one.low.profile, "low in area") for one in flight.low_links if one.radio == radio]
    if not at:
        return "–", "–"
    known = [(float(np.nanmin(one.margin_db)), where) for one, where in at if one.worst is not None]
    if not known:
        return "not known", "–"
    least_db, where = min(known)
    return _decibels(least_db), where


def _decibels(margin_db: float) -> str:
    # Rounded down: a margin is a limit.
    return f"{math.floor(margin_db + 1e-9)} dB"


def _kind(radio: Radio) -> str:
    return "–" if radio.analog is None else ("analog" if radio.analog else "digital")


def _margin(profile: LinkProfile, distance_m: Floats | None) -> tuple[str, str]:
    worst = profile.worst
    if worst is None or distance_m is None:
        return "not known", "–"
    return _decibels(float(profile.margin_db[worst])), f"at {distance(float(distance_m[worst]))}"
