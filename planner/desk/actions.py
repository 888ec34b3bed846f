"""Every action of the desk in one table; menus, shortcuts and buttons are made from it."""

from collections.abc import Callable, Mapping

import attrs
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenuBar, QWidget


@attrs.frozen
class ActionSpec:
    """One action: `rule_before` draws a line above it, `choice` names its exclusive group."""

    key: str
    menu: str
    text: str
    shortcuts: tuple[str, ...] = ()
    tip: str = ""
    choice: str = ""
    checkable: bool = False
    rule_before: bool = False


ACTIONS = (
    ActionSpec("new", "Plan", "New plan", ("Ctrl+N",), "Start with an empty plan"),
    ActionSpec("open", "Plan", "Open…", ("Ctrl+O",), "Open a plan file"),
    ActionSpec("save", "Plan", "Save", ("Ctrl+S",), "Check the plan and write it", rule_before=True),
    ActionSpec("save_as", "Plan", "Save as…", ("Ctrl+Shift+S",), "Write the plan under another name"),
    ActionSpec(
        "another_day",
        "Plan",
        "Same flight, another day…",
        ("Ctrl+Shift+D",),
        "A plan of its own with the same hours on another day; what held for one day is asked anew",
    ),
    ActionSpec(
        "sheet",
        "Plan",
        "The sheet…",
        ("Ctrl+P",),
        "The sheet beside the plan, as it will be printed; it follows every edit",
        rule_before=True,
    ),
    ActionSpec(
        "briefing",
        "Plan",
        "Export briefing PDF…",
        ("Ctrl+E",),
        "Write the observer's sheet; a draft is marked as one",
    ),
    ActionSpec(
        "export",
        "Plan",
        "Export flight…",
        ("Ctrl+Shift+E",),
        "Area, path, heights, crew as KML, GPX or GeoJSON",
    ),
    ActionSpec(
        "request",
        "Plan",
        "Write request sheet…",
        ("Ctrl+Shift+R",),
        "What to enter in an authorization request, ready to type; nothing is sent",
    ),
    ActionSpec(
        "compare",
        "Plan",
        "What changed…",
        ("Ctrl+D",),
        "The plan beside its last saved state, another plan, or other charts",
        rule_before=True,
    ),
    ActionSpec(
        "charts",
        "Plan",
        "Charts…",
        ("Ctrl+K",),
        "Which data the plan is judged by; add publishers' files",
        rule_before=True,
    ),
    ActionSpec("terrain", "Plan", "Choose terrain…", ("Ctrl+Shift+T",), "Choose a terrain file (GeoTIFF)"),
    ActionSpec("quit", "Plan", "Quit", ("Ctrl+Q",), rule_before=True),
    ActionSpec("undo", "Edit", "Undo", ("Ctrl+Z",)),
    ActionSpec("redo", "Edit", "Redo", ("Ctrl+Shift+Z", "Ctrl+Y")),
    ActionSpec("history", "Edit", "History…", ("Ctrl+H",), "Every step by its name; a click goes back to it"),
    ActionSpec("delete", "Edit", "Delete point", ("Del",), "Delete the chosen point", rule_before=True),
    ActionSpec(
        "split",
        "Edit",
        "Split leg",
        ("Ctrl+I",),
        "A point where the marker is, else in the middle of the chosen point's leg; what is flown stays",
    ),
    ActionSpec(
        "merge",
        "Edit",
        "Merge points",
        ("Ctrl+J",),
        "The chosen points, with all in between, become one in their middle",
    ),
    ActionSpec(
        "reverse",
        "Edit",
        "Reverse",
        ("Ctrl+Shift+U",),
        "Fly the path the other way; with two points or more chosen only the part from first to last",
    ),
    ActionSpec(
        "level",
        "Edit",
        "Level with the first",
        ("Ctrl+Shift+L",),
        "The chosen points, or all, as high above sea level as the first of them; straight in between",
    ),
    ActionSpec(
        "snap_ground",
        "Edit",
        "Follow the ground like the first",
        ("Ctrl+Shift+K",),
        "The chosen points, or all, as high above the ground as the first of them, and so in between",
    ),
    ActionSpec(
        "copy_points",
        "Edit",
        "Copy points",
        ("Ctrl+Shift+C",),
        "The chosen points, or all of them, as text: position and height, one a line",
    ),
    ActionSpec(
        "paste_points",
        "Edit",
        "Paste points",
        ("Ctrl+Shift+V",),
        "Positions, one a line, with or without a height; after the chosen point, or at the end",
    ),
    ActionSpec(
        "turn",
        "Edit",
        "Turn and scale by hand",
        ("R",),
        "The chosen points by arrow keys: left and right turn, up and down scale; or drag the ring's grips",
    ),
    ActionSpec(
        "reshape",
        "Edit",
        "Move, turn or scale points…",
        ("Ctrl+Shift+M",),
        "In figures: the chosen points, or all of them, in one step",
    ),
    ActionSpec(
        "make_figure",
        "Edit",
        "Make a figure of points…",
        ("Ctrl+Shift+F",),
        "The chosen points become a dive, orbit, gap or pass with a call and a bail-out; they stay in place",
    ),
    ActionSpec(
        "figures",
        "Edit",
        "Figures…",
        ("Ctrl+Shift+G",),
        "Dives, orbits, gaps and passes of the path: shown, changed, dissolved, deleted",
    ),
    ActionSpec(
        "fix",
        "Edit",
        "What would fix it…",
        ("Ctrl+R",),
        "Lower, bend or sink the path; before and after are shown first",
        rule_before=True,
    ),
    ActionSpec(
        "stand",
        "Edit",
        "Where to stand…",
        ("Ctrl+T",),
        "Places on foot from the launch from which most of the path is seen",
    ),
    ActionSpec(
        "shrink",
        "Edit",
        "Shrink area to what is seen",
        ("Ctrl+Shift+A",),
        "Cut the flying area down to the part that the observer covers from where they stand",
    ),
    ActionSpec(
        "preferences",
        "Edit",
        "Preferences…",
        ("Ctrl+,",),
        "Light, dark or high contrast, and the size of text",
        rule_before=True,
    ),
    ActionSpec("move", "Draw", "Move", ("M",), "Drag points; drag the map to pan", choice="tool"),
    ActionSpec("path", "Draw", "Path", ("P",), "Click to add points; Enter ends", choice="tool"),
    ActionSpec("area", "Draw", "Area", ("A",), "Click corners; Enter or double click closes", choice="tool"),
    ActionSpec(
        "closure",
        "Draw",
        "Closure",
        ("T",),
        "A temporary restriction: click corners, Enter ends; one alone is the centre of a circle",
        choice="tool",
    ),
    ActionSpec(
        "beneath",
        "Draw",
        "Who or what is beneath",
        ("B",),
        "People, roads, trees: a click and Enter a spot, several a line, back on the first an area",
        choice="tool",
    ),
    ActionSpec(
        "standing",
        "Draw",
        "Where the crew may stand",
        ("S",),
        "Click the corners of an area in which the crew may stand; Enter closes it",
        choice="tool",
    ),
    ActionSpec(
        "dive",
        "Draw",
        "Dive",
        ("Shift+D",),
        "Click its top, then its bottom, then the place to break off to (or Enter); a form asks the rest",
        choice="tool",
        rule_before=True,
    ),
    ActionSpec(
        "orbit",
        "Draw",
        "Orbit",
        ("Shift+O",),
        "Click what is flown round, then where it begins, then the place to break off to (or Enter)",
        choice="tool",
    ),
    ActionSpec(
        "gap",
        "Draw",
        "Gap",
        ("Shift+G",),
        "Click the opening, then where the run begins, then the place to break off to; never judged to fit",
        choice="tool",
    ),
    ActionSpec(
        "pass",
        "Draw",
        "Pass",
        ("Shift+P",),
        "Click what is passed, then where it begins, then the place to break off to (or Enter)",
        choice="tool",
    ),
    ActionSpec(
        "launch",
        "Draw",
        "Launch",
        ("L",),
        "Click where the aircraft takes off",
        choice="tool",
        rule_before=True,
    ),
    ActionSpec("landing", "Draw", "Landing", ("D",), "Click where it lands", choice="tool"),
    ActionSpec("crew", "Draw", "Crew", ("O",), "Click where somebody stands", choice="tool"),
    ActionSpec(
        "follow",
        "Draw",
        "New legs follow the ground",
        ("F",),
        "Off: new legs run straight from point to point",
        checkable=True,
        rule_before=True,
    ),
    ActionSpec("fit_plan", "View", "Fit plan", ("Ctrl+1",), "Show the whole plan"),
    ActionSpec("fit_charts", "View", "Fit charts", ("Ctrl+2",), "Show all of the terrain and charts"),
    ActionSpec("layers", "View", "Layers and legend", ("Ctrl+L",), rule_before=True),
    ActionSpec(
        "crossing",
        "View",
        "Line of sight…",
        ("Ctrl+G",),
        "The cross-section from an eye to the aircraft where the marker is; a click on the sight strip too",
        rule_before=True,
    ),
    ActionSpec(
        "hour",
        "View",
        "A moment of the window",
        ("Ctrl+M",),
        "Light, sun, hours of airspace and the aircraft at one moment; arrow keys step, Escape ends",
    ),
    ActionSpec("hour_play", "View", "Play the flight", ("Ctrl+Space",), "From the moment looked at"),
    ActionSpec(
        "flight_strips",
        "View",
        "Strips of battery, links, what is beneath",
        ("Ctrl+B",),
        "Under the profile: charge and turn-back, margins of control and video, what is passed over",
        checkable=True,
    ),
    ActionSpec("show_findings", "View", "Findings", ("Alt+1",), rule_before=True),
    ActionSpec("show_points", "View", "Points", ("Alt+2",)),
    ActionSpec("show_plan", "View", "Plan", ("Alt+3",)),
    ActionSpec("show_permissions", "View", "Permissions", ("Alt+4",)),
    ActionSpec(
        "find_action",
        "Help",
        "What the desk can do…",
        ("Ctrl+;",),
        "Every action of the desk in one list, by its words",
    ),
    ActionSpec(
        "manual",
        "Help",
        "Manual",
        ("F1",),
        "Opens at what is typed into, chosen or pointed at",
        rule_before=True,
    ),
    ActionSpec("cautions", "Help", "Cautions", ("Shift+F1",), "What this plan is not"),
)
TOOLS = tuple(spec.key for spec in ACTIONS if spec.choice == "tool")
ON_STRIP = tuple(key for key in TOOLS if key not in ("standing", "dive", "orbit", "gap", "pass"))
"""The rarer tools are in the menu, with keys, and in the windows that need them: the strip is full."""


