"""The strip of drawing tools at the left of the map."""

from collections.abc import Mapping

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QMenu,
    QScrollArea,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from planner.desk.action_table import ON_STRIP, TOOLS
from planner.desk.style import scaled
from planner.desk.tool_icons import SIDE, tool_icon
from planner.desk.words import role_choices
from planner.plan.crew import Role

WIDTH = 108
_LEAST_HEIGHT = 19
_LEAST_ROWS = 4
_ALWAYS = ("undo", "redo", "fit_plan")
_SHORT_ROLES = {
    Role.REMOTE_PILOT: "Pilot",
    Role.PERSON_AT_CONTROLS: "Controls",
    Role.OBSERVER: "Observer",
    Role.SPECTATOR: "Spectator",
}


class ToolStrip(QFrame):
    """A button a tool, scrolled where there is no room for all; what is below stays in sight.

    `role_chosen` says whom the crew tool places.
    """

    role_chosen = Signal(object)

    def __init__(self, actions: Mapping[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._follow = actions["follow"]
        self._place = actions["crew"]
        self._icons: dict[str, QAction] = {}
        self.setObjectName("tool_strip")
        self.area = QScrollArea(self)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setWidgetResizable(True)
        self._page = QWidget(self)
        self._column = QVBoxLayout(self._page)
        self._column.setContentsMargins(0, 3, 0, 2)
        # On a screen of 1280 x 720, a title above and profile and strips below, ten rows just have room.
        self._column.setSpacing(0)
        self.buttons: dict[str, QToolButton] = {}
        for key in ON_STRIP:
            self.buttons[key] = self._button(actions[key], key)
        self.crew = self.buttons["crew"]
        actions["closure"].setIconText("Closure")
        actions["beneath"].setIconText("Beneath")
        actions["standing"].setIconText("Standing")
        actions["return_point"].setIconText("Return")
        self._add_roles()
        for key in TOOLS:
            if key not in ON_STRIP:
                self.buttons[key] = self._button(actions[key], key)
                self._show_while_chosen(key, actions[key])
            actions[key].toggled.connect(lambda on, key=key: self._show_whole(key) if on else None)
        self._column.addSpacing(3)
        self.buttons["follow"] = self._button(actions["follow"], "follow")
        self.buttons["follow"].setObjectName("action_follow_button")
        self._column.addStretch(1)
        self.area.setWidget(self._page)
        self._lay_out(actions)
        self.dress()
        actions["follow"].toggled.connect(lambda on: self.show_legs(follow=on))

    def dress(self) -> None:
        """Draw the icons and take the width for the look that is in use."""
        for key, action in self._icons.items():
            # On the action: a button takes its icon from there whenever the action changes.
            action.setIcon(tool_icon(key))
        self.show_legs(follow=self._follow.isChecked())
        self.setFixedWidth(scaled(WIDTH))
        for button in self.buttons.values():
            # On a low screen the map and the profile need the height more.
            button.setMinimumHeight(max(_LEAST_HEIGHT, button.fontMetrics().height() + 2))
            button.setIconSize(QSize(scaled(SIDE), scaled(SIDE)))
        # As low as those that are squeezed above it: its drawing would be larger than theirs.
        self.buttons["layers"].setMaximumHeight(self.buttons["layers"].minimumHeight() + 4)
        self.area.setMinimumHeight(_LEAST_ROWS * self.buttons["move"].minimumHeight() + 6)

    def _show_while_chosen(self, key: str, action: QAction) -> None:
        """Give a rarer tool its place in the strip as long as it is the one in hand."""
        button = self.buttons[key]
        button.setVisible(action.isChecked())
        action.toggled.connect(button.setVisible)

    def _show_whole(self, key: str) -> None:
        """Scroll to the tool that has been taken up; a rarer one has just been given its place."""
        self._column.activate()
        self.area.ensureWidgetVisible(self.buttons[key], 0, 0)

    def show_role(self, role: Role) -> None:
        """Show whom the crew tool places."""
        self._place.setIconText(_SHORT_ROLES[role])
        for action in self._roles.actions():
            action.setChecked(action.data() == role.value)

    def show_legs(self, *, follow: bool) -> None:
        """Show how new legs run."""
        self._follow.setIcon(tool_icon("follow" if follow else "straight", inverts=False))
        self._follow.setIconText("Follow" if follow else "Straight")

    def _lay_out(self, actions: Mapping[str, QAction]) -> None:
        always = QHBoxLayout()
        always.setContentsMargins(4, 0, 4, 3)
        always.setSpacing(0)
        for key in _ALWAYS:
            button = self.buttons[key] = self._made(actions[key], key)
            button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonIconOnly)
            button.setProperty("kind", "always")
            always.addWidget(button)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.area, 1)
        self.buttons["layers"] = self._made(actions["layers"], "layers")
        actions["layers"].setIconText("Layers")
        rows.addWidget(self.buttons["layers"])
        rows.addLayout(always)

    def _button(self, action: QAction, icon: str) -> QToolButton:
        button = self._made(action, icon)
        self._column.addWidget(button)
        return button

    def _made(self, action: QAction, icon: str) -> QToolButton:
        button = QToolButton(self)
        button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self._icons[icon] = action
        action.setIconVisibleInMenu(False)
        button.setDefaultAction(action)
        button.setObjectName(f"{action.objectName()}_button")
        button.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        return button

    def _add_roles(self) -> None:
        menu = QMenu(self.crew)
        self._roles = QActionGroup(menu)
        for role, words in role_choices(None).items():
            action = menu.addAction(words)
            action.setCheckable(True)
            action.setData(role.value)
            self._roles.addAction(action)
        self._roles.triggered.connect(lambda action: self.role_chosen.emit(Role(action.data())))
        self.crew.setMenu(menu)
        self.crew.setPopupMode(QToolButton.ToolButtonPopupMode.MenuButtonPopup)
