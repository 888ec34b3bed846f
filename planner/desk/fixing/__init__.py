"""What would fix a plan: chosen, looked at before and after, and done in one step."""
