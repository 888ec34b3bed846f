"""The one object that the map page sees: two strings each way, a kind and its JSON."""

from __future__ import annotations

import json

from PySide6.QtCore import QObject, Signal, Slot


class MapBridge(QObject):
    """Carries messages between the desk and the map page over a web channel."""

    toPage = Signal(str, str)
    arrived = Signal(str, list)

    @Slot(str, str)
    def fromPage(self, kind: str, arguments_json: str) -> None:
        """Take one message of the page: its kind and a JSON list of arguments."""
        self.arrived.emit(kind, json.loads(arguments_json))

    def send(self, kind: str, payload_json: str) -> None:
        """Hand one message to the page."""
        self.toPage.emit(kind, payload_json)
