"""Weather: coded reports and forecasts read with care, and the standard atmosphere."""
