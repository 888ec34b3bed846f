"""What changed: the plan on the desk beside another, or beside other charts."""
