"""Where the page lives, and where Leaflet lives inside the installed pyqtlet2."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from PySide6.QtCore import QUrl, QUrlQuery

_PAGE = Path("web") / "map.html"
_LEAFLET = Path("web") / "modules" / "leaflet_193"


def page_url(page_dir: Path) -> QUrl:
    """Address of the map page, carrying the folder of the installed Leaflet.

    Raises
    ------
    FileNotFoundError
        When the page or Leaflet is not where the installation puts it.
    """
    page = _existing(page_dir.resolve() / _PAGE)
    leaflet = _existing(Path(str(files("pyqtlet2"))).resolve() / _LEAFLET / "leaflet.js")
    query = QUrlQuery()
    query.addQueryItem("leaflet", QUrl.fromLocalFile(str(leaflet.parent)).toString())
    url = QUrl.fromLocalFile(str(page))
    url.setQuery(query)
    return url


def _existing(path: Path) -> Path:
    if not path.is_file():
        raise FileNotFoundError(f"the map page needs {path}: install the program again")
    return path
