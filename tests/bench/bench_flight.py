"""Time of the question whether it comes home: a path of 10 km over the demo island.

Aims, on the worker: all of it but the loss of the link 50 ms, the loss of the
link from every sample 150 ms. Wall time and the process's own time are both
shown, since a busy machine stretches the first.

Run from the top of the checkout: ``python -m tests.bench.bench_flight [--profile]``.
"""

import cProfile
import pstats
import sys
import time
from collections.abc import Callable
from pathlib import Path

import attrs
import numpy as np
import shapely

from planner.assess import assess_live
from planner.flight.battery import Pack
from planner.flight.beneath import beneath_of
from planner.flight.energy import energy_along
from planner.flight.every_wind import InWinds
from planner.flight.flown_places import flown_along
from planner.flight.lee import in_lee
from planner.flight.links import LinkSpec, links_along
from planner.flight.motion import fly
from planner.flight.near_traffic import AerodromePlaces, aerodromes_near
from planner.flight.obstacles import obstacles_of
from planner.flight.over_ground import least_home_amsl_m, least_out_amsl_m
from planner.flight.power import power_model
from planner.flight.radio_path import Antenna
from planner.flight.surroundings import Surroundings
from planner.flight.turn_back import WayHome, cost_home, turn_back
from planner.flight.way_home import Home, loss_ways
from planner.flight.way_out import way_out_wh
from planner.flight.wind import Wind
from planner.geo.frame import LocalFrame
from planner.geo.geodesy import TrueBearing, travel
from planner.geo.heights import AboveGround, AboveLaunch
from planner.geo.place import Place
from planner.plan.aircraft import Aircraft, AircraftForm, Battery, LinkLoss, LinkLossAction, Radio, RadioUse
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.ground import GroundSpot
from planner.plan.model import Plan
from planner.plan.performance import Performance
from planner.plan.weather import TypedWind
from planner.rules.transit_beneath import people_on_the_way
from planner.track.build import build_track
from planner.track.mapped import map_world
from planner.world.readers.terrain import read_terrain
from planner.world.sites import Aerodrome, GroundFeature, GroundKind
from planner.world.structures import Structure
from planner.world.world import World

ISLAND = Path(__file__).resolve().parents[2] / "resources" / "island" / "terrain" / "island.tif"
HERE = Place(-150.2300, 37.7930)
REPEATS = 21

ABLE = Performance(hover_w=180.0, cruise_w=220.0, cruise_mps=16.0, highest_mps=30.0)
PACK = Pack.of(Battery("LiPo", 6, 1300.0), 8.0)
RADIOS = (
    Radio(RadioUse.CONTROL, 915.0, 100.0, ground_gain_dbi=2.0, air_gain_dbi=0.0, sensitivity_dbm=-110.0),
    Radio(
        RadioUse.VIDEO,
        5800.0,
        25.0,
        analog=True,
        ground_gain_dbi=5.0,
        air_gain_dbi=2.0,
        sensitivity_dbm=-90.0,
    ),
)
CRAFT = Aircraft("INVENTED", 0.7, 0.4, performance=Performance(drag_area_m2=0.03))
LOSS = LinkLoss(LinkLossAction.RETURN_FIXED, 2.0, AboveLaunch(100.0))


