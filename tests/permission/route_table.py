"""Which way leads to a permission: a table by hand, a test and a page of the manual.

Each row says what is flown, and what must come of it by its source; the test
puts the row to the program, the page prints it. Write the page again with
``python -m tests.permission.route_table``.
"""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import attrs

from planner.geo.place import Place
from planner.permission.need import Route
from planner.permission.waivers import WAIVABLE
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind, PermissionRecord
from planner.rules.verdict import Verdict
from planner.rules.waivers import COUNTED
from planner.units import FOOT_M
from planner.wording import ROUTE_WORDS
from planner.world.airspace import AirspaceKind
from planner.world.world import World
from tests.worlds import (
    GROUND_M,
    START,
    above_ground,
    box,
    cell,
    disc,
    fixed_site,
    ft,
    hover,
    plan,
    record,
    sea_level,
    tower,
    volume,
    world,
)

PAGE = Path("resources") / "manual" / "routes.md"

P107, REC = Purpose.PART_107, Purpose.RECREATIONAL
READY, ASK, STOP, UNKNOWN = (
    Verdict.READY,
    Verdict.PERMISSION_NEEDED,
    Verdict.MUST_CHANGE,
    Verdict.UNDETERMINED,
)
NAME = "INVENTED"

# ---- the airspace of a row: words for the page, a world for the test


def _surface(kind: AirspaceKind = AirspaceKind.CLASS_D, **changes: object) -> tuple[object, ...]:
    return (volume(kind, name=NAME, **changes),)


def _controlled(*cells: object, kind: AirspaceKind = AirspaceKind.CLASS_D, **changes: object) -> World:
    return world(airspace=_surface(kind), cells=cells, **changes)


AIRSPACE: dict[str, Callable[[], World]] = {
    "Class G": world,
    "Class G, beside a 402-ft tower that stands": lambda: world(structures=(tower(402),)),
    "Class G, at a fixed site": lambda: world(fixed_sites=(fixed_site(),)),
    "Class G, under Class E from 700 ft": lambda: world(
        airspace=(volume(AirspaceKind.CLASS_E_OTHER, name=NAME, floor=above_ground(ft(700))),)
    ),
    "Class D, cell of 200 ft": lambda: _controlled(cell(200)),
    "Class D, cells of 100 and 300 ft": lambda: _controlled(
        cell(100, box(-9000, -9000, 0, 9000)), cell(300, box(0, -9000, 9000, 9000))
    ),
    "Class D, cell of 0 ft": lambda: _controlled(cell(0)),
    "Class D, cell of 200 ft not in the automated service": lambda: _controlled(cell(200, automated=False)),
    "Class D, no cell known": lambda: _controlled(),
    "Class D, cell published as 375 ft": lambda: _controlled(cell(None)),
    "Class D, cell of 400 ft, beside a 402-ft tower": lambda: _controlled(
        cell(400), structures=(tower(402, (0.0, 60.0)),)
    ),
    "Class D, cell of 150 ft, at a fixed site": lambda: _controlled(cell(150), fixed_sites=(fixed_site(),)),
    "Class B, cell of 200 ft": lambda: _controlled(cell(200), kind=AirspaceKind.CLASS_B),
    "Class C shelf from 300 ft above this ground": lambda: world(
        airspace=(volume(AirspaceKind.CLASS_C, name=NAME, floor=sea_level(GROUND_M + ft(300))),)
    ),
    "Class E surface area of an airport, cell of 200 ft": lambda: _controlled(
        cell(200), kind=AirspaceKind.CLASS_E2
    ),
    "Class E that is no surface area, from 100 ft above this high ground": lambda: world(
        airspace=(volume(AirspaceKind.CLASS_E_OTHER, name=NAME, floor=sea_level(GROUND_M + ft(100))),)
    ),
    "Class E extension (E4)": lambda: world(airspace=_surface(AirspaceKind.CLASS_E4)),
    "restricted area": lambda: world(airspace=_surface(AirspaceKind.RESTRICTED)),
    "prohibited area": lambda: world(airspace=_surface(AirspaceKind.PROHIBITED)),
    "security restriction": lambda: world(airspace=_surface(AirspaceKind.SECURITY)),
    "temporary restriction, in force": lambda: world(
        airspace=_surface(AirspaceKind.TEMPORARY, active_from_utc=START - timedelta(hours=1))
    ),
    "temporary restriction, over before the flight": lambda: world(
        airspace=_surface(AirspaceKind.TEMPORARY, active_to_utc=START - timedelta(minutes=1))
    ),
    "stadium, event under way": lambda: world(
        airspace=_surface(
            AirspaceKind.STADIUM,
            active_from_utc=START - timedelta(hours=1),
            active_to_utc=START + timedelta(hours=4),
        )
    ),
    "stadium, event on another day": lambda: world(
        airspace=_surface(AirspaceKind.STADIUM, active_from_utc=START + timedelta(days=1))
    ),
    "military operations area": lambda: world(airspace=_surface(AirspaceKind.MILITARY_OPERATIONS)),
}

