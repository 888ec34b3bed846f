"""How high: the limit at a place, along the path, and lowest over an area."""
