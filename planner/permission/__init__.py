"""By which routes a place can be flown, and whether the records in hand cover it."""
