"""Airspace that only what is flown on lost link keeps from the automated service."""

from planner.permission.need import Rise, Route, Subject
from planner.permission.needs import AirspaceUse
from planner.permission.routes import TOLERANCE_M


def above_on_lost_link_alone(use: AirspaceUse) -> bool:
    """Whether it is asked for above the lowest cell's value, under which the flight itself keeps."""
    need, value_m = use.need, use.cells.ceiling_agl_m
    if need.subject is not Subject.AIRSPACE or need.recorded or need.rise is not Rise.ON_LOST_LINK:
        return False
    if need.route is Route.AUTOMATED or not use.cells.automated:
        return False
    if need.asked_agl_m is None or value_m is None:
        return False
    return need.asked_agl_m - need.rise_m <= value_m + TOLERANCE_M < need.asked_agl_m
