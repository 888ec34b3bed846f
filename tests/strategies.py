"""Random but valid values of the program, for tests that state properties."""

from datetime import UTC, date, datetime

import attrs
from hypothesis import strategies as st

from planner.geo.geodesy import TrueBearing, travel
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height
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
from planner.plan.performance import MeasuredFlight, Performance
from planner.plan.records import NoticesChecked, PermissionKind, PermissionRecord, ScannedPaper
from planner.plan.restrictions import TemporaryRestriction
from planner.plan.sheet import CallTimes, Landmark, SheetNotes
from planner.plan.standing import StandArea

OPEN_OCEAN = Place(-150.2, 37.8)

_ZONES = ("UTC", "America/New_York", "Pacific/Honolulu", "Asia/Kathmandu")


def figures(low: float, high: float) -> st.SearchStrategy[float]:
    """Finite floats, also the awkward ones."""
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


def texts() -> st.SearchStrategy[str]:
    return st.text(max_size=12)


def names() -> st.SearchStrategy[str]:
    return texts().filter(str.strip)


def moments() -> st.SearchStrategy[datetime]:
    return st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001


def places(near: Place | None = None, within_m: float = 5_000.0) -> st.SearchStrategy[Place]:
    """Places within a distance of `near`; without it, anywhere on earth."""
    if near is None:
        return st.builds(Place, figures(-180.0, 180.0), figures(-90.0, 90.0))
    return st.builds(
        lambda deg, metres: travel(near, TrueBearing(deg), metres),
        figures(0.0, 359.9),
        figures(0.0, within_m),
    )


def heights(low_m: float = 0.0, high_m: float = 300.0) -> st.SearchStrategy[Height]:
    """Heights of every kind."""
    metres = figures(low_m, high_m)
    return st.one_of([st.builds(kind, metres) for kind in (AboveGround, AboveLaunch, AboveSeaLevel)])


@st.composite
def rings(draw: st.DrawFn, near: Place = OPEN_OCEAN, within_m: float = 5_000.0) -> tuple[Place, ...]:
    """Simple open rings about `near`, drawn either way round."""
    count = draw(st.integers(3, 8))
    step_deg = 360.0 / count
    corners = []
    for number in range(count):
        # A corner strays by less than would let the ring leave its centre outside.
        deg = (number + draw(figures(-0.2, 0.2))) * step_deg
        corners.append(travel(near, TrueBearing(deg), draw(figures(0.2, 1.0)) * within_m))
    return tuple(corners if draw(st.booleans()) else reversed(corners))


def areas(near: Place = OPEN_OCEAN, within_m: float = 5_000.0) -> st.SearchStrategy[Area]:
    return st.builds(Area, rings(near, within_m), st.none() | heights())


def legs() -> st.SearchStrategy[Leg]:
    return st.builds(Leg, st.sampled_from(LegShape), st.none() | figures(0.1, 60.0))


def path_points(near: Place = OPEN_OCEAN, within_m: float = 5_000.0) -> st.SearchStrategy[PathPoint]:
    return st.builds(PathPoint, places(near, within_m), heights(), legs(), texts())


def spots(near: Place = OPEN_OCEAN, within_m: float = 5_000.0) -> st.SearchStrategy[GroundSpot]:
    return st.builds(GroundSpot, places(near, within_m), st.sampled_from(LandStatus), texts())


@st.composite
def windows(draw: st.DrawFn) -> TimeWindow:
    start, end = sorted(draw(st.lists(moments(), min_size=2, max_size=2, unique=True)))
    return TimeWindow(start, end, draw(st.sampled_from(_ZONES)))


def aircraft() -> st.SearchStrategy[Aircraft]:
    lights = st.builds(Lights, st.booleans(), st.none() | figures(1.0, 9_000.0))
    readout = st.builds(Readout, st.sampled_from(ReadoutSource), st.none() | figures(0.0, 50.0))
    link_loss = st.builds(
        LinkLoss,
        st.sampled_from(LinkLossAction),
        st.none() | figures(0.0, 60.0),
        st.none() | heights(),
        needs_fix=st.none() | st.booleans(),
        speed_mps=st.none() | figures(0.1, 60.0),
    )
    battery = st.builds(
        Battery, texts(), st.integers(1, 14), figures(20.0, 30_000.0), st.none() | figures(0.1, 100.0)
    )
    radio = st.builds(
        Radio,
        st.sampled_from(RadioUse),
        figures(20.0, 9_000.0),
        st.none() | figures(0.1, 2_000.0),
        st.none() | st.booleans(),
        texts(),
        air_gain_dbi=st.none() | figures(-30.0, 40.0),
        sensitivity_dbm=st.none() | figures(-160.0, 0.0),
        width_mhz=st.none() | figures(0.1, 200.0),
    )
    measured = st.builds(MeasuredFlight, figures(30.0, 7_200.0), figures(5.0, 30_000.0))
    performance = st.builds(
        Performance,
        hover_w=st.none() | figures(1.0, 5_000.0),
        measured=st.none() | measured,
        landing_reserve=figures(0.0, 0.9),
    )
    return st.builds(
        Aircraft,
        name=names(),
        take_off_weight_kg=figures(0.01, 25.0),
        largest_dimension_m=figures(0.05, 3.0),
        form=st.sampled_from(AircraftForm),
        registration=st.none() | texts(),
        remote_id=st.none() | st.sampled_from(RemoteId),
        lights=st.none() | lights,
        propeller_guards=st.none() | st.booleans(),
        over_people=st.none() | st.sampled_from(OverPeople),
        readout=st.none() | readout,
        link_loss=st.none() | link_loss,
        battery=st.none() | battery,
        radios=st.lists(radio, max_size=2).map(tuple),
        performance=st.none() | performance,
    )


