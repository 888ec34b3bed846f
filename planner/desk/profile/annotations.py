"""Which words belong to which stretch of the profile; no Qt."""

from collections.abc import Iterator

import numpy as np

from planner.ceiling.profile import Binding, CeilingProfile
from planner.desk.profile.binding_words import binding_runs, words_of_run
from planner.desk.profile.curves import unknown_stretches
from planner.desk.profile.labels import Label
from planner.desk.profile.towers import Tower
from planner.desk.saying import planned_words
from planner.plan.figures import FigureSpan
from planner.track.track import Track
from planner.units import FOOT_M

_FIGURE_WEIGHT, _UNKNOWN_WEIGHT, _BINDS_WEIGHT, _TOWER_WEIGHT = 3.5, 3, 2, 1


def unknown_parts(track: Track, profile: CeilingProfile) -> tuple[tuple[float, float], ...]:
    """Return the stretches [m] where the ground or the limit is not known."""
    either = np.where(np.isnan(track.ground_amsl_m), np.nan, profile.ceiling_amsl_m)
    return tuple(unknown_stretches(track.distance_m, either))


def labels_of(
    track: Track,
    profile: CeilingProfile,
    towers: tuple[Tower, ...],
    spans: tuple[FigureSpan, ...] = (),
) -> tuple[Label, ...]:
    """Return the words to write into the plot; the plain ground limit goes without."""
    return (
        *_unknown_labels(track, profile),
        *_binding_labels(track, profile),
        *_figure_labels(track, spans),
        *(_tower_label(tower) for tower in towers),
    )


def _unknown_labels(track: Track, profile: CeilingProfile) -> Iterator[Label]:
    for from_m, to_m in unknown_stretches(track.distance_m, track.ground_amsl_m):
        yield Label("ground not known", from_m, to_m, _UNKNOWN_WEIGHT)
    told = np.isnan(track.ground_amsl_m) | np.array([bool(name) for name in profile.binding_name])
    beneath = np.isfinite(profile.open_below_amsl_m(track.ground_amsl_m))
    limit = np.where(told | beneath, 0.0, profile.ceiling_amsl_m)
    for from_m, to_m in unknown_stretches(track.distance_m, limit):
        yield Label("limit not known", from_m, to_m, _UNKNOWN_WEIGHT)
    for from_m, to_m in unknown_stretches(track.distance_m, np.where(beneath & ~told, np.nan, 0.0)):
        yield Label("open below, not known above", from_m, to_m, _UNKNOWN_WEIGHT)


def _binding_labels(track: Track, profile: CeilingProfile) -> Iterator[Label]:
    for run in binding_runs(track.distance_m, profile):
        if run.binding is Binding.GROUND or (run.binding is Binding.UNKNOWN and not run.name):
            continue
        tone = "ask" if run.binding is Binding.NO_PERMISSION else ""
        words = words_of_run(run, track.lowest_ground_amsl_m, profile)
        yield Label(words, run.from_m, run.to_m, _BINDS_WEIGHT, tone)


def _figure_labels(track: Track, spans: tuple[FigureSpan, ...]) -> Iterator[Label]:
    """Yield the name of each figure, at its entry."""
    for span in spans:
        entry_m = float(track.distance_m[track.point_sample[span.first]])
        yield Label(span.figure.called, entry_m, entry_m, _FIGURE_WEIGHT)


def _tower_label(tower: Tower) -> Label:
    top = "height not known" if tower.top_ft is None else f"top {planned_words(tower.top_ft * FOOT_M)} AMSL"
    return Label(f"{tower.name}, {top}", tower.distance_m, tower.distance_m, _TOWER_WEIGHT, "soft")
