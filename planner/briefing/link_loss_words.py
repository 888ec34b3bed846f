"""What the aircraft does by itself when its control link is lost, for those on the ground."""

import numpy as np

from planner.assessment import Assessment
from planner.briefing.moments import minutes
from planner.briefing.words import height_words
from planner.flight.failsafe import DELAY_S, RETURNS
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.rules.landing_words import adrift_m
from planner.rules.loss_words import winged
from planner.rules.words import over_ft
from planner.saying import told

_ENDS = "flies straight to the {spot} and lands"
_DOES = {
    LinkLossAction.DROP: "it falls where it is",
    LinkLossAction.LAND: "it comes down where it is",
    LinkLossAction.HOLD: "it holds its place until the battery is empty, then falls there",
    LinkLossAction.RETURN_FIXED: "it climbs to {height} if it is lower, " + _ENDS,
    LinkLossAction.RETURN_OFFSET: "it climbs by {height}, " + _ENDS,
    LinkLossAction.RETURN_HIGHEST: "it climbs to the highest height so far, " + _ENDS,
}
_ON_A_WING = {
    LinkLossAction.DROP: "its motor stops, and it falls or glides",
    LinkLossAction.LAND: "it glides down about where it is",
    LinkLossAction.HOLD: "it circles about its place until the battery is empty, then comes down",
}


def link_loss_lines(assessment: Assessment) -> list[str]:
    """Return what it does, and where to keep clear, each a sentence."""
    aircraft = assessment.plan.aircraft
    loss = aircraft.link_loss if aircraft else None
    if loss is None:
        return ["Not known what it does: find out before flying.", "Keep everybody away from beneath it."]
    return [_does(loss, assessment), _keep_clear(loss, assessment)]


def _does(loss: LinkLoss, assessment: Assessment) -> str:
    delay_s = DELAY_S if loss.delay_s is None else loss.delay_s
    height = _height(loss)
    wing = _ON_A_WING if winged(assessment.plan) else {}
    does = wing.get(loss.action, _DOES[loss.action]).format(height=height, spot=_spot(assessment))
    assumed = " (assumed)" if loss.delay_s is None else ""
    longest = _longest(assessment)
    takes = f", {longest} at most" if longest and loss.action in RETURNS else ""
    needs = [
        words
        for needed, words in ((loss.needs_fix, "a satellite fix"), (loss.needs_compass, "a compass"))
        if needed
    ]
    only = (f" Only with {' and '.join(needs)}." if needs else "") + _perhaps(loss)
    return f"After {delay_s:g} s{assumed} {does}{takes}.{only}"


def _perhaps(loss: LinkLoss) -> str:
    """Return that nobody has said whether an action that has to know its place needs a fix for it."""
    of_a_place = loss.action in RETURNS or loss.action is LinkLossAction.HOLD
    return " Perhaps only with a satellite fix: not said." if of_a_place and loss.needs_fix is None else ""


def _height(loss: LinkLoss) -> str:
    if loss.height is None:
        return "a height not given"
    words = height_words(loss.height)
    return words.partition(" ft")[0] + " ft" if loss.action is LinkLossAction.RETURN_OFFSET else words


def _longest(assessment: Assessment) -> str:
    ways = assessment.flight.loss if assessment.flight else None
    if ways is None or not np.isfinite(ways.duration_s).any():
        return ""
    return f"{minutes(float(np.nanmax(ways.duration_s)))} min"


def _spot(assessment: Assessment) -> str:
    """Return where a return ends: where it was armed, unless the plan sets another point."""
    if assessment.plan.return_point:
        return "return point"
    return "launch point" if assessment.plan.launch else "landing point"


def _keep_clear(loss: LinkLoss, assessment: Assessment) -> str:
    if loss.action in RETURNS:
        return f"Keep clear of the {_spot(assessment)} and of the straight line from the aircraft to it."
    if winged(assessment.plan):
        return "Keep clear of all ground beneath the path, and far off: it glides, nobody knows where to."
    if assessment.case and (drift_m := adrift_m(assessment.case)) > 0.0:
        far = f"downwind of it as far as {over_ft(drift_m)}"
        return told(f"Keep clear of all ground beneath the path, and {far}.")
    return "Keep clear of all ground beneath the path, and as far off as it is high."
