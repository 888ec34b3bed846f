"""Figures of the path, as the map draws them."""

from typing import Any

from planner.geo.place import Place
from planner.plan.model import Plan


def drawn_figures(plan: Plan) -> list[dict[str, Any]]:
    """Return the figures for MapCanvas.set_plan, each from point `first` to point `last` of the path."""
    return [
        {
            "kind": span.figure.kind.value,
            "first": span.first,
            "last": span.last,
            "label": span.figure.called,
            "bail_out": _lonlat(span.figure.bail_out),
            "subject": _lonlat(span.figure.subject),
        }
        for span in plan.figure_spans()
    ]


def _lonlat(place: Place | None) -> list[float] | None:
    return None if place is None else [place.lon_deg, place.lat_deg]
