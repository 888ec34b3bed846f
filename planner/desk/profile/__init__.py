"""The profile along the path: ground, ceiling, planned height, and strips of what holds where."""
