"""Rules on who flies and with what papers: registration, Remote ID, test, certificate, and for what purpose.

What is not said is something to do; what is said to be wrong is a stop.
"""

import re
from calendar import monthrange
from collections.abc import Iterator
from datetime import date
from typing import Final

import numpy as np
import shapely

from planner.flight.failsafe import RETURNS
from planner.geo.place import Place
from planner.permission.records import in_time
from planner.plan.aircraft import OverPeople, RemoteId
from planner.plan.crew import Role
from planner.plan.model import Plan, Purpose
from planner.plan.papers import Papers
from planner.plan.records import PermissionKind, PermissionRecord
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.waiver_reach import leaves_waiver
from planner.rules.words import capitalised
from planner.units import POUND_KG, lb_from_kg
from planner.world.sites import ExemptArea

_PART_89 = re.compile(r"(14 ?)?(CFR ?)?(part )?(§ ?)?89(\.\d+)?( ?\([a-z0-9]{1,3}\))*", re.IGNORECASE)

SMALL_KG: Final = 0.55 * POUND_KG
"""0.55 lb or less on take-off: exempt from registration if flown exclusively under 44809."""
TRAINING_MONTHS: Final = 24

REGISTRATION: Final = "14 CFR 48.15(b); 49 USC 44809(a)(8)"
MARKING: Final = "14 CFR 48.205; 49 USC 44809(a)(8) (section numbers from memory)"
REMOTE_ID: Final = "14 CFR 89.101, 89.105"
SAFETY_TEST: Final = "49 USC 44809(a)(7)"
CERTIFICATE: Final = "14 CFR 107.12 (section number from memory)"
TRAINING: Final = "14 CFR 107.65"
PURELY_FOR_FUN: Final = "49 USC 44809(a)(1) (from memory)"
OVER_PEOPLE: Final = "14 CFR 107.110 (from memory), 107.39"


def paid_flight(case: Case) -> Iterator[Finding]:
    """Yield a stop for a paid flight that is called recreational, an act where nothing is said."""
    if case.plan.purpose is not Purpose.RECREATIONAL:
        return
    paid = _papers(case.plan).paid
    if paid is None:
        yield _finding(
            "paid-not-said", Mark.ACT, "Whether anybody pays is not said",
            "The recreational exception holds for flights for fun alone: nobody pays, nothing is promoted.",
            PURELY_FOR_FUN, "say so under Papers, or fly it under Part 107",
        )  # fmt: skip
    elif paid:
        yield _finding(
            "paid-flight", Mark.STOP, "Paid or promotional, so not recreational",
            "Somebody pays for this flight or it promotes a business; the recreational exception holds for "
            "flights for fun alone.",
            PURELY_FOR_FUN, "fly it under Part 107, with its certificate and its rules",
        )  # fmt: skip


def registration(case: Case) -> Iterator[Finding]:
    """Yield what is open or wrong about registration and marking."""
    plan, papers = case.plan, _papers(case.plan)
    aircraft = plan.aircraft
    if aircraft is None or plan.purpose is None or not must_be_registered(plan):
        return
    numbers = {"take_off_weight_kg": aircraft.take_off_weight_kg}
    if not aircraft.registration:
        yield _finding(
            "not-registered", Mark.ACT, "No registration number",
            f"{_why_registered(plan)} The plan names none.",
            REGISTRATION, "register the aircraft, mark it, and enter its number", numbers,
        )  # fmt: skip
        return
    flown_on = plan.window.last_day if plan.window else None
    if papers.registered_until is not None and flown_on is not None and papers.registered_until < flown_on:
        yield _finding(
            "registration-ended", Mark.STOP, "Registration has ended",
            f"It holds until {_day(papers.registered_until)}, the flight is on {_day(flown_on)}.",
            REGISTRATION, "renew the registration",
        )  # fmt: skip
    if papers.registered_until is None:
        yield _finding(
            "registration-end-not-said", Mark.ACT, "Until when it is registered is not said",
            "A registration ends; the plan does not say when.",
            REGISTRATION, "enter the last day of the registration under Papers",
        )  # fmt: skip
    there = {
        "a number on the outside of the aircraft": papers.marked,
        "a proof of registration at hand": papers.proof_carried,
    }
    lacking = [words for words, is_there in there.items() if is_there is False]
    if lacking:
        yield _finding(
            "marking-and-proof", Mark.STOP, "Marking or proof of registration is missing",
            f"The plan says that there is not {' and not '.join(lacking)}.",
            MARKING, "mark the aircraft, take the proof along, then say so under Papers",
        )  # fmt: skip
    open_yet = [words for words, is_there in there.items() if is_there is None]
    if open_yet:
        yield _finding(
            "marking-and-proof", Mark.ACT, "Marking or proof of registration not settled",
            f"The plan does not say whether there is {' and '.join(open_yet)}.",
            MARKING, "mark the aircraft, take the proof along, and say so under Papers",
        )  # fmt: skip


