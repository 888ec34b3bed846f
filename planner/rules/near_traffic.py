"""Where other aircraft are low: aerodromes near the path, their runways, and where to listen.

Surfaces of 14 CFR part 77 are for construction, not for aircraft in flight:
here they only show where others are low. Distances are own choices, from
common practice. A runway whose approaches are not known counts as one flown to
by instruments where the aerodrome has a tower, else as one flown to by sight.
"""

from collections.abc import Iterator, Sequence
from typing import Final

import attrs
import numpy as np
import shapely

from planner.flight.near_traffic import NearAerodrome, aerodromes_near
from planner.flight.part77 import Approach, heliport_approach_m
from planner.flight.runway import NearRunway, Runway, RunwayEnd, by_runway
from planner.plan.model import Purpose
from planner.rules.bibliography import NEAR_AIRPORTS, give_way_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, miles
from planner.rules.stretches import place_at
from planner.rules.words import along
from planner.track.track import Track
from planner.units import NAUTICAL_MILE_M, STATUTE_MILE_M
from planner.world.sites import Aerodrome, AerodromeKind, GroundKind
from planner.world.world import World

NEAR_M: Final = 5 * STATUTE_MILE_M
_CIRCUIT_M: Final = 2 * NAUTICAL_MILE_M
_SOURCE: Final = f"{COMMON_PRACTICE}; 14 CFR part 77 as an indicator only"
_NO_PLACE: Final = ("ATIS", "AWOS", "ASOS")


@attrs.frozen(eq=False)
class Traffic:
    """An aerodrome near the path, what of its traffic the path meets, and where to listen.

    `runways` are (name, nearest distance beyond the end [m], distance aside
    [m], whether the path is under an approach, whether it comes above the
    lowest surface); `frequencies` are (use, MHz).
    """

    near: NearAerodrome
    runways: tuple[tuple[str, float, float, bool, bool], ...]
    in_circuit: bool
    above_heliport: bool
    frequencies: tuple[tuple[str, float], ...]

    @property
    def meets(self) -> bool:
        """Whether traffic of the aerodrome may be low where the path is."""
        return self.in_circuit or self.above_heliport or any(one[3] or one[4] for one in self.runways)


def traffic_of(case: Case) -> tuple[Traffic, ...]:
    """Return the aerodromes near the path, the nearest first."""
    track = case.track
    if track is None:
        return ()
    return tuple(
        _traffic(case.world, track, near) for near in aerodromes_near(track, case.world.aerodromes, NEAR_M)
    )


def _traffic(world: World, track: Track, near: NearAerodrome) -> Traffic:
    aerodrome = near.aerodrome
    found = [(name, runway, by_runway(runway, track.x_m, track.y_m))
             for name, runway in _runways(world, track, aerodrome)]  # fmt: skip
    heliport = aerodrome.kind is AerodromeKind.HELIPORT
    return Traffic(
        near=near,
        runways=tuple(_met(name, track, by) for name, _, by in found),
        in_circuit=not heliport and near.distance_m <= _CIRCUIT_M,
        above_heliport=heliport and _above_heliport(track, aerodrome),
        frequencies=tuple(
            sorted({(one.use, one.mhz) for one in world.frequencies if one.aerodrome == aerodrome.ident})
        ),
    )


def _runways(world: World, track: Track, aerodrome: Aerodrome) -> Iterator[tuple[str, Runway]]:
    for feature in world.ground_features:
        owner, _, name = feature.name.partition(" ")
        if (
            feature.kind is not GroundKind.RUNWAY
            or owner != aerodrome.ident
            or aerodrome.elevation_amsl_m is None
        ):
            continue
        points = shapely.get_coordinates(feature.shape)
        if feature.shape.geom_type != "LineString" or len(points) < 2:
            continue
        x_m, y_m = track.frame.forward(points[[0, -1], 0], points[[0, -1], 1])
        flown = Approach.PRECISION if aerodrome.kind is AerodromeKind.TOWERED else Approach.VISUAL
        ends = [
            RunwayEnd("", float(x), float(y), aerodrome.elevation_amsl_m, flown)
            for x, y in zip(x_m, y_m, strict=True)
        ]
        runway = Runway((ends[0], ends[1]), aerodrome.elevation_amsl_m)
        if runway.length_m > 1.0:
            yield name.split(" ")[0], runway


def _met(name: str, track: Track, by: NearRunway) -> tuple[str, float, float, bool, bool]:
    nearest = int(np.argmin(np.hypot(by.beyond_m, by.aside_m)))
    with np.errstate(invalid="ignore"):
        above = track.planned_amsl_m > by.surface_amsl_m
    close = by.in_approach & (by.beyond_m <= _CIRCUIT_M)
    return name, float(by.beyond_m[nearest]), float(by.aside_m[nearest]), bool(close.any()), bool(above.any())


def _above_heliport(track: Track, aerodrome: Aerodrome) -> bool:
    """Whether the path comes above the approach surface, whichever way that runs."""
    if aerodrome.elevation_amsl_m is None:
        return False
    x_m, y_m = track.frame.place_to_xy(aerodrome.place)
    away_m = np.hypot(track.x_m - x_m, track.y_m - y_m)
    surface = np.array([heliport_approach_m(float(one)) for one in away_m], dtype=float)
    with np.errstate(invalid="ignore"):
        return bool((track.planned_amsl_m - aerodrome.elevation_amsl_m > surface).any())


def near_traffic(case: Case) -> Iterator[Finding]:
    """Yield an act for each aerodrome whose traffic may be low there, else a note that it is near."""
    for one in traffic_of(case):
        assert case.track is not None
        at = int(np.searchsorted(case.track.distance_m, one.near.at_m))
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
            place=place_at(case.track, min(at, len(case.track) - 1)),
            numbers={"distance_m": one.near.distance_m, "toward_true_deg": one.near.toward.deg},
        )


def _source(purpose: Purpose | None) -> str:
    law = give_way_rule(purpose)
    return f"{law}; {_SOURCE}" if purpose is Purpose.RECREATIONAL else f"{law}, {NEAR_AIRPORTS}; {_SOURCE}"


def _told(one: Traffic) -> str:
    near = one.near
    parts = [
        f"{miles(near.distance_m)} away, {near.toward.deg:.0f} degrees true from {along(near.at_m)} along."
    ]
    for name, beyond_m, aside_m, approach, above in one.runways:
        out = f"{miles(beyond_m)} beyond its end, " if beyond_m > 0 else ""
        parts.append(f"Runway {name}: {out}{miles(aside_m)} beside its centre line.")
        if approach:
            parts.append("The path is under an approach.")
        if above:
            parts.append("It comes above a surface about the runway: others are low there.")
    if one.in_circuit:
        parts.append("So near a runway aircraft fly circuits.")
    if one.above_heliport:
        parts.append("Helicopters come in low, from any side.")
    parts.append(_listen(one.frequencies))
    return " ".join(parts)


def _listen(frequencies: Sequence[tuple[str, float]]) -> str:
    spoken = [f"{use} {mhz:.3f} MHz" for use, mhz in frequencies if use not in _NO_PLACE]
    if not spoken:
        return "No frequency is on record; look it up."
    return f"Listen only, never transmit: {', '.join(spoken)}."


RULES = (near_traffic,)
