"""What would fix a plan, as edits that show before and after."""
