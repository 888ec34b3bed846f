"""What lies at the heights of a path and is to be gone round: airspace, and the wires of guyed masts."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.permission.entries import floor_amsl_m, is_active, top_amsl_m
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.records import grants_for
from planner.remedy.trial import Trial
from planner.track.guy_wires import WireCone, wire_cones
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class WireCircles:
    """Circles of wires: those the path runs among, and those it must not be led into instead."""

    among: tuple[WireCone, ...]
    others: tuple[WireCone, ...]

    def shapes(self, clearance_m: float, ends: Floats) -> Iterator[BaseGeometry]:
        """Yield the circles to keep clear of [m]; others than those run among only where both ends are."""
        for cone in self.among:
            yield _circle(cone)
        for cone in self.others:
            away_m = np.hypot(ends[:, 0] - cone.x_m, ends[:, 1] - cone.y_m)
            if (away_m > cone.reach_m + clearance_m).all():
                yield _circle(cone)


def wire_circles(trial: Trial, within_m: float) -> WireCircles:
    """Return the circles of wires near a path that matter at its heights.

    A circle that the path passes over, clear of the wires, is none of them.
    """
    among, others = [], []
    lowest_m = float(np.min(trial.track.planned_amsl_m))
    for cone in wire_cones(trial.scene.plan, trial.scene.mapped, trial.track, within_m):
        if not cone.mast.guyed and _holds_an_end(cone, trial):
            continue  # nobody is kept from the foot of a mast that only may have wires
        if cone.holds(trial.track).any():
            among.append(cone)
        elif not cone.top_amsl_m < lowest_m and _is_outside(cone, trial):
            others.append(cone)
    return WireCircles(tuple(among), tuple(others))


def shut_to(trial: Trial, within_m: float) -> Iterator[int]:
    """Yield the columns of airspace near a path that no record opens and that reach its heights."""
    track, scene = trial.track, trial.scene
    west, east = track.x_m.min() - within_m, track.x_m.max() + within_m
    south, north = track.y_m.min() - within_m, track.y_m.max() + within_m
    near = {
        int(column) for column in scene.mapped.outlines.columns_near(np.array([west, south, east, north]))
    }
    used = {
        column: use.need.recorded for use in scene.uses if not use.need.not_drawn for column in use.volumes
    }
    for column, volume in scene.mapped.airspace.items():
        asks = inquired_of(volume, scene.plan.purpose)
        closing = asks or volume.kind in NEEDS_AUTHORIZATION or volume.kind in FORBIDDEN_WHILE_ACTIVE
        if column not in near or not closing or not is_active(volume, scene.plan.window):
            continue
        on_record = answers_on if asks else grants_for
        if used.get(column, bool(on_record(volume, scene.plan, scene.mapped))):
            continue
        with np.errstate(invalid="ignore"):
            over = track.planned_amsl_m > top_amsl_m(volume, track)
            under = track.planned_amsl_m < floor_amsl_m(volume, track)
        if not (over | under).all():
            yield column


def runs_among_wires(trial: Trial) -> str:
    """Return the guyed mast among whose wires a path runs, '' if there is none."""
    cones = wire_cones(trial.scene.plan, trial.scene.mapped, trial.track, 0.0)
    return next((cone.mast.label for cone in cones if cone.mast.guyed and cone.holds(trial.track).any()), "")


def _holds_an_end(cone: WireCone, trial: Trial) -> bool:
    ends_m = np.hypot(trial.track.x_m[[0, -1]] - cone.x_m, trial.track.y_m[[0, -1]] - cone.y_m)
    return bool((ends_m <= cone.reach_m).any())


def _is_outside(cone: WireCone, trial: Trial) -> bool:
    return cone.is_apart(trial.track) or bool((cone.closest_m(trial.track) > cone.reach_m).all())


def _circle(cone: WireCone) -> BaseGeometry:
    # The polygon goes round the circle, so that its sides do not cut it.
    return shapely.Point(cone.x_m, cone.y_m).buffer(cone.reach_m / np.cos(np.pi / 64), quad_segs=16)
