"""What the reports say by themselves: the worst of each that counts for the window, typed figures apart."""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

import attrs

from planner.flight.obscured import FogAbout, Obscured, fog_about, obscured_by
from planner.flight.reports import FORECASTS, Said
from planner.flight.wind import Wind
from planner.world.weather.report import CEILING_COVERS, Cover

# WMO code table 4678; which of it counts here is common practice.
_DANGEROUS: Final = re.compile(r"TS|SQ|FC|GR|FZ|PL|DS|SS|VA|PO|BL")
_FALLING: Final = re.compile(r"DZ|RA|SN|SG|GS|UP|IC")
_MIST: Final = re.compile(r"FG|BR")
# A cumulonimbus or towering cumulus (WMO code FM 15): gusts and showers, though no thunder yet.
_TOWERING: Final = ("CB", "TCU")
_TOWERING_UNSEEN: Final = re.compile(r"/{6}(?:CB|TCU)")


@attrs.frozen
class Visibility:
    """Visibility [m], whether it is only an upper or a lower bound, and where it is from."""

    m: float
    less_than: bool
    source: str
    at_least: bool = False


@attrs.frozen
class Cloud:
    """A base of cloud [m AMSL], whether it covers more than half the sky, and where it is from.

    `above_station_m` is the base as it was reported. `untold_share`: a station that can't tell how much of
    the sky it covers; it may be more than half.
    """

    base_amsl_m: float
    is_ceiling: bool
    source: str
    above_station_m: float = 0.0
    untold_share: bool = False


@attrs.frozen
class Blowing:
    """A reported wind, where it is from, and whether the report gives no direction.

    `between_deg` are the extremes between which its direction varies, clockwise.
    """

    wind: Wind
    source: str
    from_any_side: bool
    between_deg: tuple[float, float] | None = None


@attrs.frozen
class Danger:
    """A group of weather that no small aircraft flies in, as coded, and where it is from.

    `elsewhere` is whether it is only near the station, or only forecast.
    """

    group: str
    source: str
    elsewhere: bool


@attrs.frozen
class Wet:
    """A group of what falls and wets an aircraft, or, where it is `mist`, of fog that freezes to it."""

    group: str
    source: str
    mist: bool


@attrs.frozen
class ToldAir:
    """Temperature and pressure at sea level of one report, as far as it tells them."""

    temperature_c: float | None
    pressure_hpa: float | None
    source: str


@attrs.frozen
class Reported:
    """The worst of what the reports say; None and empty: nothing.

    `blowings` are the winds from different sides, the strongest first.
    `clouds` need the height of the station that reports them.
    `unplaced_ceiling_m` is the lowest base [m] above a station of unknown
    height that covers more than half the sky, `unplaced_source` where it is
    from, `unplaced_untold` whether that can't tell how much it covers;
    `unplaced_part_m` the lowest of those that cover less. `covered_source`
    is the report that tells of cloud over more than half the sky, or of a sky
    that can't be seen, and measured no base of it; '' if none does.
    `sky_unmeasured` says that a report can't tell what the sky is like.
    `dangers` are thunderstorm, squall, funnel cloud, hail, what freezes or blows, sand and ash, and
    towering cloud. `wets` is what falls of another kind, and mist. `airs` is each report's air. `obscured`
    is what groups say of visibility whose figure is wanting, or can't be; `fogs` fog elsewhere or in parts.
    """

    blowings: tuple[Blowing, ...] = ()
    visibility: Visibility | None = None
    clouds: tuple[Cloud, ...] = ()
    unplaced_ceiling_m: float | None = None
    unplaced_source: str = ""
    unplaced_untold: bool = False
    unplaced_layers: bool = False
    unplaced_part_m: float | None = None
    covered_source: str = ""
    sky_unmeasured: bool = False
    sky_told: bool = False
    dangers: tuple[Danger, ...] = ()
    wets: tuple[Wet, ...] = ()
    airs: tuple[ToldAir, ...] = ()
    obscured: tuple[Obscured, ...] = ()
    fogs: tuple[FogAbout, ...] = ()

    @property
    def blowing(self) -> Blowing | None:
        """The strongest wind, None where none is told."""
        return self.blowings[0] if self.blowings else None


