"""Places, distances, heights and time: the ground on which everything stands."""
