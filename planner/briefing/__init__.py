"""What leaves the desk: the documented JSON, the observer's briefing, the assessment as text."""
