"""What the page of papers and permission says, as values for the template."""

import re
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

import attrs

from planner.assessment import Assessment
from planner.briefing.eyes_words import TASK_OF_ONE
from planner.briefing.judgement_words import finding_groups, permission_values
from planner.briefing.words import CONTACT_WORDS, NOT_GIVEN, clock, data_rows, height_words, plain
from planner.geo.time_words import day_words
from planner.geo.window import TimeWindow
from planner.plan.aircraft import OverPeople, RemoteId
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Plan, Purpose
from planner.plan.papers import Papers
from planner.plan.records import PermissionRecord
from planner.plan.role_words import role_words
from planner.plan.sheet import SheetNotes
from planner.rules.bibliography import (
    CLOUD_AND_VISIBILITY,
    OPERATING_RULES,
    OVER_PEOPLE,
    PART_107_AIRSPACE,
    PART_107_GIVES_WAY,
    PART_107_HEIGHT,
    PART_107_SIGHT,
    RECREATIONAL_AIRSPACE,
    RECREATIONAL_GIVES_WAY,
    RECREATIONAL_GUIDELINES,
    RECREATIONAL_HEIGHT,
    RECREATIONAL_SIGHT,
    SPEED_LIMIT,
)
from planner.rules.finding import Mark
from planner.rules.papers import good_until
from planner.wording import CAUTIONS, moment

Values = dict[str, Any]

_ROLE_ORDER = (Role.REMOTE_PILOT, Role.PERSON_AT_CONTROLS, Role.OBSERVER, Role.SPECTATOR)


# Of flights of a purpose, whatever is found.
_ALWAYS: dict[Purpose | None, tuple[str, ...]] = {
    Purpose.PART_107: (
        PART_107_AIRSPACE, PART_107_SIGHT, PART_107_GIVES_WAY, OVER_PEOPLE,
        SPEED_LIMIT, PART_107_HEIGHT, CLOUD_AND_VISIBILITY,
    ),
    Purpose.RECREATIONAL: (
        RECREATIONAL_GUIDELINES, RECREATIONAL_SIGHT, RECREATIONAL_GIVES_WAY, RECREATIONAL_AIRSPACE,
        RECREATIONAL_HEIGHT,
    ),
    None: (OPERATING_RULES,),
}  # fmt: skip


def papers_page(assessment: Assessment) -> Values:
    """Return the values of page three."""
    plan = assessment.plan
    notes = plan.sheet or SheetNotes()
    open_items = [one for one in assessment.findings if one.mark is not Mark.NOTE]
    return {
        "carry": list(_carry(plan)),
        "records": [_record(plan, record) for record in plan.permissions],
        "permissions": [permission_values(need, plan.readout_error_m) for need in assessment.permissions],
        "open": finding_groups(open_items),
        "known": finding_groups(one for one in assessment.findings if one.mark is Mark.NOTE),
        "rules": _rules(assessment),
        "data": [attrs.asdict(row) for row in data_rows(assessment.data)],
        "preflight": list(PREFLIGHT),
        "preflight_by": _PREFLIGHT_BY[plan.purpose],
        "day": _checks_of_the_day(assessment),
        "crew": _crew(plan),
        "insurance": plain(notes.insurance, 90) or NOT_GIVEN,
        "landowner": plain(notes.landowner_contact, 90) or _allowed_by(plan),
        "cautions": list(CAUTIONS),
        "not_known": [plain(words, 600) for words in assessment.not_known],
    }


_MOST_LETTERS = 45
_NO_RULE = frozenset({"common practice", "community guidance"})

# By reference to 91.17: nobody within 8 hours of alcohol, or with 0.04 or more.
_SOBER = {
    Purpose.PART_107: "14 CFR 107.27",
    Purpose.RECREATIONAL: "14 CFR 107.27 as a measure",
    None: "14 CFR 107.27",
}

_PREFLIGHT_BY = {
    Purpose.PART_107: "14 CFR 107.49",
    Purpose.RECREATIONAL: "14 CFR 107.49 as a measure",
    None: "14 CFR 107.49",
}

# 14 CFR 107.49, from memory; the current text decides. Good practice for a recreational flight, too.
PREFLIGHT = (
    "(a)(1) weather on the spot",
    "(a)(2) airspace and flight restrictions",
    "(a)(3) persons and property on the ground",
    "(a)(4) other hazards on the ground",
    "(b) all told: conditions and emergency procedures",
    "(b) all told: contingency procedures, roles, hazards",
    "(c) control link works",
    "(d) power for the whole time meant",
    "(e) everything attached is secure",
    "(f) allowed over people, if it flies over any",
)


def _carry(plan: Plan) -> Iterator[str]:
    papers = plan.papers or Papers()
    aircraft = plan.aircraft
    number = plain(aircraft.registration or "", 30) if aircraft else ""
    yield f"registration {number or '(number not given)'}{_until(papers.registered_until)}"
    yield f"number marked outside{_said(papers.marked)}"
    if plan.purpose is not Purpose.RECREATIONAL:
        until = good_until(papers.trained_on) if papers.trained_on else None
        certificate = plain(papers.certificate, 30) or "(number not given)"
        yield f"remote pilot certificate {certificate}{_until(until)}"
    if plan.purpose is not Purpose.PART_107:
        yield f"proof of the safety test{_said(papers.test_passed)}"
        guide = plain(plan.guidelines, 60)
        yield f"community guidelines: {guide or 'not named'}"
    yield "photo identification"
    yield "this sheet; permissions below"
    if aircraft and aircraft.remote_id is RemoteId.BROADCAST_MODULE:
        yield "Remote ID module fitted, its number in the registration"
    if aircraft and aircraft.over_people not in (None, OverPeople.NONE):
        yield f"label and declaration: over people, {aircraft.over_people.value.replace('-', ' ')}"


