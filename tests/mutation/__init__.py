"""Are the tests awake? Small faults are put into the code one by one; each should make a test fail."""
