"""Assessments made by hand, so that paper and JSON are tested without the judgement behind them.

Everything is INVENTED and lies in the open ocean.
"""

from datetime import UTC, datetime, timedelta

import attrs

from planner.assessment import Assessment
from planner.ceiling.profile import AreaCeiling, Binding
from planner.permission.need import PermissionNeed, Route, Subject
from planner.plan.model import Plan
from planner.rules.data_status import DataStatus
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.unknowns import Weight
from planner.rules.verdict import Recheck, Verdict
from planner.world.currency import LayerState
from planner.world.layers import LayerName, LayerRecord
from tests.briefing.made_plan import plan
from tests.briefing.made_track import track_and_profile
from tests.briefing.made_world import WINDOW, disc, place, world

FINDINGS = (
    Finding(
        "ceiling",
        Mark.STOP,
        Basis.LAW,
        "Above the ceiling",
        "Planned 431 ft above ground where 400 ft is the limit, at 1.2 km.",
        "14 CFR 107.51(b)",
        "Lower point 4 by 31 ft.",
        1180.0,
        1260.0,
        place(620, 700),
    ),
    Finding(
        "surface-area",
        Mark.ACT,
        Basis.LAW,
        "Ask before flying in the surface area",
        "0 to 640 m lie in the Class D surface area of INVENTED FIELD, up to 190 ft above ground.",
        "14 CFR 107.41",
        "Ask for 200 ft above ground through the automated service.",
        0.0,
        640.0,
        place(-200, -300),
    ),
    Finding(
        "wires",
        Mark.NOTE,
        Basis.SAFETY,
        "Wires are not checked",
        "No layer of wires was given; look on the spot.",
    ),
)

NEED = PermissionNeed(
    Subject.AIRSPACE,
    "INVENTED FIELD",
    "D",
    Route.AUTOMATED,
    (Route.FURTHER_COORDINATION,),
    60.96,
    57.6,
    "minutes as a rule (common practice)",
    None,
    "",
    0.0,
    640.0,
    place(-200, -300),
    ("cell-2-1",),
)


def data() -> tuple[DataStatus, ...]:
    record = LayerRecord(
        LayerName.CLASS_AIRSPACE,
        "Invented Air Navigation Office",
        "invented.geojson",
        datetime(2026, 10, 29, 9, tzinfo=UTC),
        datetime(2026, 12, 24, 9, tzinfo=UTC),
        3,
        disc(0, 0, 9000),
        "invented",
    )
    return (
        DataStatus(
            LayerName.TERRAIN,
            LayerState.OK,
            attrs.evolve(record, name=LayerName.TERRAIN, expires_utc=None),
            Weight.RESTRICTING,
        ),
        DataStatus(LayerName.CLASS_AIRSPACE, LayerState.OK, record, Weight.RESTRICTING),
        DataStatus(LayerName.STADIUM_EVENTS, LayerState.MISSING, None, Weight.RESTRICTING),
    )


def assessment(
    verdict: Verdict = Verdict.PERMISSION_NEEDED, made: Plan | None = None, **changes: object
) -> Assessment:
    made = made or plan()
    around = changes.pop("world", None) or world()
    track, profile = track_and_profile(made, around)
    ready = verdict is Verdict.READY
    answer = Assessment(
        plan=made,
        world=around,
        verdict=verdict,
        reason={
            Verdict.PERMISSION_NEEDED: "640 m lie in the surface area of INVENTED FIELD; ask for 200 ft.",
            Verdict.READY: "Nothing stands against it on this data.",
            Verdict.MUST_CHANGE: "Planned 31 ft above the ceiling at 1.2 km.",
            Verdict.UNDETERMINED: "The terrain ends at 1.9 km.",
        }[verdict],
        findings=FINDINGS if verdict is Verdict.MUST_CHANGE else FINDINGS[1:],
        permissions=() if ready else (NEED,),
        data=data(),
        track=track,
        profile=profile,
        area=AreaCeiling(215.4, 121.92, 193.5, -21.9, Binding.GROUND, "", place(80, -480), 4.0, 0.0)
        if made.area
        else None,
        valid_until_utc=WINDOW.end_utc if ready else None,
        recheck=(Recheck("notices and temporary restrictions", WINDOW.start_utc - timedelta(minutes=30)),),
        not_known=("wires", "trees", "people on the spot"),
    )
    return attrs.evolve(answer, **changes)