def _said(answer: bool | None) -> str:
    return {True: "", False: ": NO, as the plan says", None: ": not said"}[answer]


def _until(day: date | None) -> str:
    return f", good until {day_words(day)}" if day else ""


def _record(plan: Plan, record: PermissionRecord) -> Values:
    window = plan.window

    def at(value: datetime | None, otherwise: str) -> str:
        return moment(value, window) if value else otherwise

    limits = [
        f"up to {height_words(record.ceiling)}" if record.ceiling else "no height named",
        "inside its own outline" if record.ring else "all of that airspace",
        f"{at(record.valid_from_utc, 'no beginning')} to {at(record.valid_to_utc, 'no end')}",
    ]
    if record.conditions.strip():
        limits.append(plain(record.conditions, 200).rstrip(". "))
    if record.paper:
        limits.append(f"scan {plain(record.paper.name, 40)}, SHA-256 {record.paper.sha256[:12]}…")
    kind = record.kind.value.replace("-", " ")
    return {
        "head": f"{plain(record.reference, 60)}: {kind}, {plain(record.airspace, 60)}",
        "limits": "; ".join(limits),
    }


def _rules(assessment: Assessment) -> list[list[str]]:
    """Return each citation once, with what is found by it."""
    cited: dict[str, dict[str, None]] = {}
    for finding in assessment.findings:
        for citation in plain(finding.citation, 200).split(";"):
            if citation.strip() and citation.strip() not in _NO_RULE:
                cited.setdefault(citation.strip(), {})[plain(finding.title, 60)] = None
    alike: dict[tuple[str, ...], list[str]] = {}
    for citation, titles in sorted(cited.items()):
        alike.setdefault(tuple(titles), []).append(citation)
    found = [[", ".join(citations), _few(list(titles))] for titles, citations in alike.items()]
    always = [
        citation for citation in _ALWAYS[assessment.plan.purpose] if not _is_said(citation, "; ".join(cited))
    ]
    return [*found, *([[_in_short(always), "hold for every such flight"]] if always else [])]


def _is_said(citation: str, cited: str) -> bool:
    return re.search(rf"{re.escape(citation.removeprefix('14 CFR '))}(?![\w(])", cited) is not None


def _in_short(citations: list[str]) -> str:
    """Return citations in one, what they begin with said once: '14 CFR 107.31, 107.33, 107.41'."""
    begin = next((begin for begin in ("14 CFR ", "49 USC ") if citations[0].startswith(begin)), "")
    return begin + ", ".join(citation.removeprefix(begin) for citation in citations)


def _few(titles: list[str]) -> str:
    # Each finding carries its own citation, so nothing is lost here.
    told = titles[:1]
    for title in titles[1:]:
        if len("; ".join([*told, title])) > _MOST_LETTERS:
            break
        told.append(title)
    more = f"; and {len(titles) - len(told)} more" if len(titles) > len(told) else ""
    return "; ".join(told) + more


def _checks_of_the_day(assessment: Assessment) -> list[str]:
    window = assessment.plan.window
    looks = [f"{plain(item.what)}: by {_by(item.at_utc, window)}" for item in assessment.recheck]
    return [
        *looks,
        "time of that look at restrictions (TFR): ________",
        "fires, emergency operations near: none, else no flight (18 USC 40A, 43 CFR 9212.1(f), 49 USC 46320)",
        "crew fit: rest, illness, eyes; 8 hours since alcohol, "
        f"below 0.04 ({_SOBER[assessment.plan.purpose]})",
    ]


def _by(at_utc: datetime, window: TimeWindow | None) -> str:
    """Return a moment; on the day of the flight, which the page names, its hour only."""
    if window is not None and window.local(at_utc).date() == window.local(window.start_utc).date():
        return clock(at_utc, window)
    return moment(at_utc, window)


def _crew(plan: Plan) -> list[list[str]]:
    rows = sorted(plan.crew, key=lambda member: _ROLE_ORDER.index(member.role))
    return [
        [
            role_words(member.role, plan.purpose),
            plain(member.name, 30) or "name not given",
            _does(member),
        ]
        for member in rows
    ]


def _does(member: CrewMember) -> str:
    contact = CONTACT_WORDS[member.contact] if member.contact else NOT_GIVEN
    task = TASK_OF_ONE.get(member.tasks)
    return f"{contact}; {task}" if task else contact


def _allowed_by(plan: Plan) -> str:
    spots = [spot for spot in (plan.launch, plan.landing) if spot is not None]
    names = dict.fromkeys(plain(spot.permitted_by, 60) for spot in spots if spot.permitted_by.strip())
    return f"{', '.join(names)}; contact {NOT_GIVEN}" if names else NOT_GIVEN