def crew_members(near: Place = OPEN_OCEAN, within_m: float = 5_000.0) -> st.SearchStrategy[CrewMember]:
    tried = st.builds(
        TriedRange,
        texts(),
        st.dates(date(2000, 1, 1), date(2100, 1, 1)),
        texts(),
        figures(1.0, 2_000.0),
        st.booleans(),
        st.none() | st.booleans(),
    )
    return st.builds(
        CrewMember,
        key=names(),
        role=st.sampled_from(Role),
        name=texts(),
        place=st.none() | places(near, within_m),
        contact=st.none() | st.sampled_from(Contact),
        tried_ranges=st.lists(tried, max_size=2).map(tuple),
        tasks=st.frozensets(st.sampled_from(Task)),
    )


def permission_records(
    near: Place = OPEN_OCEAN, within_m: float = 5_000.0
) -> st.SearchStrategy[PermissionRecord]:
    return st.builds(
        PermissionRecord,
        reference=names(),
        kind=st.sampled_from(PermissionKind),
        airspace=names(),
        ceiling=st.none() | heights(),
        ring=st.none() | rings(near, within_m),
        valid_from_utc=st.none() | moments(),
        valid_to_utc=st.none() | moments(),
        conditions=texts(),
        paper=st.none()
        | st.builds(ScannedPaper, names(), st.text("0123456789abcdef", min_size=64, max_size=64)),
    )


def _restriction(limits: tuple[Height | None, Height | None], **given: object) -> TemporaryRestriction:
    """One whose top is above its floor: without a top where the two drawn are not."""
    floor, top = limits
    closes = top is None or (floor.m if floor else 0.0) < top.m
    return TemporaryRestriction(floor=floor, top=top if closes else None, **given)


def restrictions(
    near: Place = OPEN_OCEAN, within_m: float = 5_000.0
) -> st.SearchStrategy[TemporaryRestriction]:
    levels = st.none() | st.one_of(
        figures(0.0, 3_000.0).map(AboveGround), figures(-400.0, 9_000.0).map(AboveSeaLevel)
    )
    rest = {"limits": st.tuples(levels, levels), "notice": texts(), "to_utc": st.none() | moments()}
    drawn = st.builds(_restriction, name=names(), ring=rings(near, within_m), **rest)
    round_ones = st.builds(
        _restriction,
        name=names(),
        centre=places(near, within_m),
        radius_m=figures(10.0, 50_000.0),
        **rest,
    )
    return drawn | round_ones


def beneath_items(near: Place = OPEN_OCEAN, within_m: float = 5_000.0) -> st.SearchStrategy[BeneathItem]:
    yes_no = st.none() | st.booleans()
    some = places(near, within_m)
    outlines = st.one_of(
        st.tuples(st.just(DrawnAs.SPOT), st.tuples(some)),
        st.tuples(st.just(DrawnAs.LINE), st.lists(some, min_size=2, max_size=4).map(tuple)),
        st.tuples(st.just(DrawnAs.AREA), rings(near, within_m)),
    )
    return st.builds(
        lambda outline, **rest: BeneathItem(drawn_as=outline[0], places=outline[1], **rest),
        outline=outlines,
        kind=st.sampled_from(BeneathKind),
        name=texts(),
        half_width_m=st.none() | figures(0.5, 50.0),
        height_m=st.none() | figures(0.0, 60.0),
        moving_vehicles=yes_no,
        closed_site=yes_no,
        under_cover=yes_no,
    )


def stand_areas(near: Place = OPEN_OCEAN, within_m: float = 5_000.0) -> st.SearchStrategy[StandArea]:
    return st.builds(StandArea, ring=rings(near, within_m), name=texts())


