"""The charts window: sets, their layers, and how files get into them."""
