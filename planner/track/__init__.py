"""The path as it will be flown, sampled where anything changes."""
