"""Words of the desk's own choices, one table for each list."""

from typing import Final

from planner.plan.aircraft import (
    AircraftForm,
    LinkLossAction,
    OverPeople,
    RadioUse,
    ReadoutSource,
    ReadoutUnit,
    RemoteId,
)
from planner.plan.crew import Contact, Role, Task
from planner.plan.ground import LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.plan.role_words import role_words
from planner.plan.weather import WindLaw

CHARTS_BEING_READ: Final = "Checking: the charts around the plan are being read."
LEGS_WORKED_OUT: Final = "Checking: legs that are new are being worked out."
CHECK_FAILED: Final = "The check itself failed, so nothing is known."
DRAWN_AFTER: Final = "Ground, ceiling and planned height are drawn right after."
PURPOSE_WORDS: Final = {
    Purpose.RECREATIONAL: "Recreational (49 USC 44809)",
    Purpose.PART_107: "Part 107 (14 CFR part 107)",
}
_ROLE_LINES: Final = {Role.OBSERVER: "Visual observer"}
CONTACT_WORDS: Final = {
    Contact.BESIDE: "stands beside",
    Contact.RADIO: "by radio",
    Contact.PHONE: "by phone",
}
LAND_WORDS: Final = {
    LandStatus.UNSETTLED: "Not settled yet",
    LandStatus.OWN: "My own ground",
    LandStatus.PUBLIC: "Public, open to this use",
    LandStatus.PERMITTED: "Permitted by its owner",
}
FORM_WORDS: Final = {
    AircraftForm.ROTORCRAFT: "Multirotor or helicopter",
    AircraftForm.FIXED_WING: "Fixed wing",
}
REMOTE_ID_WORDS: Final = {
    RemoteId.STANDARD: "Standard, built in",
    RemoteId.BROADCAST_MODULE: "Broadcast module",
    RemoteId.NONE: "None",
}
OVER_PEOPLE_WORDS: Final = {
    OverPeople.NONE: "None",
    OverPeople.CATEGORY_1: "Category 1",
    OverPeople.CATEGORY_2: "Category 2",
    OverPeople.CATEGORY_3: "Category 3",
    OverPeople.CATEGORY_4: "Category 4",
}
READOUT_WORDS: Final = {
    ReadoutSource.BAROMETER: "Barometer",
    ReadoutSource.SATELLITE: "Satellite position",
    ReadoutSource.NONE: "No readout",
}
READOUT_UNIT_WORDS: Final = {ReadoutUnit.FEET: "Feet", ReadoutUnit.METRES: "Metres"}
LINK_LOSS_WORDS: Final = {
    LinkLossAction.DROP: "Drops",
    LinkLossAction.LAND: "Lands where it is",
    LinkLossAction.HOLD: "Holds",
    LinkLossAction.RETURN_FIXED: "Returns at a fixed height",
    LinkLossAction.RETURN_OFFSET: "Returns at its height plus an offset",
    LinkLossAction.RETURN_HIGHEST: "Returns at the highest so far",
}
WIND_LAW_WORDS: Final = {
    WindLaw.POWER: "Grows by a power law",
    WindLaw.LOGARITHMIC: "Grows by a log law",
    WindLaw.NONE: "Same at every height",
}
RADIO_WORDS: Final = {RadioUse.CONTROL: "Control", RadioUse.VIDEO: "Video"}
SIGNAL_WORDS: Final = {True: "Analog", False: "Digital"}
KIND_WORDS: Final = {
    PermissionKind.AUTHORIZATION: "Airspace authorization",
    PermissionKind.FIXED_SITE_AGREEMENT: "Fixed-site agreement",
    PermissionKind.AGENCY: "Agency's permission",
    PermissionKind.WAIVER: "Waiver",
}
YES_NO_WORDS: Final = {True: "Yes", False: "No"}


def role_choices(purpose: Purpose | None) -> dict[Role, str]:
    """Return what somebody may do on a flight of this purpose, for a list to choose from."""
    return {role: _ROLE_LINES.get(role) or role_words(role, purpose).capitalize() for role in Role}


TASK_WORDS = {
    frozenset({Task.WATCH}): "the aircraft",
    frozenset({Task.SCAN}): "the sky",
    frozenset({Task.WATCH, Task.SCAN}): "both, by turns",
}
