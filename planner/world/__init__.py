"""What is there: terrain, airspace, structures, sites, and how current that knowledge is."""
