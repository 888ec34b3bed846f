"""The Qt application: window, map, profile, findings, forms, undo and background work."""
