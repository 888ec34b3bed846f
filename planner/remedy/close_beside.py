"""Whether a path passes so close beside what it may not enter that nobody can say whether it stays out."""

import numpy as np
import shapely

from planner.geo.near_lines import lines_near
from planner.permission.entries import level
from planner.remedy.in_the_way import shut_to
from planner.remedy.trial import Trial
from planner.rules.beside import FIX_M
from planner.world.airspace import NEEDS_AUTHORIZATION


def passes_close_beside(trial: Trial, within_m: float = FIX_M) -> bool:
    """Whether the path comes so near to airspace that no record opens, by default what a fix may be off.

    At heights of both. What it enters and can be asked for is no matter here: what is asked for holds up to
    its edge.
    """
    track, scene = trial.track, trial.scene
    ends = np.column_stack([track.x_m, track.y_m])
    lines = np.asarray(shapely.linestrings(np.stack([ends[:-1], ends[1:]], axis=1)))
    asked = {column for use in scene.uses if not use.need.not_drawn for column in use.volumes}
    for column in shut_to(trial, within_m):
        if column in asked and scene.mapped.airspace[column].kind in NEEDS_AUTHORIZATION:
            continue
        there = level(scene.mapped.airspace[column], track)
        pieces = lines[there[:-1] & there[1:]]
        if len(pieces) and lines_near(scene.mapped.outlines.polygon(column), pieces, within_m).any():
            return True
    return False
