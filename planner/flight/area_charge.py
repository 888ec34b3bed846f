"""The way home from a flying area on its charge, at the place from which it takes most."""

import math
from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.area_places import repeated
from planner.flight.battery import Pack
from planner.flight.charge import HOME_CLEARS_BY_M, craft_of, launch_of, way_home_of
from planner.flight.over_ground import least_out_amsl_m
from planner.flight.power import PowerModel
from planner.flight.turn_back import WayHome, cost_home, home_w, progress_home
from planner.flight.way_home import Home
from planner.flight.way_out import way_out_wh
from planner.flight.weather_now import WeatherNow
from planner.flight.wind import CALM, Wind
from planner.plan.model import Plan
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class AreaCharge:
    """The way home from the place of an area, at its top or its ground, from which it takes most.

    Parameters
    ----------
    reserve : a share of what the pack gives.
    home_wh, home_s : energy and time of that way in the mean wind, landing included; inf: a wind forbids it.
    gusty_wh, lasting_wh : energy if it blew all the way as in the gusts; in the most that blows for a minute.
    out_wh : what it takes to come there straight from the launch point.
    x_m, y_m, away_m : that place in the plane, and how far it is from home.
    over_unknown : whether the ground of some way home is not known.
    faster_home_mps, standard_air_m : as of a path's charge.
    home_cell_v : voltage of a cell under load when it comes home with just the reserve; NaN: it gives less.
    by_itself_wh, by_itself_s : the same of the return on lost link that takes most; 0 where nothing returns.
    """

    model: PowerModel
    pack: Pack
    reserve: float
    home_wh: float
    home_s: float
    gusty_wh: float
    out_wh: float
    x_m: float
    y_m: float
    away_m: float
    over_unknown: bool
    faster_home_mps: float | None = None
    standard_air_m: float | None = None
    by_itself_wh: float = 0.0
    by_itself_s: float = 0.0
    lasting_wh: float = 0.0
    home_cell_v: float | None = None

    @property
    def left_at_once(self) -> float:
        """What is left at home if it flies there and back at once, a share; -inf where it can't come back."""
        return _share_left(self.out_wh + self.home_wh, self.pack)

    @property
    def left_in_gusts(self) -> float:
        """The same with gusts all the way home."""
        return _share_left(self.out_wh + self.gusty_wh, self.pack)

    @property
    def left_in_lasting(self) -> float:
        """The same in the most that blows for a minute."""
        return _share_left(self.out_wh + self.lasting_wh, self.pack)

    @property
    def left_by_itself(self) -> float:
        """What a return on lost link leaves, a share, where it begins when it has just flown there."""
        return _share_left(self.out_wh + self.by_itself_wh, self.pack)

    @property
    def turn_home_mah(self) -> float:
        """Charge that may be used before the way home begins at the latest [mAh], flown or by itself.

        No less than it takes to come there, where the pilot's own way home from there keeps the reserve: a
        return by itself may keep less then (`left_by_itself`).
        """
        kept_wh = self.pack.usable_wh * (1.0 - self.reserve)
        spare_wh = kept_wh - max(self.home_wh, self.by_itself_wh)
        at_once_wh = min(self.out_wh, kept_wh - self.home_wh)
        return float(self.pack.mah_of(np.array([max(spare_wh, at_once_wh, 0.0)]))[0])

    @property
    def by_itself_takes_most(self) -> bool:
        """Whether the return on lost link takes more than the way home that is flown."""
        return self.by_itself_wh > self.home_wh


def _share_left(used_wh: float, pack: Pack) -> float:
    return 1.0 - used_wh / pack.usable_wh if math.isfinite(used_wh) else -math.inf


