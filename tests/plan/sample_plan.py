"""One plan with every part filled in: an invented flight over the open ocean."""

from datetime import UTC, date, datetime

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.geo.place import Place
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
    RemoteId,
)
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs, FromVehicle, OtherPilot
from planner.plan.crew import Contact, CrewMember, Role, Task, TriedRange
from planner.plan.figures import Figure, FigureKind
from planner.plan.geometry import Area, Leg, LegShape, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.mast_wires import MastWires
from planner.plan.model import Plan, Purpose
from planner.plan.papers import Papers
from planner.plan.records import NoticesChecked, PermissionKind, PermissionRecord
from planner.plan.restrictions import TemporaryRestriction
from planner.plan.sheet import CallTimes, Landmark, SheetNotes
from planner.plan.standing import StandArea
from planner.plan.weather import PlannedWeather, Station, TypedWind, WindLaw

AIRCRAFT = Aircraft(
    name="INVENTED five-inch",
    take_off_weight_kg=0.68,
    largest_dimension_m=0.31,
    form=AircraftForm.ROTORCRAFT,
    registration="INVENTED-1",
    remote_id=RemoteId.BROADCAST_MODULE,
    lights=Lights(anti_collision=True, visible_m=4828.032),
    propeller_guards=False,
    over_people=OverPeople.NONE,
    readout=Readout(ReadoutSource.BAROMETER, 3.5),
    link_loss=LinkLoss(LinkLossAction.RETURN_FIXED, 1.5, AboveLaunch(30.0)),
    battery=Battery("lithium polymer", 6, 1300.0),
    radios=(
        Radio(RadioUse.CONTROL, 2440.0, 100.0),
        Radio(RadioUse.VIDEO, 5800.0, 25.0, analog=True, channel="4"),
    ),
)

CREW = (
    CrewMember("pilot", Role.REMOTE_PILOT, "Pilot (INVENTED)", Place(-150.2, 37.8), Contact.BESIDE),
    CrewMember(
        "observer",
        Role.OBSERVER,
        "Observer (INVENTED)",
        Place(-150.1999, 37.80001),
        Contact.RADIO,
        (TriedRange("INVENTED five-inch", date(2026, 5, 2), "overcast noon", 310.0, against_sun=True),),
        frozenset({Task.WATCH, Task.SCAN}),
    ),
    CrewMember("guest", Role.SPECTATOR),
)

AREA = Area(
    (Place(-150.21, 37.79), Place(-150.21, 37.81), Place(-150.19, 37.81), Place(-150.19, 37.79)),
    AboveGround(60.0),
)

PATH = (
    PathPoint(Place(-150.2, 37.8), AboveGround(12.0), Leg(LegShape.FOLLOW_GROUND, 14.0), "gap"),
    PathPoint(Place(-150.198, 37.802), AboveLaunch(25.0), figure="dive-1"),
    PathPoint(Place(-150.195, 37.8), AboveSeaLevel(140.5), Leg(LegShape.STRAIGHT, 20.0), figure="dive-1"),
)

PERMISSIONS = (
    PermissionRecord(
        reference="INVENTED-2026-0007",
        kind=PermissionKind.AUTHORIZATION,
        airspace="Invented field, surface area",
        ceiling=AboveGround(60.96),
        ring=(Place(-150.22, 37.78), Place(-150.18, 37.78), Place(-150.18, 37.82)),
        valid_from_utc=datetime(2026, 7, 1, tzinfo=UTC),
        valid_to_utc=datetime(2026, 9, 30, 23, 59, 59, tzinfo=UTC),
        conditions="call the tower before the first launch",
    ),
    PermissionRecord("INVENTED-W-3", PermissionKind.WAIVER, "14 CFR 107.51"),
)

RESTRICTIONS = (
    TemporaryRestriction(
        name="Firefighting (INVENTED)",
        ring=(Place(-150.3, 37.7), Place(-150.3, 37.72), Place(-150.27, 37.72), Place(-150.27, 37.7)),
        floor=AboveGround(30.0),
        top=AboveSeaLevel(1_500.0),
        from_utc=datetime(2026, 8, 1, 6, tzinfo=UTC),
        notice="INVENTED 7/0042",
    ),
    TemporaryRestriction(
        name="Air show (INVENTED)",
        centre=Place(-150.1, 37.9),
        radius_m=5_556.0,
        to_utc=datetime(2026, 8, 1, 20, tzinfo=UTC),
    ),
)

