"""What the pilot's page says, as values for the template."""

from collections.abc import Iterator
from typing import Any

import attrs
import numpy as np

from planner.assessment import Assessment
from planner.briefing.aerodromes_near import aerodrome_rows
from planner.briefing.area_words import top_words
from planner.briefing.derivation_words import derivation_lines
from planner.briefing.figure_words import figure_rows
from planner.briefing.link_loss_words import link_loss_lines
from planner.briefing.never_exceed_words import NOTE as NEVER_NOTE
from planner.briefing.points_table import points_table
from planner.briefing.radio_words import radio_rows
from planner.briefing.typesetting import Picture
from planner.briefing.words import plain
from planner.ceiling.derivation import Derivation, Step, StepKind, derive_along, derive_at
from planner.drawing.profile_picture import binding_words, profile_picture
from planner.drawing.strip_picture import strips_picture
from planner.geo.geodesy import distance_m
from planner.rules.area_charge import turn_home_words
from planner.rules.charge_doubt import charge_doubt
from planner.rules.flight_energy import basis_words
from planner.rules.flight_words import percent
from planner.rules.turn_back_words import by_itself_words, turn_back_words
from planner.track.track import Track
from planner.wording import distance, limit_ft, planned_ft, position

Values = dict[str, Any]

_MOST_CHECKED = 3
_APART_M = 1.0
_SAID_ELSEWHERE = frozenset({StepKind.TERRAIN_UNCERTAINTY, StepKind.READOUT_ERROR})


def pilot_page(assessment: Assessment, profile_width: float, profile_height: float) -> Values:
    """Return the values of page two; the profile measures that many points."""
    return {
        "profile": Picture(profile_picture(assessment, profile_width, profile_height)),
        "strips": Picture(strips_picture(assessment, profile_width)),
        "points": [attrs.asdict(row) for row in points_table(assessment)],
        "never_note": NEVER_NOTE,
        "figures": figure_rows(assessment),
        "area": area_words(assessment),
        "battery": battery_lines(assessment),
        "link_loss": link_loss_lines(assessment),
        "radios": radio_rows(assessment),
        "aerodromes": aerodrome_rows(assessment),
        "checked": checked_by_hand(assessment),
    }


def area_words(assessment: Assessment) -> str:
    """Return the lowest limit over the flying area in a sentence, '' without an area."""
    area = assessment.area
    if area is None:
        return ""
    at = f"at {position(area.place)}"
    if area.lowest_limit_amsl_m is None:
        return f"Lowest limit over the flying area: not known, {at}."
    room = ""
    if area.over_by_m is not None:
        over = area.over_by_m > 0
        top = f"Its top, {reaches}," if (reaches := top_words(assessment)) else "Its top"
        room = f" {top} is {planned_ft(area.over_by_m)} above it." if over else ""
        room = room or f" {top} leaves {limit_ft(-area.over_by_m)}."
    limit = f"{limit_ft(area.lowest_limit_agl_m)} above ground ({limit_ft(area.lowest_limit_amsl_m)} AMSL)"
    binding = binding_words(area.binding, area.binding_name)
    return f"Lowest limit over the flying area: {limit} {at}, set by: {plain(binding)}.{room}"


def battery_lines(assessment: Assessment) -> list[str]:
    """Return what the battery holds and until where it brings the aircraft home."""
    aircraft, flight = assessment.plan.aircraft, assessment.flight
    if aircraft is None or aircraft.battery is None:
        return ["Battery not given: whether it comes home is not checked. Land on your own timer."]
    pack = aircraft.battery
    head = f"{pack.cells} cells, {pack.capacity_mah:,.0f} mAh, {plain(pack.chemistry, 20)}."
    if flight is None and (words := _home_from_area(assessment)):
        return [head, words]
    if flight is None or flight.charge is None:
        return [head, "Power not given, or no path: whether it comes home is not checked."]
    charge = flight.charge
    doubt = charge_doubt(assessment.case) or (
        "Ground on the way home is not known everywhere" if charge.over_unknown.any() else ""
    )
    if doubt and charge.turn_back.at_m is None:
        return [head, f"{doubt}: whether it comes home is not known.", basis_words(flight, charge)]
    left = charge.turn_back.left_fraction
    least = (
        f"At home with {percent(float(left.min()))} at least"
        if np.isfinite(left).all()
        else "From some of the path the wind keeps it from home, or nobody knows"
    )
    back = turn_back_words(charge) or "No turn-back point: home is reached with the reserve from everywhere."
    by_itself = by_itself_words(assessment.case) if assessment.case else ""
    if by_itself:
        # The figure to fly by stands first.
        back = f"{by_itself} Flown by hand: {back[0].lower()}{back[1:]}"
    return [
        head,
        f"{least}; the reserve is {percent(charge.reserve)}.",
        back,
        basis_words(flight, charge),
    ]


