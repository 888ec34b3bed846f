"""Blocks: ranges of height that an airspace closes, less what permissions open."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.permission.entries import floor_amsl_m, is_active, top_amsl_m
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.needs import AirspaceUse
from planner.permission.records import Grant, grants_for
from planner.permission.routes import TOLERANCE_M, requestable_agl_m
from planner.plan.model import Plan
from planner.track.mapped import Mapped
from planner.track.samples import Samples
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceKind, AirspaceVolume

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


@attrs.frozen(eq=False)
class Block:
    """Heights closed by one airspace volume: above `low_m`, up to `high_m`.

    `low_belongs` says where `low_m` itself is closed: at the floor of an
    airspace it is, at the top of a permitted range it is not. `low_m` is minus
    infinity from the ground up, plus infinity where nothing is closed. `asked_about`:
    whether it is closed at all only the authority can say. `at_times`: only the time
    of the flight, which is not set, can say.
    """

    column: int
    low_m: Floats
    high_m: Floats
    low_belongs: Mask
    permitted: Mask
    asked_about: bool = False
    at_times: bool = False

    @property
    def unsettled(self) -> bool:
        """Whether it can't be said yet that it is closed."""
        return self.asked_about or self.at_times

    def holds(self, height_m: Floats) -> Mask:
        """Return where a height is closed."""
        return self.meets(height_m, height_m)

    def meets(self, from_m: Floats, to_m: Floats) -> Mask:
        """Return where any height of a range is closed."""
        with np.errstate(invalid="ignore"):
            # Of what is permitted up to its very top nothing is left closed.
            above = (to_m > self.low_m + TOLERANCE_M) & (self.high_m > self.low_m + TOLERANCE_M)
            over = above | (self.low_belongs & (to_m >= self.low_m))
            return np.asarray(over & (from_m <= self.high_m))

    def passed_over(self, from_m: Floats, to_m: Floats) -> Mask:
        """Return where a surface lies above this block, if it lies below it elsewhere.

        The ground being continuous, it passes through the block in between.
        """
        with np.errstate(invalid="ignore"):
            above = np.isfinite(self.high_m) & (from_m > self.high_m)
            below = np.isfinite(self.low_m) & (to_m < self.low_m)
        return above & bool(below.any())


def blocks_of(
    uses: Sequence[AirspaceUse],
    samples: Samples,
    plan: Plan,
    mapped: Mapped,
    *,
    launch_m: float,
    asking: bool,
) -> list[Block]:
    """Return the blocks of every controlled, closed or unsettled volume that reaches the samples.

    With `asking`, as they would be if everything that can be asked for were granted.
    """
    cells = {column: use.cells for use in uses for column in use.volumes}
    blocks = []
    for column, volume in mapped.airspace.items():
        asked_about = inquired_of(volume, plan.purpose)
        if not (asked_about or _closes(volume)) or not is_active(volume, plan.window):
            continue
        inside = samples.inside_outline(column)
        if not inside.any():
            continue
        if asked_about:
            blocks.append(_unsettled(column, volume, inside, samples, plan, mapped, launch_m))
            continue
        granted = _granted(grants_for(volume, plan, mapped), samples, launch_m)
        if asking:
            found = cells.get(column)
            value = found.ceiling_agl_m if found else None
            automated = found.automated if found else False
            asked = _asked(volume, plan, samples, value, automated=automated)
            granted = asked if granted is None else np.fmax(granted, asked)
        block = _block(column, volume, inside, granted, samples)
        blocks.append(attrs.evolve(block, at_times=closed_at_times(column, uses, plan, mapped)))
    return blocks


def closed_at_times(column: int, uses: Sequence[AirspaceUse], plan: Plan, mapped: Mapped) -> bool:
    """Whether what forbids has hours or dates, and no time is set: as the need of all its parts has it."""
    volume = mapped.airspace[column]
    if plan.window is not None or volume.kind not in FORBIDDEN_WHILE_ACTIVE:
        return False
    found = next((use for use in uses if column in use.volumes), None)
    return volume.rests_at_times if found is None else found.need.rests_at_times


def _closes(volume: AirspaceVolume) -> bool:
    return volume.kind in NEEDS_AUTHORIZATION or volume.kind in FORBIDDEN_WHILE_ACTIVE


def _unsettled(
    column: int,
    volume: AirspaceVolume,
    inside: Mask,
    samples: Samples,
    plan: Plan,
    mapped: Mapped,
    launch_m: float,
) -> Block:
    """Return the block of airspace that stays shut until the authority has answered."""
    answered = _granted(answers_on(volume, plan, mapped), samples, launch_m)
    block = _block(column, volume, inside, answered, samples)
    # The floor itself still belongs to what lies below.
    at_floor = np.zeros_like(inside) if volume.kind is AirspaceKind.CLASS_E_OTHER else block.low_belongs
    return attrs.evolve(block, low_belongs=at_floor, asked_about=True)


def _granted(grants: Sequence[Grant], samples: Samples, launch_m: float) -> Floats | None:
    """Return up to which height some grants open it (n,) [m AMSL], None without any."""
    if not grants:
        return None
    height = np.full(len(samples.ground_amsl_m), -np.inf)
    for grant in grants:
        allowed = np.where(grant.covers(samples), grant.height_amsl_m(samples, launch_m), -np.inf)
        height = np.fmax(height, allowed)
    return height


def _asked(
    volume: AirspaceVolume, plan: Plan, samples: Samples, cell_agl_m: float | None, *, automated: bool
) -> Floats:
    if volume.kind in FORBIDDEN_WHILE_ACTIVE:
        return np.full(len(samples.ground_amsl_m), np.inf)
    height_m = requestable_agl_m(plan.purpose, cell_agl_m, automated)
    return samples.lowest_ground_amsl_m + (-np.inf if height_m is None else height_m)


def _block(
    column: int, volume: AirspaceVolume, inside: Mask, granted: Floats | None, samples: Samples
) -> Block:
    floor_m, top_m = floor_amsl_m(volume, samples), top_amsl_m(volume, samples)
    if granted is None:
        opened = np.zeros(len(inside), dtype=bool)
    else:
        with np.errstate(invalid="ignore"):
            opened = inside & (granted > np.fmax(floor_m, samples.lowest_ground_amsl_m))
        np.copyto(floor_m, granted, where=opened)
    outside = ~inside
    np.copyto(floor_m, np.inf, where=outside)
    np.copyto(top_m, -np.inf, where=outside)
    return Block(column, floor_m, top_m, low_belongs=inside & ~opened, permitted=opened)
