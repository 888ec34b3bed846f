"""The ceiling along the track and over the area."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.blocks import Block, blocks_of, closed_at_times
from planner.ceiling.known import airspace_known, where_known
from planner.ceiling.limits import Ceiling, ceiling_of
from planner.ceiling.open_limit import OpenLimit, open_limit
from planner.ceiling.profile import AreaCeiling, Binding, CeilingProfile
from planner.geo.place import Place
from planner.permission.need import Subject
from planner.permission.needs import AirspaceUse
from planner.permission.routes import requestable_agl_m
from planner.plan.model import Plan
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


@attrs.frozen(eq=False)
class Scene:
    """A plan in its mapped world, with the airspace it uses."""

    plan: Plan
    mapped: Mapped
    uses: tuple[AirspaceUse, ...]


def uncertainty_m(scene: Scene, samples: Track | AreaSamples) -> Floats:
    """Return the one-sided vertical uncertainty of planned height against ceiling [m].

    The terrain's error as its record states it plus the readout's as the
    pilot states it; added, not squared, because nobody has shown them
    independent.
    """
    return np.full(len(samples.ground_amsl_m), vertical_doubt_m(scene.plan, scene.mapped))


def vertical_doubt_m(plan: Plan, mapped: Mapped) -> float:
    """Return the same of any height that the aircraft holds by itself [m]."""
    terrain_m = mapped.ground.terrain.vertical_uncertainty_m if mapped.ground else 0.0
    readout = plan.aircraft.readout if plan.aircraft else None
    return terrain_m + (readout.error_m if readout and readout.error_m is not None else 0.0)


def profile_along(track: Track, scene: Scene) -> CeilingProfile:
    """Return the ceiling along the track."""
    launch_m = track.launch_ground_amsl_m
    limit = open_limit(track, scene.plan, scene.mapped, launch_m=launch_m)
    now, asked = (
        blocks_of(scene.uses, track, scene.plan, scene.mapped, launch_m=launch_m, asking=asking)
        for asking in (False, True)
    )
    ceiling, best = (
        where_known(ceiling_of(track, limit, blocks), track, scene.mapped) for blocks in (now, asked)
    )
    binding, names = _bindings(ceiling, track.ground_amsl_m, scene)
    return CeilingProfile(
        ceiling_amsl_m=ceiling.amsl_m,
        requestable_amsl_m=np.where(np.isin(best.column, _unanswered(scene)), np.nan, best.amsl_m),
        ground_limit_amsl_m=limit.amsl_m,
        binding=binding,
        binding_name=_doubtful(track, now, binding, names, scene),
        in_closed=_in_block(track, [b for b in now if _closed(b, scene)]),
        in_unpermitted=_in_block(track, [b for b in now if _controlled(b, scene)]),
        uncertainty_m=uncertainty_m(scene, track),
        unasked_amsl_m=_unasked(track, scene, limit, now),
    )


def _unasked(track: Track, scene: Scene, limit: OpenLimit, blocks: Sequence[Block]) -> Floats | None:
    """Return the ceiling with everything shut that only the authority can open, None if nothing is."""
    if not any(block.asked_about for block in blocks):
        return None
    shut = [attrs.evolve(block, asked_about=False) for block in blocks]
    return where_known(ceiling_of(track, limit, shut), track, scene.mapped).amsl_m


def over_area(area: AreaSamples, scene: Scene) -> AreaCeiling:
    """Return the lowest limit over the flying area, where its top has least room."""
    launch_m = area.launch_ground_amsl_m
    limit = open_limit(area, scene.plan, scene.mapped, launch_m=launch_m)
    blocks = blocks_of(scene.uses, area, scene.plan, scene.mapped, launch_m=launch_m, asking=False)
    ceiling = where_known(ceiling_of(area, limit, blocks), area, scene.mapped)
    over = area.planned_amsl_m - ceiling.amsl_m
    worst = _least_room(area, ceiling, airspace_known(area, scene.mapped) & np.isnan(limit.amsl_m))
    (binding,), (name,) = _bindings(ceiling.only(worst), area.ground_amsl_m[worst : worst + 1], scene)
    over_limit = area.planned_amsl_m - limit.amsl_m
    highest = 0 if np.isnan(over_limit).all() else int(np.nanargmax(over_limit))
    limit_m = _known(ceiling.amsl_m[worst])
    return AreaCeiling(
        lowest_limit_amsl_m=limit_m,
        lowest_limit_agl_m=_known(ceiling.amsl_m[worst] - area.ground_amsl_m[worst]),
        planned_top_amsl_m=_known(area.planned_amsl_m[worst]),
        over_by_m=_known(over[worst]),
        binding=binding,
        binding_name=name,
        place=_place(area, worst, scene),
        uncertainty_m=float(uncertainty_m(scene, area)[worst]),
        unknown_share=float(np.isnan(area.lowest_ground_amsl_m).mean()),
        in_closed=bool(_in_block(area, [b for b in blocks if _closed(b, scene)]).any()),
        in_unpermitted=bool(_in_block(area, [b for b in blocks if _controlled(b, scene)]).any()),
        over_height_limit_m=_known(over_limit[highest]),
        height_limit_place=_place(area, highest, scene),
    )


def _least_room(area: AreaSamples, ceiling: Ceiling, settled: Mask) -> int:
    """Return the sample of least room; before all one whose airspace leaves it open."""
    unknown = np.isnan(ceiling.amsl_m) & ~settled
    if unknown.any():
        return int(np.argmax(unknown))
    over = area.planned_amsl_m - ceiling.amsl_m
    room = np.where(np.isnan(over), area.ground_amsl_m - ceiling.amsl_m, over)
    return 0 if np.isnan(room).all() else int(np.nanargmax(room))


def _place(area: AreaSamples, sample: int, scene: Scene) -> Place:
    return scene.mapped.frame.xy_to_place(float(area.x_m[sample]), float(area.y_m[sample]))


def _unanswered(scene: Scene) -> list[int]:
    """Return the columns of airspace of which it is not known what can be asked for."""
    return [
        column
        for use in scene.uses
        if use.need.subject is Subject.AIRSPACE
        and requestable_agl_m(scene.plan.purpose, use.cells.ceiling_agl_m, use.cells.automated) is None
        for column in use.volumes
    ]


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _closed(block: Block, scene: Scene) -> bool:
    return scene.mapped.airspace[block.column].kind in FORBIDDEN_WHILE_ACTIVE and not block.at_times


def _controlled(block: Block, scene: Scene) -> bool:
    return scene.mapped.airspace[block.column].kind in NEEDS_AUTHORIZATION


def _in_block(samples: Track | AreaSamples, blocks: Sequence[Block]) -> Mask:
    planned = samples.planned_amsl_m
    held = np.zeros(len(planned), dtype=bool)
    for block in blocks:
        held |= block.meets(samples.flown_from_amsl_m, planned)
        held |= np.isnan(planned) & np.isneginf(block.low_m)
        if samples.is_surface:
            held |= block.passed_over(samples.flown_from_amsl_m, planned)
    return held


def _doubtful(
    track: Track,
    blocks: Sequence[Block],
    binding: Sequence[Binding],
    names: tuple[str, ...],
    scene: Scene,
) -> tuple[str, ...]:
    """Return the names with those added of what may be closed where the ceiling is not known."""
    doubtful = [block for block in blocks if block.at_times]
    if not doubtful:
        return names
    named, unknown = list(names), np.array([one is Binding.UNKNOWN for one in binding])
    for block in doubtful:
        for sample in np.flatnonzero(unknown & _in_block(track, [block])).tolist():
            named[sample] = named[sample] or scene.mapped.airspace[block.column].name
    return tuple(named)


def _bindings(
    ceiling: Ceiling, ground_amsl_m: Floats, scene: Scene
) -> tuple[tuple[Binding, ...], tuple[str, ...]]:
    nothing = ceiling.amsl_m <= ground_amsl_m
    code = np.where(np.isnan(ceiling.amsl_m), -2, ceiling.column)
    packed = code * 4 + ceiling.permitted * 2 + nothing
    kinds, which = np.unique(packed, return_inverse=True)
    named = [binding_of(int(kind) >> 2, bool(kind & 2), bool(kind & 1), scene) for kind in kinds]
    bindings, names = (np.array([one[k] for one in named], dtype=object) for k in (0, 1))
    return tuple(bindings[which].tolist()), tuple(names[which].tolist())


def binding_of(column: int, permitted: bool, nothing: bool, scene: Scene) -> tuple[Binding, str]:
    """Return what sets a ceiling and its name; column -1 is the ground, -2 what is not known."""
    mapped = scene.mapped
    if column == -2:
        return Binding.UNKNOWN, ""
    if column == -1:
        return (Binding.PERMITTED_HEIGHT, "waiver") if permitted else (Binding.GROUND, "")
    if column in mapped.structures:
        return Binding.STRUCTURE, mapped.structures[column].label
    if column in mapped.sites:
        return Binding.SITE_HEIGHT, mapped.sites[column].name
    volume = mapped.airspace[column]
    if permitted:
        return Binding.PERMITTED_HEIGHT, volume.name
    doubtful = closed_at_times(column, scene.uses, scene.plan, mapped)
    if volume.kind in FORBIDDEN_WHILE_ACTIVE and not doubtful:
        return Binding.CLOSED, volume.name
    return (Binding.NO_PERMISSION if nothing else Binding.AIRSPACE_FLOOR), volume.name
