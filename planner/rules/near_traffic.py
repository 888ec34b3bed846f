"""Where other aircraft are low: aerodromes near path or area, their runways, and where to listen.

Surfaces of 14 CFR part 77 are for construction, not for aircraft in flight:
here they only show where others are low. Distances are own choices, from
common practice. A runway whose approaches are not known counts as one flown to
by instruments where the aerodrome has a tower, else as one flown to by sight.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.flown_places import FlownPlaces, flown_along, flown_in
from planner.flight.near_traffic import AerodromePlaces, NearAerodrome, aerodromes_near
from planner.flight.part77 import Approach, heliport_approach_m
from planner.flight.runway import Runway, RunwayEnd, by_runway
from planner.plan.model import Purpose
from planner.rules.bibliography import NEAR_AIRPORTS, give_way_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, away
from planner.rules.flown_unheld import flown_unheld
from planner.rules.words import along
from planner.units import NAUTICAL_MILE_M, STATUTE_MILE_M
from planner.world.outlines import shapes_in_plane
from planner.world.sites import Aerodrome, AerodromeKind, GroundFeature, GroundKind
from planner.world.world import World

NEAR_M: Final = 5 * STATUTE_MILE_M
_CIRCUIT_M: Final = 2 * NAUTICAL_MILE_M
# So near a pad whoever comes or goes is as low as anybody flies: own choice.
_PAD_M: Final = 150.0
# The centre line is as wide as half of a usual runway to each side: own choice.
_LINE_HALF_M: Final = 15.0
# What is shorter tells no direction: a mere mark of where a runway is.
_SHORTEST_M: Final = 1.0
_SOURCE: Final = f"{COMMON_PRACTICE}; 14 CFR part 77 as an indicator only"
_NO_PLACE: Final = ("ATIS", "AWOS", "ASOS")


@attrs.frozen
class MetRunway:
    """How what is flown lies to a runway.

    Parameters
    ----------
    beyond_m, aside_m : of its nearest place [m].
    crossed_m : how far beyond the runway's end its extended centre line is first crossed [m], within 15 m of
        it, 0 on the runway itself; None where it is not crossed.
    under_approach : whether it reaches under an approach.
    above_surface : whether it comes above the lowest surface.
    """

    name: str
    beyond_m: float
    aside_m: float
    crossed_m: float | None
    under_approach: bool
    above_surface: bool


@attrs.frozen(eq=False)
class Traffic:
    """An aerodrome near what is flown, what of its traffic is met, and where to listen.

    `unplaced` are names of runways whose ends are not on record; `frequencies` are (use, MHz); `what` is
    what comes there.
    """

    near: NearAerodrome
    runways: tuple[MetRunway, ...]
    unplaced: tuple[str, ...]
    in_circuit: bool
    above_heliport: bool
    frequencies: tuple[tuple[str, float], ...]
    what: str = "The path"

    @property
    def meets(self) -> bool:
        """Whether traffic of the aerodrome may be low where it is flown."""
        low = any(one.under_approach or one.above_surface for one in self.runways)
        return self.in_circuit or self.above_heliport or low


def flown_of(case: Case) -> tuple[FlownPlaces, ...]:
    """Return the path, and the area that is judged for itself, as far as there are such."""
    flown = [] if case.track is None or not len(case.track) else [flown_along(case.track)]
    if case.area is not None and case.area_samples is not None and case.mapped is not None:
        flown.append(flown_in(case.area_samples, case.mapped.frame))
    return tuple(flown)


def traffic_of(case: Case) -> tuple[Traffic, ...]:
    """Return the aerodromes near what is flown, the nearest first; of path and area what meets more.

    What is flown and not drawn, or by itself, counts where it meets traffic that these do not.
    """
    return case.once("traffic", lambda: _traffic_of(case))


@attrs.frozen(eq=False)
class _Charted:
    """What the charts hold of some aerodromes, by their idents: of a country's thousands few are near."""

    runways: Mapping[str, Sequence[GroundFeature]]
    frequencies: Mapping[str, Sequence[tuple[str, float]]]

    @classmethod
    def of(cls, world: World, idents: frozenset[str]) -> "_Charted":
        runways: dict[str, list[GroundFeature]] = {ident: [] for ident in idents}
        frequencies: dict[str, list[tuple[str, float]]] = {ident: [] for ident in idents}
        for feature in world.ground_features if idents else ():
            if feature.kind is GroundKind.RUNWAY:
                owner = feature.name.partition(" ")[0]
                if owner in runways:
                    runways[owner].append(feature)
        for one in world.frequencies if idents else ():
            if one.aerodrome in frequencies:
                frequencies[one.aerodrome].append((one.use, one.mhz))
        return cls(runways, frequencies)


