"""What the loss of the control link does from each sample of the path, as arrays of the JSON of a check."""

from typing import Any, Final

import numpy as np

from planner.assessment import Assessment

LOSS_KEYS: Final = (
    "link_loss_clearance_m",
    "link_loss_highest_amsl_m",
    "link_loss_s",
    "link_loss_end_lon",
    "link_loss_end_lat",
)


def loss_json(assessment: Assessment, samples: int) -> dict[str, list[Any]]:
    """Return, for each sample, how the way that begins there clears, how high it goes, how long, and its end.

    None where no action is set, or its way is not known.
    """
    loss, track = assessment.flight.loss if assessment.flight else None, assessment.track
    if loss is None or track is None:
        return {key: [None] * samples for key in LOSS_KEYS}
    lon_deg, lat_deg = track.frame.inverse(loss.corner_x_m[:, 3], loss.corner_y_m[:, 3])
    columns = (loss.clearance_m, loss.highest_amsl_m, loss.duration_s, lon_deg, lat_deg)
    return {
        key: [float(one) if np.isfinite(one) else None for one in values]
        for key, values in zip(LOSS_KEYS, columns, strict=True)
    }