# ---- the record of a row

RECORDS: dict[str, Callable[[], tuple[PermissionRecord, ...]]] = {
    "none": tuple,
    "authorization to 200 ft": lambda: (record(NAME, ft(200)),),
    "authorization to 400 ft": lambda: (record(NAME, ft(400)),),
    "authorization, ended yesterday": lambda: (
        record(NAME, ft(400), valid_to_utc=START - timedelta(days=1)),
    ),
    "authorization of part of the place": lambda: (record(NAME, ft(400), ring=_ring(disc(200, (3000, 0)))),),
    "authorization of other airspace": lambda: (record("ELSEWHERE", ft(400)),),
    "agreement of the site to 400 ft": lambda: (
        record("INVENTED MEADOW", ft(400), PermissionKind.FIXED_SITE_AGREEMENT),
    ),
    "authorization of the site to 700 ft": lambda: (record("INVENTED MEADOW", ft(700)),),
    "permission of the agency to 400 ft": lambda: (record(NAME, ft(400), PermissionKind.AGENCY),),
    "permission of the agency, no height": lambda: (record(NAME, None, PermissionKind.AGENCY),),
    "waiver of 107.51 to 500 ft": lambda: (record("14 CFR 107.51", ft(500), PermissionKind.WAIVER),),
}


def _ring(outline: object) -> tuple[object, ...]:
    return tuple(Place(lon, lat) for lon, lat in outline.exterior.coords[:-1])


@attrs.frozen
class Row:
    """What is flown, and what must come of it; `route` None: nothing has to be asked."""

    purpose: Purpose
    airspace: str
    height_ft: int
    record: str
    route: Route | None
    verdict: Verdict
    source: str
    alternatives: tuple[Route, ...] = ()

    def label(self) -> str:
        return f"{self.purpose.value} {self.airspace} {self.height_ft} ft, record: {self.record}"

    def world(self) -> World:
        return AIRSPACE[self.airspace]()

    def plan(self):
        return plan(
            self.purpose,
            path=hover(self.height_ft * FOOT_M),
            permissions=RECORDS[self.record](),
            structures_standing=frozenset({"tower 402"}),
            guidelines="INVENTED GUIDELINES",
        )


HEIGHT_107 = "14 CFR 107.51(b) (B)"
HEIGHT_REC = "49 USC 44809(a)(6) (A)"
AIR_107, AIR_REC = "14 CFR 107.41 (A)", "49 USC 44809(a)(5) (A)"
MAP, FURTHER = "JO 7210.3 ch. 12 §10 (A)", "JO 7210.3 ch. 12 §9 (A)"
SITES = "49 USC 44809(c) (A)"
CLOSED = "14 CFR 107.45, part 73, 99.7 (A)"

