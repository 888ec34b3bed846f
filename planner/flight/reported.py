"""What the reports say by themselves: the worst of each that counts for the window, typed figures apart."""

from collections.abc import Sequence

import attrs

from planner.flight.reports import Said
from planner.flight.wind import Wind
from planner.world.weather.report import CEILING_COVERS


@attrs.frozen
class Visibility:
    """Visibility [m], whether it is only an upper bound, and where it is from."""

    m: float
    less_than: bool
    source: str


@attrs.frozen
class Cloud:
    """A base of cloud [m AMSL], whether it covers more than half the sky, and where it is from."""

    base_amsl_m: float
    is_ceiling: bool
    source: str


@attrs.frozen
class Blowing:
    """A reported wind, where it is from, and whether the report gives no direction."""

    wind: Wind
    source: str
    from_any_side: bool


@attrs.frozen
class Reported:
    """The worst of what the reports say; None and empty: nothing.

    `clouds` need the height of the station. `ceiling_above_station_m` is the
    lowest base [m] that covers more than half the sky, whatever is known of
    the station, and `ceiling_source` where it is from. `sky_unmeasured` says
    that a report can't tell what the sky is like.
    """

    blowing: Blowing | None = None
    visibility: Visibility | None = None
    clouds: tuple[Cloud, ...] = ()
    ceiling_above_station_m: float | None = None
    ceiling_source: str = ""
    has_layers: bool = False
    sky_unmeasured: bool = False
    sky_told: bool = False


def reported_of(said: Sequence[Said], station_amsl_m: float | None) -> Reported:
    """Return the worst of what counts; `station_amsl_m` is None where the station's height is not known."""
    layers = [
        (layer.base_m, layer.cover in CEILING_COVERS, one.source)
        for one in said
        for layer in one.conditions.clouds
        if layer.base_m is not None
    ]
    ceilings = [(base_m, source) for base_m, is_ceiling, source in layers if is_ceiling]
    lowest_m, lowest_source = min(ceilings, default=(None, ""))
    clouds = [
        Cloud(station_amsl_m + base_m, is_ceiling, source)
        for base_m, is_ceiling, source in layers
        if station_amsl_m is not None
    ]
    return Reported(
        blowing=_blowing(said),
        visibility=_visibility(said),
        clouds=tuple(sorted(clouds, key=lambda one: one.base_amsl_m)),
        ceiling_above_station_m=lowest_m,
        ceiling_source=lowest_source,
        has_layers=bool(layers),
        sky_unmeasured=any(
            one.conditions.ceiling_unknown for one in said if one.source.startswith(("METAR", "SPECI"))
        ),
        sky_told=any(
            one.conditions.clouds or one.conditions.clear_sky or one.conditions.cavok for one in said
        ),
    )


def _blowing(said: Sequence[Said]) -> Blowing | None:
    told = [(one.conditions.wind, one.source) for one in said if one.conditions.wind is not None]
    if not told:
        return None
    strongest, source = max(told, key=lambda pair: (pair[0].speed_mps, pair[0].gust_mps or 0.0))
    gust_mps = max(wind.gust_mps or wind.speed_mps for wind, _ in told)
    any_side = strongest.from_true_deg is None and strongest.speed_mps > 0
    return Blowing(
        Wind(strongest.speed_mps, strongest.from_true_deg or 0.0, gust_mps), source, from_any_side=any_side
    )


def _visibility(said: Sequence[Said]) -> Visibility | None:
    told = [
        Visibility(one.conditions.visibility.m, one.conditions.visibility.less_than, one.source)
        for one in said
        if one.conditions.visibility is not None
    ]
    return min(told, key=lambda one: (one.m, not one.less_than), default=None)