@st.composite
def flown_figures(
    draw: st.DrawFn, path: tuple[PathPoint, ...], near: Place, within_m: float
) -> tuple[tuple[PathPoint, ...], tuple[Figure, ...]]:
    """A path with up to two figures on it, and these figures."""
    found: list[Figure] = []
    points = list(path)
    for number in range(draw(st.integers(0, 2))):
        free = [index for index, point in enumerate(points) if point.figure is None]
        if len(free) < 2:
            break
        key = f"figure {number}"
        chosen = draw(st.lists(st.sampled_from(free), min_size=2, max_size=3, unique=True))
        for index in chosen:
            points[index] = attrs.evolve(points[index], figure=key)
        some = st.none() | places(near, within_m)
        found.append(
            Figure(
                key, draw(st.sampled_from(FigureKind)), draw(texts()), draw(texts()), draw(some), draw(some)
            )
        )
    return tuple(points), tuple(found)


def other_pilots() -> st.SearchStrategy[OtherPilot]:
    return st.builds(OtherPilot, names(), figures(100.0, 6_000.0), st.none() | figures(1.0, 80.0), texts())


def notices() -> st.SearchStrategy[NoticesChecked]:
    return st.builds(NoticesChecked, moments(), names())


def papers() -> st.SearchStrategy[Papers]:
    yes_no = st.none() | st.booleans()
    return st.builds(
        Papers,
        registered_until=st.none() | st.dates(),
        marked=yes_no,
        proof_carried=yes_no,
        test_passed=yes_no,
        certificate=texts(),
        trained_on=st.none() | st.dates(max_value=date(9990, 1, 1)),
        paid=yes_no,
    )


def sheet_notes(near: Place, within_m: float) -> st.SearchStrategy[SheetNotes]:
    seconds = figures(1.0, 120.0)
    return st.builds(
        SheetNotes,
        landmark=st.none() | st.builds(Landmark, names(), places(near, within_m)),
        calls=st.builds(CallTimes, seconds, seconds, seconds, seconds, seconds),
        most_wind_mps=st.none() | figures(0.1, 30.0),
        most_gust_mps=st.none() | figures(0.1, 40.0),
        gate=texts(),
        emergency_number=texts(),
        first_aid=texts(),
        extinguisher=texts(),
        on_foot=texts(),
        insurance=texts(),
        landowner_contact=texts(),
    )


def plans(near: Place = OPEN_OCEAN, within_m: float = 5_000.0) -> st.SearchStrategy[Plan]:
    """Whole plans about `near`; any part may be absent."""
    paths = st.lists(path_points(near, within_m), max_size=6).map(tuple)
    return st.builds(
        lambda flown, **rest: Plan(path=flown[0], figures=flown[1], **rest),
        flown=paths.flatmap(lambda path: flown_figures(path, near, within_m)),
        name=texts(),
        purpose=st.none() | st.sampled_from(Purpose),
        guidelines=texts(),
        aircraft=st.none() | aircraft(),
        crew=st.lists(crew_members(near, within_m), max_size=3, unique_by=lambda one: one.key).map(tuple),
        window=st.none() | windows(),
        launch=st.none() | spots(near, within_m),
        landing=st.none() | spots(near, within_m),
        return_point=st.none() | places(near, within_m),
        area=st.none() | areas(near, within_m),
        notices=st.none() | notices(),
        permissions=st.lists(permission_records(near, within_m), max_size=2).map(tuple),
        restrictions=st.lists(restrictions(near, within_m), max_size=2, unique=True).map(tuple),
        structures_standing=st.frozensets(texts(), max_size=3),
        chart_sets=st.lists(texts(), max_size=3).map(tuple),
        saved_as_draft=st.booleans(),
        papers=st.none() | papers(),
        guy_wire_share=st.none() | figures(0.0, 5.0),
        mast_wires=st.lists(
            st.builds(MastWires, names(), figures(0.0, 5.0), st.none() | texts()),
            max_size=3,
            unique_by=lambda one: one.structure,
        ).map(tuple),
        visibility_m=st.none() | figures(1.0, 50_000.0),
        own_unseen_s=st.none() | figures(0.1, 60.0),
        own_tried_days=st.none() | figures(1.0, 4_000.0),
        sheet=st.none() | sheet_notes(near, within_m),
        beneath=st.lists(beneath_items(near, within_m), max_size=3).map(tuple),
        stand_areas=st.lists(stand_areas(near, within_m), max_size=2).map(tuple),
        other_pilots=st.lists(other_pilots(), max_size=3).map(tuple),
        own_people_distance_m=st.none() | figures(1.0, 500.0),
        from_vehicle=st.none() | st.builds(FromVehicle, st.none() | st.booleans(), st.none() | st.booleans()),
    )
