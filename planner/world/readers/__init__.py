"""Publishers' files and rasters read into the world; one module a kind of file."""