def area_charge_of(
    plan: Plan,
    places: Sequence[Track],
    home: Home | None,
    air: tuple[WeatherNow, Sequence[Wind]],
    ground: PlaneTerrain | None,
) -> AreaCharge | None:
    """Return what the way home from an area takes, None where a figure is missing."""
    weather, winds = air
    found: AreaCharge | None = None
    for track in places:
        surfaces = (ground,) if ground else ()
        craft, way = craft_of(plan, track, weather), way_home_of(plan, track, home, surfaces)
        if not len(track) or craft is None or way is None or ground is None:
            continue
        one = _worst(plan, track, way, craft, (winds or (CALM,), ground))
        if found is None or not one.home_wh <= found.home_wh:
            unknown = one.over_unknown or (found is not None and found.over_unknown)
            found = attrs.evolve(one, over_unknown=unknown)
        elif one.over_unknown:
            found = attrs.evolve(found, over_unknown=True)
    return found


def _worst(
    plan: Plan,
    track: Track,
    way: WayHome,
    craft: tuple[PowerModel, Pack, float | None],
    around: tuple[Sequence[Wind], PlaneTerrain],
) -> AreaCharge:
    model, pack, standard_m = craft
    winds, ground = around
    costs = [cost_home(track, wind, way, model) for wind in winds]
    home_wh = np.max([wh for _, wh in costs], axis=0)
    home_s = np.max([s for s, _ in costs], axis=0)
    gusty = [attrs.evolve(wind, speed_mps=max(wind.gust_mps, wind.speed_mps)) for wind in winds]
    gusty_wh = np.max([cost_home(track, wind, way, model)[1] for wind in gusty], axis=0)
    lasting = [attrs.evolve(wind, speed_mps=wind.lasting_mps) for wind in winds]
    lasting_wh = np.max([cost_home(track, wind, way, model)[1] for wind in lasting], axis=0)
    k = int(np.argmax(np.where(np.isnan(home_wh), -np.inf, home_wh)))
    fastest = [float(np.fmax.reduce(progress_home(track, wind, way).air_speed_mps)) for wind in winds]
    faster_mps = max(fastest)
    least_m = track.planned_amsl_m if way.least_amsl_m is None else way.least_amsl_m
    x_m, y_m = float(track.x_m[k]), float(track.y_m[k])
    performance = plan.aircraft.performance if plan.aircraft else None
    assert performance is not None
    watts = max(float(home_w(track, wind, way, model)[k]) for wind in winds)
    at_reserve = np.array([performance.landing_reserve])
    return AreaCharge(
        model=model,
        pack=pack,
        reserve=performance.landing_reserve,
        home_wh=float(home_wh[k]),
        home_s=float(home_s[k]),
        gusty_wh=float(np.max(gusty_wh)),
        lasting_wh=float(np.max(lasting_wh)),
        out_wh=_out_wh(plan, track, k, (way, model), (winds, ground)),
        x_m=x_m,
        y_m=y_m,
        away_m=math.hypot(x_m - way.home_x_m, y_m - way.home_y_m),
        over_unknown=bool(np.isnan(least_m).any()),
        faster_home_mps=faster_mps if faster_mps > way.air_speed_mps else None,
        standard_air_m=standard_m,
        home_cell_v=float(pack.loaded_cell_v(at_reserve, np.array([watts]))[0]),
    )


def _out_wh(
    plan: Plan,
    track: Track,
    k: int,
    flown: tuple[WayHome, PowerModel],
    around: tuple[Sequence[Wind], PlaneTerrain],
) -> float:
    """Return the most that the straight way from the launch point to a place takes in a wind [Wh]."""
    winds, ground = around
    way, model = flown
    if (launch := launch_of(plan, track)) is None:
        return 0.0
    there = repeated(track, np.array([k]), track.x_m[k : k + 1], track.y_m[k : k + 1], ground)
    out = attrs.evolve(way, out_least_amsl_m=least_out_amsl_m(there, launch, (ground,), HOME_CLEARS_BY_M))
    return max(way_out_wh(there, launch, wind, out, model) for wind in winds)
