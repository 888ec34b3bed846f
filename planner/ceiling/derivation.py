"""How a ceiling came about at one place: the figures in the order they were reckoned."""

import math
from enum import StrEnum

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.blocks import Block, blocks_of
from planner.ceiling.evaluate import Scene
from planner.ceiling.known import airspace_known, where_known
from planner.ceiling.limits import Ceiling, ceiling_of
from planner.ceiling.open_limit import OpenLimit, open_limit
from planner.ceiling.places import Places, places_at
from planner.geo.place import Place
from planner.permission.inquiry import answers_on
from planner.permission.records import grants_for
from planner.plan.model import Purpose
from planner.track.samples import Samples
from planner.track.track import Track
from planner.units import GROUND_LIMIT_M, STRUCTURE_ALLOWANCE_M
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE
from planner.world.terrain import Terrain

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

_SAME_PLACE_M = 1e-3


class StepKind(StrEnum):
    """The closed list of steps of a derivation, in their order."""

    GROUND = "ground"
    LOWEST_GROUND = "lowest-ground"
    GROUND_LIMIT = "ground-limit"
    STRUCTURE_NOT_CONFIRMED = "structure-not-confirmed"
    STRUCTURE_OF_SEVERAL = "structure-of-several-not-confirmed"
    STRUCTURE_TOP = "structure-top"
    STRUCTURE_ERROR = "structure-error"
    STRUCTURE_LIMIT = "structure-limit"
    SITE_LIMIT = "site-limit"
    WAIVER = "waiver"
    NO_NUMBER = "no-number-in-the-statute"
    AIRSPACE = "airspace"
    CELL = "facility-map-cell"
    RECORD = "record"
    OPEN_QUESTION = "open-question"
    CLOSED_AT_TIMES = "closed-at-times"
    AIRSPACE_NOT_KNOWN = "airspace-not-known"
    CEILING = "ceiling"
    TERRAIN_UNCERTAINTY = "terrain-uncertainty"
    READOUT_ERROR = "readout-error"
    ABOVE_LAUNCH = "above-launch"


@attrs.frozen
class Step:
    """One step.

    Parameters
    ----------
    name : what the step speaks of: a structure, an airspace, a record; '' if nothing has a name.
    change_m : what is added or taken off, or how far something reaches [m]; None if nothing.
    result_m : the height reached [m AMSL]; of the last step the figure above
        launch [m]. None where it is not known or there is none.
    """

    kind: StepKind
    name: str = ""
    change_m: float | None = None
    result_m: float | None = None


@attrs.frozen
class Derivation:
    """A ceiling's steps; `ceiling_amsl_m` is None where it is not known."""

    place: Place
    steps: tuple[Step, ...]
    ceiling_amsl_m: float | None
    ground_amsl_m: float | None

    @property
    def nothing_allowed(self) -> bool:
        """Whether no height above the ground is allowed here."""
        if self.ceiling_amsl_m is None or self.ground_amsl_m is None:
            return False
        return self.ceiling_amsl_m <= self.ground_amsl_m


def derive_along(scene: Scene, track: Track, distance_m: float) -> Derivation:
    """Return how the ceiling came about over the sample nearest to a distance along the path.

    Of the samples before and after a jump the one with the lower ceiling is told, or the one without.
    """
    away_m = np.abs(track.distance_m - distance_m)
    near = np.flatnonzero(away_m <= away_m.min() + _SAME_PLACE_M)
    samples = near.tolist() or [int(np.argmin(away_m))]
    found = [derive_sample(scene, track, sample) for sample in samples]
    return min(found, key=lambda one: -math.inf if one.ceiling_amsl_m is None else one.ceiling_amsl_m)


def derive_sample(scene: Scene, track: Track, sample: int) -> Derivation:
    """Return how the ceiling came about over one sample of a track."""
    place = Place(float(track.lon_deg[sample]), float(track.lat_deg[sample]))
    return _derive(scene, _One(track, sample), track.launch_ground_amsl_m, place)


def derive_at(scene: Scene, place: Place) -> Derivation:
    """Return how the ceiling over any place comes about, flown from the ground up."""
    x_m, y_m = scene.mapped.frame.place_to_xy(place)
    there = places_at(scene, np.array([x_m]), np.array([y_m]))
    return _derive(scene, there, there.launch_ground_amsl_m, place)