def _traffic_of(case: Case) -> tuple[Traffic, ...]:
    every = AerodromePlaces.of(case.world.aerodromes)
    drawn = [(flown, aerodromes_near(flown, every, NEAR_M)) for flown in flown_of(case)]
    besides = flown_unheld(case) if case.world.aerodromes else ()
    unheld = [(what, flown, aerodromes_near(flown, every, NEAR_M)) for what, flown in besides]
    met = [*drawn, *((flown, nears) for _, flown, nears in unheld)]
    charted = _Charted.of(case.world, frozenset(near.aerodrome.ident for _, nears in met for near in nears))
    found: dict[Aerodrome, Traffic] = {}
    for flown, nears in drawn:
        for near in nears:
            one = _traffic(charted, flown, near)
            other = found.setdefault(near.aerodrome, one)
            if (one.meets, -near.distance_m) > (other.meets, -other.near.distance_m):
                found[near.aerodrome] = one
    for what, flown, nears in unheld:
        for near in nears:
            known = found.get(near.aerodrome)
            if known is None or not known.meets:
                one = attrs.evolve(_traffic(charted, flown, near), what=what)
                if one.meets:
                    found[near.aerodrome] = one
    return tuple(sorted(found.values(), key=lambda one: (one.near.distance_m, one.near.aerodrome.ident)))


def _traffic(charted: _Charted, flown: FlownPlaces, near: NearAerodrome) -> Traffic:
    aerodrome = near.aerodrome
    heliport = aerodrome.kind is AerodromeKind.HELIPORT
    runways = list(_runways(charted, flown, aerodrome))
    met = tuple(_met(name, flown, runway) for name, runway in runways if runway is not None)
    nearest_m = min([near.distance_m, *(math.hypot(one.beyond_m, one.aside_m) for one in met)])
    return Traffic(
        near=near,
        runways=met,
        unplaced=tuple(name for name, runway in runways if runway is None),
        in_circuit=not heliport and nearest_m <= _CIRCUIT_M,
        above_heliport=heliport and (near.distance_m <= _PAD_M or _above_heliport(flown, aerodrome)),
        what="The path" if flown.along_m is not None else "The flying area",
        frequencies=tuple(sorted(set(charted.frequencies[aerodrome.ident]))),
    )


def _runways(
    charted: _Charted, flown: FlownPlaces, aerodrome: Aerodrome
) -> Iterator[tuple[str, Runway | None]]:
    """Yield the runways on record by name; None where the record does not tell two ends."""
    # Without an elevation the runway lies where it lies; only how high its surfaces are is not known.
    height_m = np.nan if aerodrome.elevation_amsl_m is None else aerodrome.elevation_amsl_m
    flown_to = Approach.PRECISION if aerodrome.kind is AerodromeKind.TOWERED else Approach.VISUAL
    for feature in charted.runways[aerodrome.ident]:
        name = feature.name.partition(" ")[2]
        shape = shapes_in_plane(np.array([feature.shape], dtype=object), flown.frame)[0]
        ends = [RunwayEnd("", x_m, y_m, height_m, flown_to) for x_m, y_m in _ends(shape)]
        runway = Runway((ends[0], ends[1]), height_m) if len(ends) == 2 else None
        yield name.split(" ")[0], runway if runway is not None and runway.length_m > _SHORTEST_M else None


def _ends(shape: BaseGeometry) -> list[tuple[float, float]]:
    """Return both ends of a runway: of a line its own, else those of the oblong about it."""
    if shape.geom_type == "LineString":
        points = shapely.get_coordinates(shape)
        return [(float(x_m), float(y_m)) for x_m, y_m in points[[0, -1]]] if len(points) else []
    oblong = shapely.minimum_rotated_rectangle(shape)
    if oblong.geom_type != "Polygon":
        return _ends(oblong) if oblong.geom_type == "LineString" else []
    corners = shapely.get_coordinates(oblong)
    sides = [(corners[k] + corners[k + 1]) / 2 for k in range(4)]
    first = 0 if np.hypot(*(corners[1] - corners[0])) <= np.hypot(*(corners[2] - corners[1])) else 1
    return [(float(side[0]), float(side[1])) for side in (sides[first], sides[first + 2])]


