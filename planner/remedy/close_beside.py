"""Whether a path passes so close beside what it may not enter that nobody can say whether it stays out."""

import numpy as np
import shapely

from planner.geo.near_lines import lines_near
from planner.permission.entries import level
from planner.remedy.in_the_way import shut_to
from planner.remedy.trial import Trial
from planner.rules.beside import FIX_M


def passes_close_beside(trial: Trial, within_m: float = FIX_M) -> bool:
    """Whether the path comes so near to airspace that no record opens, by default what a fix may be off.

    At heights of both; what it enters is no matter here.
    """
    track, scene = trial.track, trial.scene
    ends = np.column_stack([track.x_m, track.y_m])
    lines = np.asarray(shapely.linestrings(np.stack([ends[:-1], ends[1:]], axis=1)))
    for column in shut_to(trial, within_m):
        there = level(scene.mapped.airspace[column], track)
        pieces = lines[there[:-1] & there[1:]]
        if len(pieces) and lines_near(scene.mapped.outlines.polygon(column), pieces, within_m).any():
            return True
    return False