def _home_from_area(assessment: Assessment) -> str:
    """Return when a flight in an area turns home at the latest; '' where that is not known at all."""
    case = assessment.case
    charge = case.area_flight.charge if case and case.area_flight else None
    if charge is None:
        return ""
    doubt = charge_doubt(case) or (
        "Ground on the way home is not known everywhere" if charge.over_unknown else ""
    )
    if charge.left_at_once < charge.reserve:
        return (
            "From the far end of the area home is not reached with the reserve, flown there and back at once."
        )
    return f"{doubt}: whether it comes home is not known." if doubt else turn_home_words(charge)


def checked_by_hand(assessment: Assessment) -> Values:
    """Return three places whose ceiling can be added up by hand, least room among them.

    `places` are their headings, `rows` the steps: what, then change and height at each place.
    """
    derived = list(_derivations(assessment))
    columns = [
        [
            (_what(step, line.what, derivation), [line.change, line.height.removesuffix(" above launch")])
            for step, line in zip(derivation.steps, derivation_lines(derivation), strict=True)
            if step.kind not in _SAID_ELSEWHERE
        ]
        for _where, derivation in derived
    ]
    return {
        "places": [[where, position(derivation.place)] for where, derivation in derived],
        "rows": side_by_side(columns),
    }


def _what(step: Step, words: str, derivation: Derivation) -> str:
    """Return what a step is; with the last one the readout's error, so that it can be taken off by hand."""
    errors = [one.change_m for one in derivation.steps if one.kind is StepKind.READOUT_ERROR]
    if step.kind is not StepKind.ABOVE_LAUNCH or step.result_m is None or not errors:
        return words
    return f"{words} of {planned_ft(errors[0])}"


def _derivations(assessment: Assessment) -> Iterator[tuple[str, Derivation]]:
    """Yield places along the path, or of an area flown freely its lowest limit and two corners."""
    track, scene, area = assessment.track, assessment.scene, assessment.area
    if scene is None:
        return
    if track is not None:
        if np.isfinite(track.distance_m).all():
            for at_m in _places_to_check(assessment, track):
                yield f"at {distance(at_m)}", derive_along(scene, track, at_m)
        return
    if area is not None and assessment.plan.area is not None:
        yield "lowest limit", derive_at(scene, area.place)
        corners = [
            (number, place)
            for number, place in enumerate(assessment.plan.area.ring, start=1)
            if distance_m(place, area.place) > _APART_M
        ]
        for number, place in (corners[0], corners[len(corners) // 2]):
            yield f"corner {number}", derive_at(scene, place)


def side_by_side(columns: list[list[tuple[str, list[str]]]]) -> list[Values]:
    """Return the steps of several places in one list, each place's own order kept."""
    rows: list[Values] = []
    for place, column in enumerate(columns):
        at = 0
        for what, cells in column:
            found = next((n for n in range(at, len(rows)) if rows[n]["what"] == what), None)
            if found is None:
                rows.insert(at, {"what": what, "cells": [["", ""] for _ in columns]})
                found = at
            rows[found]["cells"][place] = cells
            at = found + 1
    return rows


def _places_to_check(assessment: Assessment, track: Track) -> list[float]:
    along_m = track.distance_m
    wanted: list[float] = []
    if assessment.profile is not None:
        room_m = assessment.profile.ceiling_amsl_m - track.planned_amsl_m
        if np.isfinite(room_m).any():
            wanted.append(float(along_m[int(np.nanargmin(room_m))]))
            along_m = along_m[np.isfinite(room_m)]
    kept: list[float] = []
    middle_m, third_m = (float(along_m[len(along_m) // part]) for part in (2, 3))
    for at_m in (*wanted, float(along_m[0]), float(along_m[-1]), middle_m, third_m):
        if all(abs(at_m - other) > _APART_M for other in kept) and len(kept) < _MOST_CHECKED:
            kept.append(at_m)
    return sorted(kept)
