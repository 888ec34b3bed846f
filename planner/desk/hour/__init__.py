"""One moment of the plan's window on the desk: light, sun, hours of airspace, and the aircraft."""