@attrs.frozen(eq=False)
class _One:
    """One sample of a track, as samples."""

    track: Track
    sample: int

    @property
    def ground_amsl_m(self) -> Floats:
        return self.track.ground_amsl_m[self.sample : self.sample + 1]

    @property
    def lowest_ground_amsl_m(self) -> Floats:
        return self.track.lowest_ground_amsl_m[self.sample : self.sample + 1]

    @property
    def planned_amsl_m(self) -> Floats:
        return self.track.planned_amsl_m[self.sample : self.sample + 1]

    @property
    def is_surface(self) -> bool:
        """Whether the samples stand for places between them: each of these stands for itself."""
        return False

    @property
    def flown_from_amsl_m(self) -> Floats:
        return self.track.flown_from_amsl_m[self.sample : self.sample + 1]

    def inside_outline(self, column: int) -> Mask:
        return self.track.inside_outline(column)[self.sample : self.sample + 1]


def _derive(scene: Scene, here: _One | Places, launch_m: float, place: Place) -> Derivation:
    limit = open_limit(here, scene.plan, scene.mapped, launch_m=launch_m)
    blocks = blocks_of(scene.uses, here, scene.plan, scene.mapped, launch_m=launch_m, asking=False)
    reckoned = ceiling_of(here, limit, blocks)
    ceiling = where_known(reckoned, here, scene.mapped)
    steps = [
        *_ground_steps(scene, here),
        *_height_steps(scene, here, limit),
        *_airspace_steps(scene, here, blocks, reckoned, launch_m),
        *_unknown_steps(scene, here),
        Step(StepKind.CEILING, result_m=_known(ceiling.amsl_m[0])),
        *_uncertainty_steps(scene),
        *_launch_steps(scene, float(ceiling.amsl_m[0]), float(here.ground_amsl_m[0]), launch_m),
    ]
    return Derivation(place, tuple(steps), _known(ceiling.amsl_m[0]), _known(here.ground_amsl_m[0]))


def _unknown_steps(scene: Scene, here: Samples) -> list[Step]:
    return [] if airspace_known(here, scene.mapped).all() else [Step(StepKind.AIRSPACE_NOT_KNOWN)]


def _ground_steps(scene: Scene, here: Samples) -> list[Step]:
    ground_m, lowest_m = float(here.ground_amsl_m[0]), float(here.lowest_ground_amsl_m[0])
    terrain = scene.mapped.ground.terrain if scene.mapped.ground else None
    return [
        Step(StepKind.GROUND, _kind_words(terrain), result_m=_known(ground_m)),
        Step(
            StepKind.LOWEST_GROUND,
            change_m=terrain.horizontal_uncertainty_m if terrain else None,
            result_m=_known(lowest_m),
        ),
        Step(StepKind.GROUND_LIMIT, change_m=GROUND_LIMIT_M, result_m=_known(lowest_m + GROUND_LIMIT_M)),
    ]


def _kind_words(terrain: Terrain | None) -> str:
    """Return which ground is used and what its heights count from."""
    if terrain is None:
        return ""
    return f"{terrain.surface.value.replace('-', ' ')}, {terrain.vertical_datum or 'datum not named'}"


def _height_steps(scene: Scene, here: Samples, limit: OpenLimit) -> list[Step]:
    """Return what raises the limit above 400 ft over the ground, or would."""
    mapped, column, limit_m = scene.mapped, int(limit.column[0]), _known(limit.amsl_m[0])
    if column in mapped.structures:
        return _structure_steps(scene, column, limit_m)
    if column in mapped.sites:
        return [Step(StepKind.SITE_LIMIT, mapped.sites[column].name, result_m=limit_m)]
    if column in mapped.airspace:
        return [Step(StepKind.NO_NUMBER, mapped.airspace[column].name)]
    if limit.permitted[0]:
        return [Step(StepKind.WAIVER, result_m=limit_m)]
    return _unconfirmed(scene, here)


def _structure_steps(scene: Scene, column: int, limit_m: float | None) -> list[Step]:
    structure = scene.mapped.structures[column]
    return [
        Step(StepKind.STRUCTURE_TOP, structure.label, structure.horizontal_error_m, structure.top_amsl_m),
        Step(
            StepKind.STRUCTURE_ERROR,
            structure.label,
            -(structure.vertical_error_m or 0.0),
            None if limit_m is None else limit_m - STRUCTURE_ALLOWANCE_M,
        ),
        Step(StepKind.STRUCTURE_LIMIT, structure.label, STRUCTURE_ALLOWANCE_M, limit_m),
    ]


