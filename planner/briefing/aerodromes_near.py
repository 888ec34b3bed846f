"""The nearest aerodromes: direction, distance and frequencies."""

from planner.assessment import Assessment
from planner.briefing.facing import degrees, facing_of
from planner.briefing.words import plain
from planner.geo.geodesy import bearing, distance_m
from planner.geo.magnetic import magnetic
from planner.saying import Kind, say
from planner.world.sites import Aerodrome
from planner.world.world import World

_MOST = 3
_MOST_FREQUENCIES = 3
# What is said on these is heard by whoever is near; the others are for weather and ground.
_FIRST_USES = ("CTAF", "TWR", "UNIC", "UNICOM", "A/D", "APP")


def aerodrome_rows(assessment: Assessment) -> list[list[str]]:
    """Return name, distance from launch, direction and frequencies of the nearest aerodromes."""
    here = assessment.plan.anchor()
    if here is None:
        return []
    facing = facing_of(assessment)
    east = facing.declination_deg if facing else None
    apart = sorted(
        ((distance_m(here, field.place), field) for field in assessment.world.aerodromes),
        key=lambda pair: (pair[0], pair[1].ident),
    )
    rows = []
    for away_m, field in apart[:_MOST]:
        toward = bearing(here, field.place)
        compass = f"{degrees(magnetic(toward, east).deg)} mag, " if east is not None else ""
        name = plain(field.name, 40) or plain(field.ident, 10)
        rows.append(
            [
                f"{name} ({plain(field.ident, 8)})" if field.name else name,
                # Rounded down: nearer is the careful side.
                say(Kind.WAY_DOWN, away_m),
                f"{compass}{degrees(toward.deg)} true",
                frequency_words(assessment.world, field),
            ]
        )
    return rows


def frequency_words(world: World, field: Aerodrome) -> str:
    """Return an aerodrome's frequencies: 'CTAF 122.8, ATIS 118.05'."""
    found = [radio for radio in world.frequencies if radio.aerodrome == field.ident]
    found.sort(key=lambda radio: (_use_rank(radio.use), radio.mhz))
    words = [f"{plain(radio.use, 8)} {radio.mhz:.3f}".rstrip("0") for radio in found[:_MOST_FREQUENCIES]]
    return ", ".join(words) or "no frequency in the charts"


def _use_rank(use: str) -> int:
    return _FIRST_USES.index(use) if use in _FIRST_USES else len(_FIRST_USES)
