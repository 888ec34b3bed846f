"""Charge, links and what is beneath at one distance along the path, in words; no Qt."""

import math

import numpy as np

from planner.assessment import Assessment
from planner.desk.profile.beneath_strip import under_words
from planner.desk.profile.flight_strips import not_checked
from planner.desk.saying import distance, planned_words, said
from planner.drawing.strip_words import BELOW_WORDS
from planner.plan.aircraft import RadioUse
from planner.rules.beneath_axis import beneath_axis
from planner.rules.beneath_judged import judged
from planner.rules.charge_doubt import charge_doubt
from planner.rules.flight_axis import charge_of, link_axis
from planner.rules.flight_words import percent


def strip_words(assessment: Assessment, distance_m: float, strip: str) -> tuple[str, ...]:
    """Return what stands behind one strip at a distance [m], at length; nothing for strips of others."""
    track = assessment.track
    if track is None:
        return ()
    sample = int(np.clip(np.searchsorted(track.distance_m, distance_m), 0, len(track) - 1))
    match strip:
        case "battery":
            return _battery(assessment, sample)
        case "control":
            return _link(assessment, sample, RadioUse.CONTROL)
        case "video":
            return _link(assessment, sample, RadioUse.VIDEO)
        case "beneath":
            return _beneath(assessment, sample, distance_m)
        case "others":
            return tuple(f"{name}: {why}" for name, why in not_checked(assessment))
    return ()


def brief_words(assessment: Assessment, distance_m: float) -> tuple[str, ...]:
    """Return the figures alone, for the line that tells of everything."""
    track = assessment.track
    if track is None or not assessment.whole:
        return ()
    sample = int(np.clip(np.searchsorted(track.distance_m, distance_m), 0, len(track) - 1))
    told = []
    if (charge := charge_of(assessment.flight)) is not None:
        told.append(f"battery {percent(float(charge.energy.charge_fraction[sample]))}")
    axes = {use: link_axis(assessment.flight, use) for use in RadioUse}
    told += [f"{use.value} {_db(float(axis.margin_db[sample]))}" for use, axis in axes.items() if axis]
    under = beneath_axis(assessment.case)
    if under is not None and (kind := under.over_at(sample)) is not None:
        told.append(f"over {BELOW_WORDS[kind]}")
    return tuple(told)


def _battery(assessment: Assessment, sample: int) -> tuple[str, ...]:
    charge = charge_of(assessment.flight)
    if charge is None:
        return ()
    energy, back = charge.energy, charge.turn_back
    left = float(energy.charge_fraction[sample])
    if not math.isfinite(left):
        return ("battery: not known, the wind does not let the way be held",)
    at_home = float(back.left_fraction[sample])
    home = f"with {percent(at_home)}" if math.isfinite(at_home) and at_home > 0.0 else "not reached"
    if bool(back.enough[sample]) and (charge_doubt(assessment.case) or bool(charge.over_unknown[sample])):
        home = "not known"
    kept = "" if bool(back.enough[sample]) else " not kept"
    return (
        f"battery {percent(left)} left, {round(float(energy.used_mah[sample])):,} mAh used",
        f"home from here {home}, reserve of {percent(charge.reserve)}{kept}",
        f"{float(energy.cell_v[sample]):.2f} V a cell under load",
    )


def _link(assessment: Assessment, sample: int, use: RadioUse) -> tuple[str, ...]:
    axis = link_axis(assessment.flight, use)
    if axis is None:
        return ()
    link = axis.link_at(sample)
    kind = {True: "analog ", False: "digital ", None: ""}[link.radio.analog]
    name = f"{kind}{use.value} {link.radio.frequency_mhz:g} MHz"
    margin_db = float(axis.margin_db[sample])
    if math.isnan(margin_db):
        return (f"{name}: not known, ground between it and the antenna is not known",)
    profile = link.profile
    words = [f"{name}: {_db(margin_db)}, {float(axis.required_db[sample]):.0f} wanted"]
    terrain_db = float(profile.terrain_db[sample])
    if terrain_db >= 1.0:
        words.append(
            f"ground takes {terrain_db:.0f} dB, {distance(float(profile.worst_m[sample]))} from the antenna"
        )
    else:
        words.append(f"distance takes {float(profile.free_space_db[sample]):.0f} dB")
    return tuple(words)


def _beneath(assessment: Assessment, sample: int, distance_m: float) -> tuple[str, ...]:
    axis = beneath_axis(assessment.case)
    if axis is None or assessment.case is None:
        return ()
    reach_m, drift_m = float(axis.reach_m[sample]), float(axis.drift_m[sample])
    words, told = [], False
    if math.isfinite(reach_m):
        known = math.isfinite(drift_m)
        drift = f"drifts {planned_words(drift_m)} with the wind" if known else "its drift is not known"
        words.append(f"a failed aircraft falls up to {planned_words(reach_m)} ahead, {drift}")
    for one in judged(assessment.case):
        met = [cross for cross in one.crossings if cross.from_m <= distance_m <= cross.to_m]
        if met:
            how = "over" if any(cross.overhead for cross in met) else "falls on"
            cure = f" ({said(one.ruling.remedy)})" if one.ruling.remedy else ""
            words.insert(0, f"{how} {one.thing.called}{cure}")
            told = True
    if not told or axis.into_at(sample) is not None:
        words.insert(0, f"beneath: {under_words(axis, sample)[0]}")
    return tuple(words)


def _db(margin_db: float) -> str:
    # Rounded down: a margin is a limit.
    return f"{math.floor(margin_db + 1e-9)} dB".replace("-", "−") if math.isfinite(margin_db) else "not known"
