"""A plan in which nothing is left unsaid: all of it invented."""

from datetime import UTC, date, datetime

from planner.geo.heights import AboveLaunch, AboveSeaLevel
from planner.geo.window import TimeWindow
from planner.plan.aircraft import (
    Aircraft,
    AircraftForm,
    Battery,
    Lights,
    LinkLoss,
    LinkLossAction,
    OverPeople,
    Radio,
    RadioUse,
    Readout,
    ReadoutSource,
    ReadoutUnit,
    RemoteId,
)
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs, FromVehicle, OtherPilot
from planner.plan.crew import Contact, CrewMember, Role, Task, TriedRange
from planner.plan.geometry import Area
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.mast_wires import MastWires
from planner.plan.model import Purpose
from planner.plan.papers import Papers
from planner.plan.performance import MeasuredFlight, Performance
from planner.plan.records import NoticesChecked
from planner.plan.restrictions import TemporaryRestriction
from planner.plan.sheet import CallTimes, Landmark, SheetNotes
from planner.plan.weather import PlannedWeather, Station, TypedWind, WindLaw
from tests.desk.desk_rig import OCEAN, place, small_plan

_BEGIN = datetime(2027, 6, 12, 20, 0, tzinfo=UTC)

AIRCRAFT = Aircraft(
    "Sparrow (invented)",
    0.92,
    0.46,
    form=AircraftForm.FIXED_WING,
    registration="INVENTED 1",
    remote_id=RemoteId.BROADCAST_MODULE,
    lights=Lights(True, 4_000.0),
    propeller_guards=True,
    over_people=OverPeople.CATEGORY_2,
    readout=Readout(ReadoutSource.BAROMETER, 4.0, ReadoutUnit.METRES),
    link_loss=LinkLoss(
        LinkLossAction.RETURN_FIXED, 1.5, AboveLaunch(40.0), True, False, 12.0, 4.0, 2.0, clear_by_m=9.0
    ),
    battery=Battery("Li-Po", 6, 1300.0, 3.5, 0.8),
    radios=(Radio(RadioUse.VIDEO, 5805.0, 25.0, True, "4", 8.0, 2.0, -90.0, 12.0, 1.5, 20.0),),
    performance=Performance(
        190.0, 210.0, 15.0, 25.0, 6.0, 3.0, 0.012, MeasuredFlight(300.0, 900.0, 14.0), 0.3
    ),
)


_FURTHER = {
    "papers": Papers(date(2028, 3, 15), True, True, True, "0 invented", date(2026, 3, 15), False),
    "guy_wire_share": 0.6,
    "mast_wires": (MastWires("mast", 0.5, "120.0 m, guyed"),),
    "visibility_m": 9_000.0,
    "own_unseen_s": 3.0,
    "own_tried_days": 100.0,
    "weather": PlannedWeather(
        TypedWind(4.0, 240.0, 7.0, 3.0, WindLaw.LOGARITHMIC),
        800.0,
        12.0,
        1011.0,
        "METAR INVENTED",
        "TAF INVENTED",
        Station("XXXX", *OCEAN, 30.0, "Station (invented)"),
    ),
    "sheet": SheetNotes(
        Landmark("the mast (invented)", place(2, 2)),
        CallTimes(11.0, 4.0, 3.0, 9.0, 4.5),
        9.0,
        13.0,
        *("gate", "number", "first aid", "extinguisher", "on foot", "insurance", "owner"),
    ),
    "beneath": (BeneathItem(BeneathKind.TREES, DrawnAs.SPOT, (place(3, 3),), "Trees", 20.0, 12.0),),
    "other_pilots": (OtherPilot("Dogwood (invented)", 5_800.0, 20.0, "R4"),),
    "own_people_distance_m": 40.0,
    "from_vehicle": FromVehicle(True, False),
}


def full_plan(**changes):
    """Return a plan in which each field of every form has something to show."""
    parts = {
        "purpose": Purpose.RECREATIONAL,
        "guidelines": "Guidelines (invented)",
        "aircraft": AIRCRAFT,
        "crew": (
            CrewMember(
                "observer",
                Role.OBSERVER,
                "Ash (invented)",
                place(0, -0.5),
                Contact.RADIO,
                (TriedRange("Sparrow", date(2026, 5, 1), "overcast", 400.0, True, True),),
                frozenset({Task.WATCH}),
            ),
        ),
        "window": TimeWindow(_BEGIN, _BEGIN.replace(hour=21), "Pacific/Honolulu"),
        "launch": GroundSpot(place(0, 0), LandStatus.PERMITTED, "Birch (invented)"),
        "return_point": place(4, 1),
        "landing": GroundSpot(place(4, 0), LandStatus.PERMITTED, "Cedar (invented)"),
        "area": Area((place(-1, -1), place(5, -1), place(5, 2), place(-1, 2)), AboveSeaLevel(90.0)),
        "notices": NoticesChecked(_BEGIN.replace(hour=16, minute=30), "Ash (invented)"),
        "restrictions": (
            TemporaryRestriction("Closure (INVENTED)", centre=place(90, 90), radius_m=900.0, notice="none"),
        ),
        **_FURTHER,
    }
    return small_plan(**(parts | changes))
