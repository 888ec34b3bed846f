"""Menus, shortcuts and buttons, made from the table of actions."""

from collections.abc import Callable, Mapping

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QAction, QActionGroup, QKeySequence, QShortcut
from PySide6.QtWidgets import QMenuBar, QWidget

from planner.desk.action_table import ACTIONS

InTurn = Callable[[Callable[[], object]], None]


class _Turn(QObject):
    """Hands an action on, with whether it is checked, when its turn has come."""

    came = Signal(bool)


def make_actions(
    owner: QWidget, handlers: Mapping[str, Callable[..., object]], in_turn: InTurn
) -> dict[str, QAction]:
    """Return a QAction for each line of the table, joined to its handler and to `owner`.

    `in_turn` calls what it is given once all that the pilot did before has been dealt with.

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
        _hand_on(action, handlers[spec.key], in_turn)
        owner.addAction(action)
        made[spec.key] = action
    return made


def _hand_on(action: QAction, handler: Callable[..., object], in_turn: InTurn) -> None:
    turn = _Turn(action)
    turn.came.connect(handler)

    def wait(checked: bool) -> None:
        in_turn(lambda: turn.came.emit(checked))

    action.triggered.connect(wait)


def fill_menus(bar: QMenuBar, actions: Mapping[str, QAction]) -> None:
    """Lay the actions out in menus, in the table's order; Alt and its first letter opens each, F10 one."""
    menus = {}
    for spec in ACTIONS:
        if spec.menu not in menus:
            menus[spec.menu] = bar.addMenu(f"&{spec.menu}")
        elif spec.rule_before:
            menus[spec.menu].addSeparator()
        menus[spec.menu].addAction(actions[spec.key])
    first = QShortcut(QKeySequence("F10"), bar)
    first.activated.connect(lambda: bar.setActiveAction(bar.actions()[0]))
