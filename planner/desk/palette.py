"""The few colours of the desk: paper, ink, and one accent for what has to be asked for; three sets of them.

The map keeps its light paper in every appearance, as charts have it, so its lines are drawn with `LIGHT`.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import attrs
from PySide6.QtCore import QCoreApplication

_PROPERTY = "lowline_appearance"


def _frozen(colours: Mapping[str, str]) -> Mapping[str, str]:
    return MappingProxyType(dict(colours))


@attrs.frozen
class Palette:
    """One appearance, each colour as #rrggbb.

    `field` is what is typed into, `hint` what stands there while it is empty, `faint` what can't be used
    now, `on_ask` words on the accent, `focus` the ring round what the keyboard works on. Of the profile:
    `over` above what could be allowed, `ground`, its edge, the `grid`, the `hatch` of what is not known;
    `fills` and `marks` are the tones of the strips.
    """

    paper: str
    paper_deep: str
    paper_picked: str
    field: str
    rule: str
    ink: str
    ink_soft: str
    faint: str
    hint: str
    ask: str
    on_ask: str
    plan: str
    focus: str
    over: str
    ground: str
    ground_edge: str
    grid: str
    hatch: str
    fills: Mapping[str, str] = attrs.field(converter=_frozen)
    marks: Mapping[str, str] = attrs.field(converter=_frozen)

    def words(self) -> dict[str, str]:
        """Return the colours by the names that the style sheet uses."""
        names = [part.name for part in attrs.fields(Palette) if part.name not in ("fills", "marks")]
        return {name.replace("_", "-"): getattr(self, name) for name in names}


LIGHT: Final = Palette(
    paper="#fbf9f3",
    paper_deep="#efeadd",
    paper_picked="#f3eee0",
    field="#ffffff",
    rule="#d9d2c1",
    ink="#1f2b2a",
    ink_soft="#5d6460",
    faint="#a4a598",
    hint="#6a6e66",
    ask="#2450a8",
    on_ask="#ffffff",
    plan="#1d5c57",
    focus="#2450a8",
    over="#a03a28",
    ground="#d5ccb9",
    ground_edge="#857b66",
    grid="#e6e0d2",
    hatch="#b3ae9f",
    fills={
        "quiet": "#ece6d7",
        "good": "#d3e0da",
        "granted": "#ddd6e6",
        "ask": "#cdd8ee",
        "warn": "#efdcae",
        "stop": "#eccdc2",
        "unknown": "#f3eee0",
    },
    marks={
        "quiet": "#c9bfa8",
        "good": "#94b5a8",
        "granted": "#b1a4c4",
        "ask": "#8ea5d6",
        "warn": "#c29a3e",
        "stop": "#a03a28",
        "unknown": "#9a9a8e",
    },
)

DARK: Final = Palette(
    paper="#1b2120",
    paper_deep="#262e2c",
    paper_picked="#2e3735",
    field="#131817",
    rule="#48524f",
    ink="#ece7da",
    ink_soft="#b3b6ab",
    faint="#747b76",
    hint="#999e95",
    ask="#9bb8f4",
    on_ask="#131817",
    plan="#66c2b2",
    focus="#9bb8f4",
    over="#f08c70",
    ground="#4d4636",
    ground_edge="#a3987f",
    grid="#303836",
    hatch="#6b7069",
    fills={
        "quiet": "#33382f",
        "good": "#23443c",
        "granted": "#3f3751",
        "ask": "#2a3b63",
        "warn": "#54431a",
        "stop": "#5e2b20",
        "unknown": "#2b3130",
    },
    marks={
        "quiet": "#5d6354",
        "good": "#40776a",
        "granted": "#6f6190",
        "ask": "#4c68a8",
        "warn": "#8f7430",
        "stop": "#b3563f",
        "unknown": "#6b7069",
    },
)

HIGH_CONTRAST: Final = Palette(
    paper="#ffffff",
    paper_deep="#ececec",
    paper_picked="#e0e0e0",
    field="#ffffff",
    rule="#000000",
    ink="#000000",
    ink_soft="#262626",
    faint="#6e6e6e",
    hint="#404040",
    ask="#0a2f8f",
    on_ask="#ffffff",
    plan="#00443c",
    focus="#0a2f8f",
    over="#8a1500",
    ground="#c4c4c4",
    ground_edge="#000000",
    grid="#a8a8a8",
    hatch="#5a5a5a",
    fills={
        "quiet": "#f2f2f2",
        "good": "#d6efe6",
        "granted": "#e6dcf5",
        "ask": "#d3e0ff",
        "warn": "#ffe6a3",
        "stop": "#ffd2c6",
        "unknown": "#ffffff",
    },
    marks={
        "quiet": "#8c8c8c",
        "good": "#2f8a74",
        "granted": "#7d62ab",
        "ask": "#4468c8",
        "warn": "#946a00",
        "stop": "#8a1500",
        "unknown": "#5a5a5a",
    },
)

PALETTES: Final = MappingProxyType({"light": LIGHT, "dark": DARK, "high-contrast": HIGH_CONTRAST})


def put_on(application: QCoreApplication, appearance: str) -> None:
    """Let the application carry an appearance by its name; one that is not known is light."""
    application.setProperty(_PROPERTY, appearance)


def in_use() -> Palette:
    """Return the colours that the application carries; light where it carries none."""
    application = QCoreApplication.instance()
    appearance = application.property(_PROPERTY) if application is not None else None
    return PALETTES.get(str(appearance), LIGHT)
