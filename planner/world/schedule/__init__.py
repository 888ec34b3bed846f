"""Published hours: read from text, laid over a window of time, sun and local time included."""