def reported_of(said: Sequence[Said], elevations_m: Mapping[str, float]) -> Reported:
    """Return the worst of what counts; `elevations_m` of the stations, as far as they are known [m AMSL]."""
    layers = [
        (one, layer.base_m, layer.cover)
        for one in said
        for layer in one.conditions.clouds
        if layer.base_m is not None
    ]
    unplaced = [
        (base_m, one.source, cover) for one, base_m, cover in layers if one.station not in elevations_m
    ]
    lowest_m, lowest_untold, lowest_source = min(
        (
            (base_m, cover is Cover.UNTOLD, source)
            for base_m, source, cover in unplaced
            if cover in CEILING_COVERS
        ),
        default=(None, False, ""),
    )
    return Reported(
        blowings=_blowings(said),
        visibility=_visibility(said),
        clouds=_placed(layers, elevations_m),
        unplaced_ceiling_m=lowest_m,
        unplaced_source=lowest_source,
        unplaced_untold=lowest_untold,
        unplaced_layers=bool(unplaced),
        unplaced_part_m=min(
            (base_m for base_m, _, cover in unplaced if cover not in CEILING_COVERS), default=None
        ),
        covered_source=next((one.source for one in said if _covered_unmeasured(one)), ""),
        dangers=_dangers(said),
        wets=_wets(said),
        obscured=tuple(found for one in said for found in obscured_by(one)),
        fogs=tuple(found for one in said for found in fog_about(one)),
        airs=tuple(
            ToldAir(one.conditions.temperature_c, one.conditions.pressure_hpa, one.source) for one in said
        ),
        sky_unmeasured=any(_sky_unmeasured(one) for one in said),
        sky_told=any(
            one.conditions.clouds or one.conditions.clear_sky or one.conditions.cavok for one in said
        ),
    )


def _placed(
    layers: Sequence[tuple[Said, float, Cover]], elevations_m: Mapping[str, float]
) -> tuple[Cloud, ...]:
    clouds = [
        Cloud(
            elevations_m[one.station] + base_m,
            cover in CEILING_COVERS,
            one.source,
            base_m,
            untold_share=cover is Cover.UNTOLD,
        )
        for one, base_m, cover in layers
        if one.station in elevations_m
    ]
    return tuple(sorted(clouds, key=lambda one: one.base_amsl_m))


def _dangers(said: Sequence[Said]) -> tuple[Danger, ...]:
    return tuple(
        Danger(group, one.source, elsewhere)
        for one in said
        for group, elsewhere in (*_bad_weather(one), *((cloud, True) for cloud in _towering(one)))
    )


def _bad_weather(one: Said) -> Iterator[tuple[str, bool]]:
    for group in one.conditions.weather:
        if _DANGEROUS.search(group):
            yield group, group.startswith("VC") or one.source.startswith(FORECASTS)


def _towering(one: Said) -> Iterator[str]:
    yield from (layer.coded for layer in one.conditions.clouds if layer.kind in _TOWERING)
    yield from (group for group in one.conditions.passed_over if _TOWERING_UNSEEN.fullmatch(group))


def _wets(said: Sequence[Said]) -> tuple[Wet, ...]:
    return tuple(
        Wet(group, one.source, mist=_FALLING.search(group) is None)
        for one in said
        for group in one.conditions.weather
        if not group.startswith("VC")
        and not _DANGEROUS.search(group)
        and (_FALLING.search(group) or _MIST.search(group))
    )


def _covered_unmeasured(one: Said) -> bool:
    return any(layer.cover in CEILING_COVERS and layer.base_m is None for layer in one.conditions.clouds)


def _sky_unmeasured(one: Said) -> bool:
    """Whether nobody can say what the sky is like; a period of a forecast may be silent on it."""
    observed = one.source.startswith(("METAR", "SPECI"))
    return one.conditions.ceiling_unknown if observed else one.conditions.sky_in_doubt


def _blowings(said: Sequence[Said]) -> tuple[Blowing, ...]:
    """Return the winds told, the strongest first, each from its own side and with the worst gust of all."""
    told = [(one.conditions.wind, one.source) for one in said if one.conditions.wind is not None]
    told.sort(key=lambda pair: (-pair[0].speed_mps, -(pair[0].gust_mps or 0.0)))
    gust_mps = max((wind.gust_mps or wind.speed_mps for wind, _ in told), default=0.0)
    found: dict[tuple[float | None, tuple[float, float] | None], Blowing] = {}
    for wind, source in told:
        any_side = wind.from_true_deg is None and wind.speed_mps > 0
        blowing = Blowing(
            Wind(wind.speed_mps, wind.from_true_deg or 0.0, gust_mps),
            source,
            from_any_side=any_side,
            between_deg=wind.varies_deg,
        )
        # A lighter wind from the same side is never the worse one.
        found.setdefault((wind.from_true_deg, wind.varies_deg), blowing)
    return tuple(found.values())


def _visibility(said: Sequence[Said]) -> Visibility | None:
    told = [
        Visibility(visible.m, visible.less_than, _seen_where(one, visible.toward), visible.at_least)
        for one in said
        if (visible := one.conditions.visibility) is not None
    ]
    told += [
        Visibility(found.below_m, True, f"{found.source}, {found.group}")
        for one in said
        for found in obscured_by(one)
        if found.is_fog
    ]
    return min(told, key=lambda one: (one.m, not one.less_than), default=None)


def _seen_where(one: Said, toward: str) -> str:
    return f"{one.source}, toward {toward}" if toward else one.source
