"""What stands at the heights of a path and is to be gone round: structures, and the wires of guyed masts."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.remedy.trial import Trial
from planner.track.guy_wires import WireCone, wire_cones

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
