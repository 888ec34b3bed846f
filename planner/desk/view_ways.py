"""What menus do to the view: the map closer or farther, the libraries where they are used."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Final, Protocol

if TYPE_CHECKING:
    from planner.desk.document import Document
    from planner.desk.forms.take_menu import TakeMenu
    from planner.desk.map import MapCanvas
    from planner.desk.side_panel import SidePanel

_STEP: Final = 1.0
_HOW: Final = "Take from library, in this form: Space opens it"
_NOTHING: Final = {
    "aircraft": "No aircraft is kept yet: Keep this aircraft, in this form, puts one there",
    "crew": "Nobody is kept yet: Keep in the library, at somebody of the crew, puts them there",
    "land": "No site is kept yet: Keep this site, in this form, puts it into the library",
}
_NO_PERMISSION: Final = (
    "No standing permission is kept for other plans: Keep as standing, at one on record, makes it one"
)


class Window(Protocol):
    """What is used of the desk's window."""

    document: "Document"
    canvas: "MapCanvas | None"
    side: "SidePanel | None"


def ways_of_view(window: "Callable[[], Window]") -> dict[str, Callable[[], object]]:
    """Return what each action does, by its key; the window need not be furnished yet."""
    return {
        "zoom_in": lambda: _zoom(window(), _STEP),
        "zoom_out": lambda: _zoom(window(), -_STEP),
        "kept_aircraft": lambda: _show_library(window(), "aircraft"),
        "kept_people": lambda: _show_library(window(), "crew"),
        "kept_sites": lambda: _show_library(window(), "land"),
        "kept_permissions": lambda: _show_permissions(window()),
    }


def _zoom(window: Window, steps: float) -> None:
    if window.canvas is not None:
        window.canvas.zoom(steps)


def _show_library(window: Window, form: str) -> None:
    """Open the form that uses a library, at the button that opens it."""
    if window.side is None:
        return
    window.side.go_to_form(form)
    take = _take_menu(window, form)
    if take.isEnabled():
        window.side.plan.bring(form, take)
    window.document.message.emit(_HOW if take.isEnabled() else _NOTHING[form])


def _take_menu(window: Window, form: str) -> "TakeMenu":
    assert window.side is not None
    section = window.side.plan.sections[form]
    holder = getattr(section, {"aircraft": "library", "crew": "take", "land": "site"}[form])
    take: TakeMenu = getattr(holder, "take", holder)
    return take


def _show_permissions(window: Window) -> None:
    if window.side is None:
        return
    window.side.go_to("permissions")
    if not window.side.permissions.show_standing():
        window.document.message.emit(_NO_PERMISSION)