class Scene:
    """A path of 10 km, out 5 km and back, and what is about it."""

    def __init__(self, height_m: float, shape: LegShape) -> None:
        terrain, _ = read_terrain(ISLAND)
        stops = [
            HERE,
            *(
                travel(HERE, TrueBearing(deg), far)
                for deg, far in ((40, 2500), (45, 5000), (48, 2500), (60, 30))
            ),
        ]
        self.path = tuple(PathPoint(place, AboveGround(height_m), Leg(shape, 15.0)) for place in stops)
        self.mapped = map_world(World(terrain=terrain), (), LocalFrame(HERE))
        track = build_track(Plan(path=self.path), self.mapped)
        assert track is not None
        self.track = track
        self.wind = Wind.typed(TypedWind(5.0, 250.0, 8.0))
        self.surfaces = (self.mapped.ground,)
        ground_m = float(track.ground_amsl_m[0])
        self.antenna = Antenna(float(track.x_m[0]), float(track.y_m[0]), ground_m + 1.5)
        self.home = Home(self.antenna.x_m, self.antenna.y_m, ground_m)
        random = np.random.default_rng(1)
        spots = [travel(HERE, TrueBearing(d), f) for d, f in random.uniform((0, 0), (90, 6000), (400, 2))]
        self.features = [_road(place, k) for k, place in enumerate(spots[:300])]
        self.obstacles = obstacles_of(
            [Structure(str(k), "tower", place, 30.0, 20.0, 15.0, 6.0) for k, place in enumerate(spots)],
            track.frame,
        )
        # Launched 400 m beside the path, with people on the way there.
        crowd = travel(HERE, TrueBearing(225.0), 200.0)
        plan = Plan(
            path=self.path,
            launch=GroundSpot(travel(HERE, TrueBearing(225.0), 424.0)),
            beneath=(BeneathItem(BeneathKind.PEOPLE, DrawnAs.SPOT, (crowd,)),),
        )
        case = assess_live(plan, World(terrain=terrain)).case
        assert case is not None
        self.case = case
        self.aerodromes = [Aerodrome(str(k), "", place) for k, place in enumerate(spots[:40])]

    def everything(self) -> None:
        """Put all questions but the loss of the link."""
        track, wind = self.track, self.wind
        motion = fly(track, self.path, wind, ABLE)
        model = power_model(ABLE, 0.7, AircraftForm.ROTORCRAFT, PACK)
        assert model is not None
        assert PACK is not None
        energy = energy_along(motion, model, PACK)
        spot = self.home.x_m, self.home.y_m, self.home.ground_amsl_m
        least_m = least_home_amsl_m(track, spot, self.surfaces, 10.0)
        home = WayHome(*spot, 16.0, highest_mps=ABLE.highest_mps, least_amsl_m=least_m)
        turn_back(track, energy, wind, home, (model, PACK, 0.25))
        cost_home(track, attrs.evolve(wind, speed_mps=wind.gust_mps), home, model)
        launch = self.home.x_m - 300.0, self.home.y_m - 300.0, self.home.ground_amsl_m
        out_m = least_out_amsl_m(track, launch, self.surfaces, 10.0)
        way_out_wh(track, launch, wind, attrs.evolve(home, out_least_amsl_m=out_m), model)
        for _ in people_on_the_way(self.case):
            pass
        specs = [spec for radio in RADIOS if (spec := LinkSpec.of(radio))]
        links_along(track, self.antenna, self.surfaces, specs)
        beneath_of(Plan(aircraft=CRAFT), self.features, track, InWinds((motion,), (wind,)))
        aerodromes_near(flown_along(track), AerodromePlaces.of(self.aerodromes), 8_000.0)
        in_lee(track, [wind], self.mapped.ground)

    def lost(self) -> None:
        """Ask what the loss of the link does from every sample."""
        motion = fly(self.track, self.path, self.wind, ABLE)
        around = Surroundings(self.surfaces, self.obstacles, 10.0)
        loss_ways(self.track, motion, [self.wind], LOSS, self.home, around)


def _road(place: Place, number: int) -> GroundFeature:
    end = travel(place, TrueBearing(37.0 * number), 400.0)
    line = shapely.LineString([(place.lon_deg, place.lat_deg), (end.lon_deg, end.lat_deg)])
    return GroundFeature(GroundKind.ROAD, str(number), line)


def measured(action: Callable[[], None]) -> tuple[float, float]:
    """Return medians of wall and process time [ms]."""
    walls, owns = [], []
    for _ in range(REPEATS):
        wall, own = time.perf_counter(), time.process_time()
        action()
        walls.append((time.perf_counter() - wall) * 1e3)
        owns.append((time.process_time() - own) * 1e3)
    return float(np.median(walls)), float(np.median(owns))


def main() -> None:
    """Print the medians of each scene [ms]."""
    for shape in LegShape:
        for height_m in (20.0, 60.0):
            scene = Scene(height_m, shape)
            scene.everything()
            track = scene.track
            print(f"{shape.value}, {height_m:.0f} m up: {track.length_m:,.0f} m, {len(track)} samples")
            for name, action, aim_ms in (("all", scene.everything, 50.0), ("link loss", scene.lost, 150.0)):
                wall, own = measured(action)
                verdict = "within" if own <= aim_ms else "OVER"
                print(f"  {name}: median {wall:.1f} ms wall, {own:.1f} ms own, {verdict} {aim_ms:.0f} ms")


def profiled() -> None:
    """Print where the time goes."""
    scene = Scene(20.0, LegShape.FOLLOW_GROUND)
    scene.everything()
    profile = cProfile.Profile(time.process_time)
    for _ in range(REPEATS):
        profile.runcall(scene.everything)
        profile.runcall(scene.lost)
    pstats.Stats(profile).sort_stats("cumtime").print_stats(45)


if __name__ == "__main__":
    profiled() if "--profile" in sys.argv else main()