def _met(name: str, flown: FlownPlaces, runway: Runway) -> MetRunway:
    line = shapely.buffer(runway.centre_line(NEAR_M), _LINE_HALF_M, cap_style="flat")
    crossing = shapely.intersection(flown.outline, line)
    points = shapely.get_coordinates(crossing)
    flown = flown.with_places(np.vstack([points, flown.nearest_to(runway.line)]))
    by = by_runway(runway, flown.x_m, flown.y_m)
    nearest = int(np.argmin(np.hypot(by.beyond_m, by.aside_m)))
    with np.errstate(invalid="ignore"):
        above = flown.highest_amsl_m > by.surface_amsl_m
    approaches = [runway.approach_area(index, _CIRCUIT_M) for index in (0, 1)]
    return MetRunway(
        name,
        float(by.beyond_m[nearest]),
        float(by.aside_m[nearest]),
        None if crossing.is_empty else float(shapely.distance(crossing, runway.line)),
        bool(shapely.intersects(approaches, flown.outline).any()),
        bool(above.any()),
    )


def _above_heliport(flown: FlownPlaces, aerodrome: Aerodrome) -> bool:
    """Whether it comes above the approach surface, whichever way that runs."""
    if aerodrome.elevation_amsl_m is None:
        return False
    x_m, y_m = flown.frame.place_to_xy(aerodrome.place)
    flown = flown.with_places(np.array([flown.nearest_to(shapely.Point(x_m, y_m))]))
    surface = heliport_approach_m(np.hypot(flown.x_m - x_m, flown.y_m - y_m))
    with np.errstate(invalid="ignore"):
        return bool((flown.highest_amsl_m - aerodrome.elevation_amsl_m > surface).any())


def near_traffic(case: Case) -> Iterator[Finding]:
    """Yield an act for each aerodrome whose traffic may be low there, else a note that it is near."""
    for one in traffic_of(case):
        yield Finding(
            rule="aerodrome-traffic" if one.meets else "aerodrome-near",
            mark=Mark.ACT if one.meets else Mark.NOTE,
            basis=Basis.SAFETY,
            title=f"{one.near.aerodrome.name}: others may be low"
            if one.meets
            else f"{one.near.aerodrome.name} is near",
            message=_told(one),
            citation=_source(case.plan.purpose),
            remedy="look out toward it, listen on its frequency (only listen), give way, land when in doubt"
            if one.meets
            else "",
            from_m=one.near.at_m,
            to_m=one.near.at_m,
            place=one.near.place,
            numbers={"distance_m": one.near.distance_m, "toward_true_deg": one.near.toward.deg},
        )


def _source(purpose: Purpose | None) -> str:
    law = give_way_rule(purpose)
    return f"{law}; {_SOURCE}" if purpose is Purpose.RECREATIONAL else f"{law}, {NEAR_AIRPORTS}; {_SOURCE}"


def _told(one: Traffic) -> str:
    near = one.near
    parts = [_away(one), *(words for each in one.runways for words in _runway_words(one.what, each))]
    if one.unplaced:
        parts.append(f"Where runway {', '.join(one.unplaced)} begins and ends is not on record: not judged.")
    if one.in_circuit:
        parts.append("So near a runway aircraft fly circuits.")
    if one.above_heliport:
        parts.append("Helicopters come in low, from any side.")
    if near.aerodrome.elevation_amsl_m is None:
        parts.append("How high it lies is not on record, so no surface is held against the height flown.")
    parts.append(_listen(one.frequencies))
    return " ".join(parts)


def _away(one: Traffic) -> str:
    near, what = one.near, f"{one.what[:1].lower()}{one.what[1:]}"
    if near.at_m is None and near.distance_m <= 0.0:
        return "It lies inside the flying area." if what == "the flying area" else f"It lies beneath {what}."
    where = f"{along(near.at_m)} along" if near.at_m is not None else f"the nearest place of {what}"
    return f"{away(near.distance_m)} away, {near.toward.deg:.0f} degrees true from {where}."


def _runway_words(what: str, one: MetRunway) -> Iterator[str]:
    out = f"{away(one.beyond_m)} beyond its end, " if one.beyond_m > 0 else ""
    yield f"Runway {one.name}: {out}{away(one.aside_m)} beside its centre line."
    if one.crossed_m is not None:
        beyond = f"its extended centre line {away(one.crossed_m)} beyond its end"
        yield f"{what} crosses {beyond if one.crossed_m > 0 else 'the runway itself'}."
    if one.under_approach:
        yield f"{what} {'reaches' if what == 'The flying area' else 'is'} under an approach."
    if one.above_surface:
        yield "It comes above a surface about the runway: others are low there."


def _listen(frequencies: Sequence[tuple[str, float]]) -> str:
    spoken = [f"{use} {mhz:.3f} MHz" for use, mhz in frequencies if use not in _NO_PLACE]
    if not spoken:
        return "No frequency is on record; look it up."
    return f"Listen only, never transmit: {', '.join(spoken)}."


RULES = (near_traffic,)
