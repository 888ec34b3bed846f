"""AIXM 5.1 airspace: a stream of features, their curves, sums of volumes, and hours."""
