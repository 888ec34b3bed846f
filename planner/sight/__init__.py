"""Who sees the aircraft: range, line of sight over terrain, sun and light."""
