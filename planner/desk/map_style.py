"""How each layer of the map is drawn; airspace by the public aeronautical chart convention.

Class B solid blue, C solid magenta, D dashed blue, E surface areas dashed magenta, E floors at 700 ft a
magenta vignette and other floors a blue one (FAA Chart Users' Guide).
"""

from typing import Any, Final

import attrs

from planner.desk import palette
from planner.world.airspace import AirspaceKind

BLUE: Final = "#2450a8"
MAGENTA: Final = "#a0286f"
_DASH: Final = "7 5"


@attrs.frozen
class LayerLook:
    """One switchable layer: where it stands in the legend and how it is drawn."""

    id: str
    title: str
    group: str
    style: dict[str, Any]
    rank: int
    visible: bool = True
    note: str = ""


def _line(stroke: str, width: float, **more: Any) -> dict[str, Any]:  # noqa: ANN401
    return {"stroke": stroke, "width": width, "label_property": "label", "label_at": "edge", **more}


def _ground(stroke: str, width: float, **more: Any) -> dict[str, Any]:  # noqa: ANN401
    return {"stroke": stroke, "width": width, "label_property": "label", "min_zoom": 15, **more}


def _point(marker: str, **more: Any) -> dict[str, Any]:  # noqa: ANN401
    return {"stroke": palette.LIGHT.ink, "width": 1.4, "marker": marker, "label_property": "label", **more}


_FIGURES = "Figures: hundreds of feet above sea level, top over floor"

LOOKS: Final = (
    LayerLook("class_b", "Class B", "Airspace", _line(BLUE, 2.4), 60, note=_FIGURES),
    LayerLook("class_c", "Class C", "Airspace", _line(MAGENTA, 2.4), 59),
    LayerLook(
        "class_d", "Class D", "Airspace", _line(BLUE, 2.0, dash=_DASH), 58, note="[25]: top, in hundreds"
    ),
    LayerLook("class_e_surface", "Class E from the surface", "Airspace", _line(MAGENTA, 2.0, dash=_DASH), 57),
    LayerLook("class_e_700", "Class E from 700 ft", "Airspace", _line(MAGENTA, 0.8, halo=True), 31),
    LayerLook("class_e_other", "Class E, other floors", "Airspace", _line(BLUE, 0.8, halo=True), 30),
    LayerLook(
        "closed",
        "Prohibited, restricted, security",
        "Airspace",
        _line(palette.LIGHT.ink, 2.2, dash="2 3", halo=True, fill=palette.LIGHT.ink, fill_opacity=0.06),
        62,
    ),
    LayerLook(
        "events",
        "Stadium events, temporary",
        "Airspace",
        _line(palette.LIGHT.ink, 1.8, dash="9 3 2 3", fill=palette.LIGHT.ink, fill_opacity=0.04),
        61,
    ),
    LayerLook("warning", "Warning, military, alert", "Airspace", _line(MAGENTA, 1.2, dash="1 4"), 32),
    LayerLook(
        "cells",
        "Facility map cells",
        "Airspace",
        {
            "stroke": BLUE,
            "width": 0.7,
            "fill": BLUE,
            "fill_opacity": 0.03,
            "label_property": "label",
            "label_at": "middle",
            "min_zoom": 12,
        },
        40,
        note="Height above ground an automated request can get, in feet where no unit stands",
    ),
    LayerLook(
        "sites",
        "Fixed flying sites",
        "Agreements",
        _line(BLUE, 1.4, fill=BLUE, fill_opacity=0.10, label_at="centre"),
        50,
    ),
    LayerLook(
        "exempt", "Exempt from Remote ID", "Agreements", _line(palette.LIGHT.ink_soft, 1.2, dash="4 3"), 49
    ),
    LayerLook(
        "closed_lands",
        "Land closed to launching",
        "On the ground",
        _line("#6b5a2e", 1.6, dash="10 3", fill="#6b5a2e", fill_opacity=0.10, label_at="centre"),
        20,
    ),
    LayerLook("structures", "Structures", "On the ground", _point("mast", min_zoom=12), 71),
    LayerLook("aerodromes", "Aerodromes", "On the ground", _point("field"), 70),
    LayerLook("heliports", "Heliports", "On the ground", _point("pad"), 69),
    LayerLook(
        "stadiums",
        "Stadiums",
        "On the ground",
        _point("bowl"),
        68,
        note="Large, or seats not on record",
    ),
    LayerLook("runways", "Runways", "On the ground", _ground("#3c4543", 3.2), 16),
    LayerLook("roads", "Roads and trails", "On the ground", _ground("#655a44", 1.6), 14),
    LayerLook(
        "buildings",
        "Buildings",
        "On the ground",
        _ground("#6a6252", 0.8, fill="#6a6252", fill_opacity=0.35),
        13,
    ),
    LayerLook(
        "gatherings",
        "Where people gather",
        "On the ground",
        _ground(palette.LIGHT.ink_soft, 1.2, dash="1 3", fill=palette.LIGHT.ink_soft, fill_opacity=0.12),
        15,
    ),
    LayerLook(
        "coverage",
        "Where the charts end",
        "Charts",
        _line(palette.LIGHT.ink_soft, 1.0, dash="1 5"),
        5,
        visible=False,
        note="Outside, nothing is known; hatched: no ground",
    ),
)

RINGS: Final = LayerLook(
    "rings",
    "Aerodrome rings",
    "Advice",
    {"stroke": palette.LIGHT.ink_soft, "width": 1.2, "dash": "2 4"},
    0,
    note="Advisory, not a rule",
)

LAYER_OF_KIND: Final = {
    AirspaceKind.CLASS_A: "class_b",
    AirspaceKind.CLASS_B: "class_b",
    AirspaceKind.CLASS_C: "class_c",
    AirspaceKind.CLASS_D: "class_d",
    AirspaceKind.CLASS_E2: "class_e_surface",
    AirspaceKind.CLASS_E3: "class_e_surface",
    AirspaceKind.CLASS_E4: "class_e_surface",
    AirspaceKind.CLASS_E_OTHER: "class_e_other",
    AirspaceKind.PROHIBITED: "closed",
    AirspaceKind.RESTRICTED: "closed",
    AirspaceKind.SECURITY: "closed",
    AirspaceKind.STADIUM: "events",
    AirspaceKind.TEMPORARY: "events",
    AirspaceKind.WARNING: "warning",
    AirspaceKind.MILITARY_OPERATIONS: "warning",
    AirspaceKind.ALERT: "warning",
    AirspaceKind.NATIONAL_SECURITY: "warning",
    AirspaceKind.ZONE_PROHIBITED: "closed",
    AirspaceKind.ZONE_PERMISSION: "closed",
    AirspaceKind.ZONE_OPEN: "warning",
    AirspaceKind.TRAINING_ROUTE: "warning",
    AirspaceKind.PARACHUTE: "warning",
    AirspaceKind.GLIDER: "warning",
    AirspaceKind.OTHER: "warning",
}