def make_actions(owner: QWidget, handlers: Mapping[str, Callable[..., object]]) -> dict[str, QAction]:
    """Return a QAction for each line of the table, joined to its handler and to `owner`.

    Raises
    ------
    KeyError
        If an action has no handler.
    """
    groups: dict[str, QActionGroup] = {}
    made = {}
    for spec in ACTIONS:
        action = QAction(spec.text, owner)
        action.setObjectName(f"action_{spec.key}")
        action.setShortcuts([QKeySequence(keys) for keys in spec.shortcuts])
        hint = f" ({spec.shortcuts[0]})" if spec.shortcuts else ""
        action.setToolTip(f"{spec.tip or spec.text.rstrip('…')}{hint}")
        action.setCheckable(spec.checkable or bool(spec.choice))
        if spec.choice:
            groups.setdefault(spec.choice, QActionGroup(owner)).addAction(action)
        action.triggered.connect(handlers[spec.key])
        owner.addAction(action)
        made[spec.key] = action
    return made


def fill_menus(bar: QMenuBar, actions: Mapping[str, QAction]) -> None:
    """Lay the actions out in menus, in the table's order; Alt and a menu's first letter opens it."""
    menus = {}
    for spec in ACTIONS:
        if spec.menu not in menus:
            menus[spec.menu] = bar.addMenu(f"&{spec.menu}")
        elif spec.rule_before:
            menus[spec.menu].addSeparator()
        menus[spec.menu].addAction(actions[spec.key])
