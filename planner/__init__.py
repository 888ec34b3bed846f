"""Lowline: plan a low flight of a small camera aircraft flown through goggles."""

__version__ = "0.1.0"
