"""Who may be overflown, by which aircraft, under which rules.

Sources: 14 CFR 107.39, 107.110 to 107.145 (A); 49 USC 44809 (A), which names
no rule on people (check values 1.25 to 1.27). Neither says from when on flight
over somebody is sustained: more than one pass, or a longer one, counts here.
"""

from typing import Final

import attrs

from planner.flight.below import Below
from planner.plan.aircraft import OverPeople, RemoteId
from planner.plan.model import Purpose
from planner.rules.bibliography import OVER_PEOPLE, OVER_VEHICLES, RECREATIONAL_GUIDELINES
from planner.rules.finding import Basis, Mark
from planner.saying import told

_BESIDE: Final = "fly beside them and clear of the fall"
_CURE: Final = f"{_BESIDE}, bring them under cover, or fly an aircraft of an eligible category"
_IDENTIFIED: Final = frozenset({RemoteId.STANDARD, RemoteId.BROADCAST_MODULE})


@attrs.frozen
class Pass:
    """A flight over somebody: with what, whether sustained, over a closed and told site, by a waiver."""

    category: OverPeople | None
    remote_id: RemoteId | None
    sustained: bool
    closed_site: bool
    waived: bool = False


@attrs.frozen
class Ruling:
    """What the rules say of it; `remedy` is '' where nothing has to be done."""

    mark: Mark
    basis: Basis
    why: str = attrs.field(converter=told)
    citation: str
    remedy: str = attrs.field(default="", converter=told)


def ruling(below: Below, purpose: Purpose | None, over: Pass) -> Ruling:
    """Return what the rules say of a flight over people who are there, as the pilot says."""
    if purpose is Purpose.RECREATIONAL:
        return _recreational(below)
    cited = OVER_VEHICLES if below is Below.VEHICLES else OVER_PEOPLE
    if purpose is None:
        cited = f"{cited}; {RECREATIONAL_GUIDELINES}"
    mark, why, remedy = _part_107(below, over)
    if mark is Mark.STOP and over.waived:
        mark, remedy = Mark.ACT, "keep to the waiver's conditions, and tell everybody who takes part"
        why += " A waiver on record lifts that."
    return Ruling(mark, Basis.LAW, why, cited, remedy)


def ruling_of_places(below: Below, purpose: Purpose | None) -> Ruling:
    """Return what to do over a road, a gathering place or a trail of which nobody says who is on it."""
    what = {
        Below.ROAD: "Nobody has said whether vehicles with people in them move on it.",
        Below.GATHERING_PLACE: "Nobody has said whether people gather there at that hour.",
        Below.TRAIL: "Nobody has said whether people are on it.",
    }[below]
    remedy = "look before every pass and wait until nobody is beneath, or draw who is there and go round"
    if purpose is Purpose.RECREATIONAL:
        return Ruling(Mark.ACT, Basis.SAFETY, what, RECREATIONAL_GUIDELINES, remedy)
    cited = OVER_VEHICLES if below is Below.ROAD else OVER_PEOPLE
    return Ruling(Mark.ACT, Basis.LAW, what, cited, remedy)


def _recreational(below: Below) -> Ruling:
    why = "The statute names no rule on people; the guidelines you follow do, and this is no place to fall."
    if below is Below.SUBJECT:
        why += " That they agree changes nothing of the fall."
    return Ruling(Mark.STOP, Basis.SAFETY, why, RECREATIONAL_GUIDELINES, _BESIDE)


def _part_107(below: Below, over: Pass) -> tuple[Mark, str, str]:
    if over.category in (None, OverPeople.NONE):
        return Mark.STOP, _without_category(below, over), _CURE
    if over.category is OverPeople.CATEGORY_4:
        who = _assembly(over) if below is Below.ASSEMBLY else None
        return who or (Mark.ACT, "Category 4: only as its approved flight manual allows.", "read the manual")
    if below is Below.VEHICLES:
        return _vehicles(over)
    if below is Below.ASSEMBLY:
        return _assembly(over) or _eligible(over)
    if over.category is OverPeople.CATEGORY_3 and over.sustained and not over.closed_site:
        return (
            Mark.STOP,
            "Category 3 passes over people, but stays over them only on a closed site whose people are told.",
            "pass once, without hovering, circling or turning back, or close the site and tell everybody",
        )
    return _eligible(over)


def _without_category(below: Below, over: Pass) -> str:
    said = "no category is stated for it" if over.category is None else "it is of no category"
    who = {
        Below.VEHICLES: "Over people in moving vehicles flies only an aircraft of an eligible category",
        Below.SUBJECT: (
            "Only who takes part in the flight itself may be overflown without category or cover; "
            "that a subject agrees does not change that"
        ),
    }.get(below, "Only who takes part in the flight itself may be overflown without category or cover")
    return f"{who}: {said}."


def _vehicles(over: Pass) -> tuple[Mark, str, str]:
    if over.closed_site:
        return (
            Mark.ACT,
            "Over moving vehicles on a closed site whose people are told.",
            "keep the aircraft within the closed site, and everybody in it told",
        )
    if over.sustained:
        return (
            Mark.STOP,
            "Over moving vehicles it may pass, but not stay, outside a closed site whose people are told.",
            "cross once and straight, or close the road and tell everybody",
        )
    return Mark.ACT, "It may pass over moving vehicles, but not stay.", "cross once and straight"


def _assembly(over: Pass) -> tuple[Mark, str, str] | None:
    if over.category is OverPeople.CATEGORY_3:
        return Mark.STOP, "Category 3 never flies over an open-air assembly.", _BESIDE
    if over.sustained and over.remote_id not in _IDENTIFIED:
        return (
            Mark.STOP,
            "Sustained flight over an open-air assembly needs Remote ID, and none is stated.",
            f"{_BESIDE}, or fly an aircraft with Remote ID",
        )
    return None


def _eligible(over: Pass) -> tuple[Mark, str, str]:
    named = (over.category or OverPeople.NONE).value.replace("-", " ").capitalize()
    return (
        Mark.ACT,
        f"{named} may fly over people, if it is declared and labelled so and flown as declared.",
        "check label and declaration; nothing on it may have been changed since",
    )