AUTO, MORE, AUTHORITY = Route.AUTOMATED, Route.FURTHER_COORDINATION, Route.ASK_AUTHORITY
WAIVER_TO_500, SITE_TO_700 = "waiver of 107.51 to 500 ft", "authorization of the site to 700 ft"
WAIVERS = "14 CFR 107.200, 107.205 (A, B)"
SITE, AGENCY, HQ = Route.FIXED_SITE, Route.AGENCY, Route.HEADQUARTERS


def rows() -> tuple[Row, ...]:
    """Return the table."""
    return (*_uncontrolled(), *_part_107(), *_recreational(), *_closed())


def _uncontrolled() -> tuple[Row, ...]:
    tall = "Class G, beside a 402-ft tower that stands"
    under = "Class G, under Class E from 700 ft"
    return (
        Row(P107, "Class G", 399, "none", None, READY, HEIGHT_107),
        Row(P107, "Class G", 401, "none", None, STOP, HEIGHT_107),
        Row(P107, "Class G", 401, WAIVER_TO_500, Route.WAIVER, READY, WAIVERS),
        Row(P107, "Class G", 501, WAIVER_TO_500, Route.WAIVER, STOP, WAIVERS),
        Row(REC, "Class G", 399, "none", None, READY, HEIGHT_REC),
        Row(REC, "Class G", 401, "none", None, STOP, HEIGHT_REC),
        Row(P107, tall, 801, "none", None, READY, HEIGHT_107),
        Row(P107, tall, 803, "none", None, STOP, HEIGHT_107),
        Row(REC, tall, 401, "none", None, STOP, HEIGHT_REC),
        Row(REC, "Class G, at a fixed site", 500, "none", Route.SITE_AUTHORIZATION, STOP, SITES),
        Row(REC, "Class G, at a fixed site", 500, SITE_TO_700, Route.SITE_AUTHORIZATION, READY, SITES),
        Row(REC, "Class G, at a fixed site", 701, SITE_TO_700, Route.SITE_AUTHORIZATION, STOP, SITES),
        Row(P107, "Class G, at a fixed site", 500, "authorization of the site to 700 ft", None, STOP, SITES),
        Row(P107, under, 390, "none", None, READY, "14 CFR 107.41, AIM 3-2-6 (A)"),
        Row(REC, under, 390, "none", None, READY, AIR_REC),
    )


def _part_107() -> tuple[Row, ...]:
    cell_200, cell_0 = "Class D, cell of 200 ft", "Class D, cell of 0 ft"
    shelf = "Class C shelf from 300 ft above this ground"
    tower_400 = "Class D, cell of 400 ft, beside a 402-ft tower"
    return (
        Row(P107, cell_200, 190, "none", AUTO, ASK, f"{AIR_107}; {MAP}"),
        Row(P107, cell_200, 250, "none", MORE, ASK, f"{AIR_107}; {FURTHER}"),
        Row(P107, cell_200, 190, "authorization to 200 ft", AUTO, READY, AIR_107),
        Row(P107, cell_200, 250, "authorization to 200 ft", MORE, ASK, AIR_107),
        Row(P107, cell_200, 250, "authorization to 400 ft", MORE, READY, AIR_107),
        Row(P107, cell_200, 190, "authorization, ended yesterday", AUTO, ASK, AIR_107),
        Row(P107, cell_200, 190, "authorization of part of the place", AUTO, ASK, AIR_107),
        Row(P107, cell_200, 190, "authorization of other airspace", AUTO, ASK, AIR_107),
        Row(
            P107,
            "Class D, cells of 100 and 300 ft",
            150,
            "none",
            MORE,
            ASK,
            f"{MAP}, facility map flow chart",
        ),
        Row(
            P107, "Class D, cells of 100 and 300 ft", 90, "none", AUTO, ASK, f"{MAP}, facility map flow chart"
        ),
        Row(P107, cell_0, 100, "none", MORE, ASK, FURTHER),
        Row(P107, "Class D, cell of 200 ft not in the automated service", 100, "none", MORE, ASK, MAP),
        Row(P107, "Class D, no cell known", 100, "none", MORE, ASK, AIR_107),
        Row(P107, "Class D, cell published as 375 ft", 100, "none", MORE, ASK, MAP),
        Row(P107, tower_400, 390, "none", AUTO, ASK, MAP),
        Row(P107, tower_400, 600, "none", HQ, ASK, MAP),
        Row(P107, "Class B, cell of 200 ft", 150, "none", AUTO, ASK, AIR_107),
        Row(P107, "Class E surface area of an airport, cell of 200 ft", 150, "none", AUTO, ASK, AIR_107),
        Row(
            P107,
            "Class E that is no surface area, from 100 ft above this high ground",
            150,
            "none",
            None,
            READY,
            "14 CFR 107.41 (A)",
        ),
        Row(P107, "Class E extension (E4)", 150, "none", None, UNKNOWN, "FAA memo 2018; AIM 3-2-6 (A)"),
        Row(P107, shelf, 290, "none", None, READY, f"{AIR_107}; shelf floors by secondary description (B)"),
        Row(P107, shelf, 310, "none", MORE, ASK, f"{AIR_107}; shelf floors by secondary description (B)"),
    )


