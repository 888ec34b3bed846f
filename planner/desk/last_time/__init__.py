"""How the plan stood the last time it was open, and a quiet line where that differs now."""
