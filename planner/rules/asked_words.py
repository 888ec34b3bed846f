"""How high a need has to reach, in words and figures: as drawn, as flown otherwise, as asked for."""

import math

from planner.permission.need import PermissionNeed
from planner.permission.routes import TOLERANCE_M
from planner.rules.case import Case
from planner.rules.words import over_ft
from planner.units import FOOT_M, SINGLE_M


def risen_words(need: PermissionNeed) -> str:
    """Return ', on ways that are not drawn up to …, on lost link up to …' after what is drawn."""
    if need.asked_agl_m is None:
        return ""
    level_m = need.asked_agl_m - need.rise_m
    ways = f", on ways that are not drawn up to {over_ft(level_m)}"
    risen = f", {need.rise.value} up to {over_ft(need.asked_agl_m)}"
    # What is a foot more at the least is told: less would be said in the same figure twice.
    way_told = _feet(level_m) > _feet(level_m - need.way_rise_m)
    return (ways if way_told else "") + (risen if _feet(need.asked_agl_m) > _feet(level_m) else "")


def _feet(metres: float) -> int:
    return math.ceil((metres - SINGLE_M) / FOOT_M)


def readout_words(case: Case, need: PermissionNeed) -> str:
    """Return ' With what the readout may be off, ask for …', as the sheet has it; '' if that is no more."""
    if need.asked_agl_m is None:
        return ""
    typed_m = to_ask_for_m(case, need, need.asked_agl_m)
    if typed_m <= need.asked_agl_m + TOLERANCE_M:
        return ""
    return f" With what the readout may be off, ask for {over_ft(typed_m)}."


def to_ask_for_m(case: Case, need: PermissionNeed, flown_agl_m: float) -> float:
    """Return the height above ground that the request sheet asks for [m], not yet rounded to feet."""
    return need.to_type_agl_m(flown_agl_m, case.plan.readout_error_m)


def asked_numbers(need: PermissionNeed) -> dict[str, float]:
    """Return the figures: how high it is flown as planned [m], and how much higher otherwise."""
    asked_m = need.asked_agl_m
    pairs = {
        "asked_agl_m": None if asked_m is None else asked_m - need.rise_m,
        "above_asked_m": need.rise_m or None,
    }
    return {key: value for key, value in pairs.items() if value is not None}