def _recreational() -> tuple[Row, ...]:
    cell_200, site = "Class D, cell of 200 ft", "Class D, cell of 150 ft, at a fixed site"
    shelf = "Class C shelf from 300 ft above this ground"
    agreed = "agreement of the site to 400 ft"
    return (
        Row(REC, cell_200, 190, "none", AUTO, ASK, f"{AIR_REC}; {MAP}"),
        Row(REC, cell_200, 250, "none", AUTHORITY, ASK, f"{AIR_REC}; {FURTHER}", (SITE,)),
        Row(REC, cell_200, 190, "authorization to 200 ft", AUTO, READY, AIR_REC),
        Row(REC, cell_200, 250, "authorization to 400 ft", AUTHORITY, READY, AIR_REC, (SITE,)),
        Row(REC, "Class D, cell of 0 ft", 100, "none", AUTHORITY, ASK, AIR_REC, (SITE,)),
        Row(REC, "Class D, no cell known", 100, "none", AUTHORITY, UNKNOWN, AIR_REC, (SITE,)),
        Row(REC, site, 140, "none", AUTO, ASK, f"{AIR_REC}; {SITES}", (SITE,)),
        Row(REC, site, 300, "none", SITE, ASK, SITES, (AUTHORITY,)),
        Row(REC, site, 300, agreed, SITE, READY, SITES, (AUTHORITY,)),
        Row(P107, site, 300, agreed, MORE, ASK, f"{SITES}: recreational only"),
        Row(REC, shelf, 290, "none", None, READY, AIR_REC),
        Row(REC, "Class E surface area of an airport, cell of 200 ft", 150, "none", AUTO, ASK, AIR_REC),
        Row(
            REC,
            "Class E that is no surface area, from 100 ft above this high ground",
            150,
            "none",
            None,
            UNKNOWN,
            "49 USC 44809(a)(6) (A); summary of H.R. 6460 (B)",
        ),
        Row(REC, "Class E extension (E4)", 150, "none", None, UNKNOWN, "FAA memo 2018; AIM 3-2-6 (A)"),
    )


def _closed() -> tuple[Row, ...]:
    found = [
        Row(purpose, name, 100, "none", AGENCY, STOP, CLOSED)
        for purpose in (P107, REC)
        for name in ("restricted area", "prohibited area", "security restriction")
    ]
    restricted, over = "restricted area", "temporary restriction, over before the flight"
    return (
        *found,
        Row(P107, restricted, 100, "permission of the agency to 400 ft", AGENCY, READY, CLOSED),
        Row(P107, restricted, 100, "permission of the agency, no height", AGENCY, STOP, CLOSED),
        Row(P107, restricted, 100, "authorization to 400 ft", AGENCY, STOP, CLOSED),
        Row(P107, "temporary restriction, in force", 100, "none", AGENCY, STOP, "14 CFR 91.137-91.145 (A)"),
        Row(P107, over, 100, "none", None, READY, "14 CFR 91.137-91.145 (A)"),
        Row(REC, "stadium, event under way", 100, "none", AGENCY, STOP, "99.7 notice (A, B)"),
        Row(REC, "stadium, event on another day", 100, "none", None, READY, "99.7 notice (A, B)"),
        Row(P107, "military operations area", 100, "none", None, READY, "14 CFR part 73 (A): caution only"),
    )