def _unconfirmed(scene: Scene, here: Samples) -> list[Step]:
    if scene.plan.purpose is not Purpose.PART_107:
        return []
    return [
        Step(
            StepKind.STRUCTURE_NOT_CONFIRMED if structure.count == 1 else StepKind.STRUCTURE_OF_SEVERAL,
            structure.label,
            structure.horizontal_error_m,
        )
        for column, structure in scene.mapped.structures.items()
        if here.inside_outline(column)[0] and not structure.stands_by(scene.plan.structures_standing)
    ]


def _airspace_steps(
    scene: Scene, here: Samples, blocks: list[Block], ceiling: Ceiling, launch_m: float
) -> list[Step]:
    """Return what each airspace over the place sets: floor, cell, record."""
    steps: list[Step] = []
    sets = int(ceiling.column[0])
    for block in blocks:
        if not here.inside_outline(block.column)[0]:
            continue
        volume = scene.mapped.airspace[block.column]
        floor_m = float(volume.floor.floor_amsl_m(here.lowest_ground_amsl_m)[0])
        # Airspace that begins above everything else that counts adds nothing but clutter.
        if sets != block.column and floor_m > float(ceiling.amsl_m[0]):
            continue
        steps.append(Step(StepKind.AIRSPACE, volume.name, result_m=_known(floor_m)))
        if volume.kind not in FORBIDDEN_WHILE_ACTIVE and not np.isfinite(floor_m):
            steps += _cell_step(scene, block.column, here)
        if block.permitted[0]:
            steps.append(_record_step(scene, here, block, launch_m))
        elif block.asked_about:
            steps.append(Step(StepKind.OPEN_QUESTION, volume.name))
        elif block.at_times:
            steps.append(Step(StepKind.CLOSED_AT_TIMES, volume.name))
    return steps


def _cell_step(scene: Scene, column: int, here: Samples) -> list[Step]:
    """Return the lowest cell value that the flight touches in that airspace; none if it does not enter it."""
    for use in scene.uses:
        if column in use.volumes:
            value_m = use.cells.ceiling_agl_m
            result_m = None if value_m is None else _known(here.lowest_ground_amsl_m[0] + value_m)
            return [Step(StepKind.CELL, _cells(len(use.cells.cells)), value_m, result_m)]
    return []


def _cells(count: int) -> str:
    return "1 cell" if count == 1 else f"{count} cells"


def _record_step(scene: Scene, here: Samples, block: Block, launch_m: float) -> Step:
    low_m = float(block.low_m[0])
    volume = scene.mapped.airspace[block.column]
    granting = answers_on if block.asked_about else grants_for
    for grant in granting(volume, scene.plan, scene.mapped):
        same = grant.height_amsl_m(here, launch_m)[0] == low_m or not np.isfinite(low_m)
        if grant.covers(here)[0] and same:
            return Step(StepKind.RECORD, grant.record.reference, result_m=_known(low_m))
    return Step(StepKind.RECORD, result_m=_known(low_m))


def _uncertainty_steps(scene: Scene) -> list[Step]:
    ground = scene.mapped.ground
    readout = scene.plan.aircraft.readout if scene.plan.aircraft else None
    return [
        Step(
            StepKind.TERRAIN_UNCERTAINTY, change_m=ground.terrain.vertical_uncertainty_m if ground else None
        ),
        Step(StepKind.READOUT_ERROR, change_m=readout.error_m if readout else None),
    ]


def _launch_steps(scene: Scene, ceiling_m: float, ground_m: float, launch_m: float) -> list[Step]:
    """Return the figure on the readout: the ceiling above launch, less the readout's error.

    There is none where nothing is allowed, and none as long as the error is not stated.
    """
    readout = scene.plan.aircraft.readout if scene.plan.aircraft else None
    error_m = readout.error_m if readout else None
    allowed = error_m is not None and ceiling_m > ground_m
    figure_m = _known(ceiling_m - launch_m - (error_m or 0.0)) if allowed else None
    return [Step(StepKind.ABOVE_LAUNCH, change_m=_known(launch_m), result_m=figure_m)]


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