def remote_id(case: Case) -> Iterator[Finding]:
    """Yield what is open or wrong about Remote ID."""
    plan = case.plan
    aircraft = plan.aircraft
    if aircraft is None or plan.purpose is None or not (aircraft.registration or must_be_registered(plan)):
        return
    if aircraft.remote_id is None:
        yield _finding(
            "remote-id-not-said", Mark.ACT, "Remote ID not said",
            "An aircraft that is registered, or has to be, identifies itself; the plan does not say how.",
            REMOTE_ID, "say how the aircraft identifies itself",
        )  # fmt: skip
    elif aircraft.remote_id is RemoteId.NONE:
        yield _without_remote_id(case)


def _without_remote_id(case: Case) -> Finding:
    area, why = _exempt_area(case)
    if area is not None:
        return _finding(
            "remote-id-exempt", Mark.NOTE, f"Without Remote ID inside {_called(area)}",
            "All of the flight lies in an area where no Remote ID is needed. That is no airspace "
            "authorization "
            "and makes no fixed flying site.",
            REMOTE_ID,
        )  # fmt: skip
    short = ""
    for record in case.plan.permissions:
        if not _lets_fly_without(record) or not in_time(record, case.plan.window):
            continue
        leaves = leaves_waiver(case, record)
        if leaves.record is None:
            return _finding(
                "remote-id-exempt", Mark.NOTE, "Without Remote ID as authorized",
                f"Record {record.reference} lets it fly without. Carry it, and keep to its conditions.",
                REMOTE_ID,
            )  # fmt: skip
        short = short or f" {capitalised(leaves.words)}."
    return _finding(
        "no-remote-id", Mark.STOP, "No Remote ID",
        f"The aircraft is registered or has to be, identifies itself in no way, and {why}{short}",
        REMOTE_ID,
        "fit a broadcast module, fly inside an exempt area, or record the authorization under part 89",
    )  # fmt: skip


def _lets_fly_without(record: PermissionRecord) -> bool:
    return record.kind in (PermissionKind.WAIVER, PermissionKind.AGENCY) and names_part_89(record)


def _called(area: ExemptArea) -> str:
    return area.name or "an exempt area"


def names_part_89(record: PermissionRecord) -> bool:
    """Whether a record names sections of 14 CFR part 89 and nothing else; any other word names nothing."""
    parts = [" ".join(part.split()) for part in re.split(r",|;|\band\b", record.airspace)]
    return all(_PART_89.fullmatch(part) for part in parts)


_NOT_INSIDE: Final = "not all of the flight lies in an area on record that is exempt."


def _exempt_area(case: Case) -> tuple[ExemptArea | None, str]:
    """Return the exempt area that holds all that is drawn for the whole time; of none, why there is none.

    Whoever flies has to be inside as well (14 CFR 89.115(b), from memory), and where a return is set to end.
    """
    plan = case.plan
    drawn = [spot.place for spot in (plan.launch, plan.landing) if spot is not None]
    drawn += [point.place for point in plan.path]
    drawn += list(plan.area.ring) if plan.area is not None else []
    if not drawn or plan.window is None:
        return None, _NOT_INSIDE
    shape = shapely.MultiPoint([(place.lon_deg, place.lat_deg) for place in drawn]).convex_hull
    why = _NOT_INSIDE
    for area in sorted(case.world.exempt_areas, key=lambda area: area.key):
        if not shapely.covers(area.outline, shape):
            continue
        # Recognised for a term only (14 CFR part 89 subpart C): one that does not say until when may be over.
        if area.start_utc is None or area.end_utc is None:
            missing = "from when" if area.start_utc is None else "until when"
            why = f"{_called(area)}, in which it lies, does not say {missing} it is exempt."
        elif plan.window.within(area.start_utc, area.end_utc):
            outside = " and ".join(who for who, place in _who_flies(plan) if not _holds(area, place))
            if not outside:
                return area, ""
            why = f"{outside} lies outside {_called(area)}: aircraft and pilot stay in it all the time."
    return None, why


def _who_flies(plan: Plan) -> Iterator[tuple[str, Place]]:
    for member in sorted(plan.crew, key=lambda member: member.key):
        if member.role in (Role.REMOTE_PILOT, Role.PERSON_AT_CONTROLS) and member.place is not None:
            yield f"where {member.called} stands", member.place
    link_loss = plan.aircraft.link_loss if plan.aircraft else None
    if plan.return_point is not None and link_loss is not None and link_loss.action in RETURNS:
        yield "the return point", plan.return_point


def _holds(area: ExemptArea, place: Place) -> bool:
    return bool(shapely.intersects_xy(area.outline, place.lon_deg, place.lat_deg))