PAPERS = Papers(
    registered_until=date(2029, 3, 31),
    marked=True,
    proof_carried=True,
    test_passed=True,
    certificate="INVENTED-107",
    trained_on=date(2026, 3, 15),
    paid=False,
)

WEATHER = PlannedWeather(
    wind=TypedWind(5.0, 250.0, 8.5, 2.0, WindLaw.LOGARITHMIC),
    cloud_base_m=900.0,
    temperature_c=12.5,
    pressure_hpa=1_018.0,
    metar="METAR XX01 011853Z 25010G17KT 10SM FEW040 13/08 A3006 RMK INVENTED",
    taf="TAF XX01 011730Z 0118/0218 25012KT P6SM SCT040",
    station=Station("XX01", -150.24, 37.777, 38.0, "Invented field"),
)

SHEET = SheetNotes(
    landmark=Landmark("the white mast (INVENTED)", Place(-150.19, 37.81)),
    calls=CallTimes(10.0, 4.0, 6.0, 12.0, 3.0),
    most_wind_mps=7.5,
    most_gust_mps=11.0,
    gate="gate on the mole road (INVENTED)",
    emergency_number="000 (INVENTED)",
    first_aid="red bag beside the launch point",
    extinguisher="yellow case beside the launch point",
    on_foot="wire across the gully",
    insurance="policy INVENTED-3",
    landowner_contact="the keeper, channel 3 (INVENTED)",
)
BENEATH = (
    BeneathItem(
        BeneathKind.ROAD,
        DrawnAs.LINE,
        (Place(-150.21, 37.79), Place(-150.2, 37.795), Place(-150.19, 37.79)),
        "Coast road (INVENTED)",
        half_width_m=4.0,
        moving_vehicles=True,
        closed_site=True,
    ),
    BeneathItem(
        BeneathKind.TREES,
        DrawnAs.AREA,
        (Place(-150.2, 37.8), Place(-150.2, 37.803), Place(-150.196, 37.803), Place(-150.196, 37.8)),
        height_m=18.0,
    ),
    BeneathItem(BeneathKind.SUBJECT, DrawnAs.SPOT, (Place(-150.197, 37.801),), "Driver (INVENTED)",
                under_cover=False),
)  # fmt: skip

FULL_PLAN = Plan(
    name="Ridge line (INVENTED)",
    purpose=Purpose.RECREATIONAL,
    guidelines="Guidelines of an invented club",
    aircraft=AIRCRAFT,
    crew=CREW,
    window=TimeWindow(
        datetime(2026, 8, 1, 19, 0, tzinfo=UTC), datetime(2026, 8, 1, 21, 30, tzinfo=UTC), "Pacific/Honolulu"
    ),
    launch=GroundSpot(Place(-150.2, 37.8), LandStatus.PERMITTED, "the keeper of the lighthouse (INVENTED)"),
    landing=GroundSpot(Place(-150.2001, 37.8), LandStatus.PUBLIC),
    area=AREA,
    path=PATH,
    return_point=Place(-150.2002, 37.8001),
    notices=NoticesChecked(datetime(2026, 8, 1, 18, 12, 30, tzinfo=UTC), "Pilot (INVENTED)"),
    permissions=PERMISSIONS,
    structures_standing=frozenset({"mast-1", "tower-2"}),
    chart_sets=("demo-island",),
    saved_as_draft=False,
    restrictions=RESTRICTIONS,
    papers=PAPERS,
    guy_wire_share=0.65,
    mast_wires=(MastWires("mast-1", 0.0), MastWires("tower-2", 0.7)),
    visibility_m=8_046.72,
    own_unseen_s=2.5,
    own_tried_days=180.0,
    weather=WEATHER,
    sheet=SHEET,
    beneath=BENEATH,
    other_pilots=(
        OtherPilot("Other (INVENTED)", 5_840.0, 20.0, "5"),
        OtherPilot("Third (INVENTED)", 5_740.0),
    ),
    own_people_distance_m=40.0,
    from_vehicle=FromVehicle(sparsely_populated=True, carries_for_hire=False),
    stand_areas=(
        StandArea((Place(-150.201, 37.799), Place(-150.201, 37.801), Place(-150.199, 37.801)), "car park"),
    ),
    figures=(
        Figure(
            "dive-1",
            FigureKind.DIVE,
            "North face (INVENTED)",
            "DIVING",
            Place(-150.196, 37.8),
            Place(-150.19, 37.8),
        ),
    ),
)