# ---- the page


def page() -> str:
    """Return the manual's page."""
    head = """# Which way leads to a permission

Purpose, airspace, height above ground and records in hand decide what has to be asked, and of whom.
Each row below is put to the program by a test, on invented charts, and the answer must be the one printed
here. The source follows, with its standing: A the official wording was read, B a secondary description.

Rules change: this page and the program defer to the rule of the day and to the authority.
"Must change" is what the verdict says of a plan that may not be flown as it stands; a record that
covers the plan settles the request, which is printed all the same.
"""
    lines = [head]
    for purpose, title in ((P107, "Part 107"), (REC, "Recreational (49 USC 44809)")):
        lines += [
            f"## {title}\n",
            "| airspace | height | record in hand | route | verdict | source |",
            "|---|---|---|---|---|---|",
            *(_line(row) for row in rows() if row.purpose is purpose),
            "",
        ]
    return "\n".join([*lines, *_WAYS, *_waivers()])


_WAYS = [
    "## Ways that are not drawn, and ways on lost link",
    "",
    "The straight ways from the launch point and to the landing point, and every way on lost link, home or",
    "down where the aircraft is, count for what has to be asked: the lowest cell that they touch, their",
    "height, and controlled airspace that they alone enter. So the route may be another one than the",
    "drawn flight would need, and the request sheet says how much of the height is the return's. What",
    "only an agency may open stays closed to them until its permission is on record.",
    "",
    "A request sheet that is written later than one usually asks says so, with how many hours or days ahead",
    "the flight is. What is asked for all the same only the authority can answer.",
    "",
]


def _waivers() -> list[str]:
    """Return what can be waived and what comes of it, as `tests/published/test_waivers.py` tests."""
    lines = [
        "## Waivers of part 107",
        "",
        "The authority may waive what 14 CFR 107.200 (A) and 107.205 (B) list, and nothing else. A record",
        "counts for the sections it names by number, for Part 107 flights alone, if it holds for the whole",
        "time, and where the flight keeps to the outline and the height on record: for people beneath",
        "along the path over them, else for all of the flight. A record of anything else lifts nothing.",
        "",
        "| section | what a waiver on record does here |",
        "|---|---|",
    ]
    for section, paragraphs in WAIVABLE.items():
        what = (
            "what it waives is something to do, no longer a stop"
            if section in COUNTED
            else "told, not counted"
        )
        if section == "107.51":
            what = "limits it names: speed, height up to the record's, visibility, cloud"
        lines.append(f"| 14 CFR {section}{' and '.join(paragraphs)} | {what} |")
    return [*lines, ""]


_NO_ROUTE = {
    READY: "nothing to ask",
    STOP: "none to this height by airspace: fly lower, or see the other rows",
    UNKNOWN: "ask the authority whether any is needed",
}


def _line(row: Row) -> str:
    route = ROUTE_WORDS[row.route] if row.route else _NO_ROUTE[row.verdict]
    others = "".join(f"; or {ROUTE_WORDS[other]}" for other in row.alternatives)
    return (
        f"| {row.airspace} | {row.height_ft} ft | {row.record} | {route}{others} | {row.verdict.words} "
        f"| {row.source} |"
    )


if __name__ == "__main__":
    PAGE.parent.mkdir(exist_ok=True)
    PAGE.write_text(page(), "utf-8")