def safety_test(case: Case) -> Iterator[Finding]:
    """Yield what is open or wrong about the recreational safety test."""
    if case.plan.purpose is not Purpose.RECREATIONAL or _papers(case.plan).test_passed:
        return
    failed = _papers(case.plan).test_passed is False
    yield _finding(
        "safety-test", Mark.STOP if failed else Mark.ACT,
        "Recreational safety test not passed" if failed else "Recreational safety test not said",
        "Whoever flies for recreation has passed the aeronautical knowledge and safety test and "
        "keeps its proof."
        + ("" if failed else " The plan does not say so."),
        SAFETY_TEST, "take the test, carry its proof, and say so under Papers",
    )  # fmt: skip


def certificate(case: Case) -> Iterator[Finding]:
    """Yield what is open or wrong about the remote pilot certificate and its training."""
    plan, papers = case.plan, _papers(case.plan)
    if plan.purpose is not Purpose.PART_107:
        return
    if not papers.certificate.strip():
        yield _finding(
            "no-certificate", Mark.ACT, "Remote pilot certificate not named",
            "A flight under Part 107 has a certificated remote pilot in command; the plan names no "
            "certificate.",
            CERTIFICATE, "enter the certificate under Papers, and carry it",
        )  # fmt: skip
    flown_on = plan.window.last_day if plan.window else None
    if papers.trained_on is None:
        yield _finding(
            "training-not-said", Mark.ACT, "Day of test or training not said",
            "The certificate may be used until the end of the 24th calendar month after test or training.",
            TRAINING, "enter the day of the test or of the latest training under Papers",
        )  # fmt: skip
    elif plan.window is not None and papers.trained_on > plan.window.first_day:
        yield _finding(
            "training-not-yet", Mark.STOP, "Test or training lies after the flight",
            f"It is dated {_day(papers.trained_on)}, the flight is on {_day(plan.window.first_day)}.",
            TRAINING, "correct the day, or complete the test or training first",
        )  # fmt: skip
    elif flown_on is not None and good_until(papers.trained_on) < flown_on:
        yield _finding(
            "training-lapsed", Mark.STOP, "Recurrent training has lapsed",
            f"Training of {_day(papers.trained_on)} holds until {_day(good_until(papers.trained_on))}; "
            f"the flight is on {_day(flown_on)}.",
            TRAINING, "complete the recurrent training first",
        )  # fmt: skip


def over_people_category(case: Case) -> Iterator[Finding]:
    """Yield a stop where the aircraft can't be of Category 1 as is said."""
    aircraft = case.plan.aircraft
    if aircraft is None or case.plan.purpose is not Purpose.PART_107:
        return
    if aircraft.over_people is not OverPeople.CATEGORY_1:
        return
    heavy = aircraft.take_off_weight_kg > SMALL_KG
    if not heavy and aircraft.propeller_guards:
        return
    why = (
        f"It takes off with {_weight(aircraft.take_off_weight_kg)}, more than 0.55 lb."
        if heavy
        else "Category 1 has no exposed rotating parts that would lacerate skin, and its propellers are not "
        "said to be guarded."
    )
    yield _finding(
        "not-category-1", Mark.STOP if heavy or aircraft.propeller_guards is False else Mark.ACT,
        "Not of Category 1", why, OVER_PEOPLE, "say that it has no category, and keep away from people",
        {"take_off_weight_kg": aircraft.take_off_weight_kg},
    )  # fmt: skip


def must_be_registered(plan: Plan) -> bool:
    """Whether the aircraft must be registered: not with 0.55 lb or less, flown exclusively for recreation."""
    if plan.aircraft is None:
        return False
    return plan.purpose is not Purpose.RECREATIONAL or plan.aircraft.take_off_weight_kg > SMALL_KG


def good_until(trained_on: date) -> date:
    """Return the last day of the 24th calendar month after a test or training (14 CFR 107.65)."""
    months = trained_on.year * 12 + trained_on.month - 1 + TRAINING_MONTHS
    year, month = divmod(months, 12)
    return date(year, month + 1, monthrange(year, month + 1)[1])


def _why_registered(plan: Plan) -> str:
    if plan.purpose is Purpose.PART_107:
        return "Under Part 107 every aircraft is registered, however light it is."
    assert plan.aircraft is not None
    weight = _weight(plan.aircraft.take_off_weight_kg)
    return f"It takes off with {weight}: more than 0.55 lb has to be registered."


def _weight(kg: float) -> str:
    # Rounded up, so that what is over a threshold does not read as being under it.
    return f"{np.ceil(lb_from_kg(kg) * 1000 - 1e-9) / 1000:.3f} lb ({kg * 1000:,.1f} g)"


def _papers(plan: Plan) -> Papers:
    return plan.papers or Papers()


def _day(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


def _finding(
    rule: str, mark: Mark, title: str, message: str, citation: str, remedy: str = "",
    numbers: dict[str, float] | None = None,
) -> Finding:  # fmt: skip
    return Finding(
        rule=rule,
        mark=mark,
        basis=Basis.LAW,
        title=title,
        message=message,
        citation=citation,
        remedy=remedy,
        numbers=numbers or {},
    )


RULES = (paid_flight, registration, remote_id, safety_test, certificate, over_people_category)
