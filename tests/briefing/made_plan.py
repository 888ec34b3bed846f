"""An invented plan, made by hand."""

from datetime import date

import attrs

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.aircraft import Aircraft, Lights
from planner.plan.crew import Contact, CrewMember, Role, TriedRange
from planner.plan.geometry import Area, Leg, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Plan, Purpose
from tests.briefing.made_world import WINDOW, place

PATH_M = (
    (-200, -300),
    (150, 250),
    (620, 700),
    (900, 1220),
    (500, 1500),
    (-150, 1250),
    (-420, 500),
    (-230, -200),
)


def plan(**changes: object) -> Plan:
    """Every part filled in; `changes` replace parts."""
    full = Plan(
        name="Ridge and mast, evening",
        purpose=Purpose.PART_107,
        aircraft=Aircraft("Invented five-inch", 0.68, 0.31, lights=Lights(True, 4828.032)),
        crew=(
            CrewMember("pilot", Role.REMOTE_PILOT, "A. Invented", place(-215, -330), Contact.BESIDE),
            CrewMember("controls", Role.PERSON_AT_CONTROLS, "B. Invented", place(-222, -334), Contact.BESIDE),
            CrewMember(
                "observer",
                Role.OBSERVER,
                "C. Invented",
                place(-190, -345),
                Contact.BESIDE,
                (TriedRange("Invented five-inch", date(2026, 5, 2), "overcast noon", 410.0),),
            ),
            CrewMember("second", Role.OBSERVER, "D. Invented", place(640, 520), Contact.RADIO),
        ),
        window=WINDOW,
        launch=GroundSpot(place(-200, -300), LandStatus.PERMITTED, "the farmer"),
        landing=GroundSpot(place(-200, -300), LandStatus.PERMITTED, "the farmer"),
        area=Area(
            tuple(
                place(*corner)
                for corner in ((-420, -480), (80, -480), (1150, 800), (950, 1700), (-300, 1700), (-700, 500))
            ),
            AboveGround(100),
        ),
        path=tuple(
            PathPoint(place(*at), kind, Leg(speed_mps=14.0), name)
            for at, kind, name in zip(
                PATH_M,
                (
                    AboveLaunch(20),
                    AboveGround(60),
                    AboveGround(70),
                    AboveSeaLevel(420),
                    AboveGround(90),
                    AboveGround(80),
                    AboveGround(60),
                    AboveLaunch(20),
                ),
                ("", "gate", "", "mast", "", "", "", ""),
                strict=True,
            )
        ),
        chart_sets=("invented",),
        saved_as_draft=False,
    )
    return attrs.evolve(full, **changes)
