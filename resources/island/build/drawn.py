"""The hand-drawn lines of the island, in local kilometres: coast, ridge, canyon, coverage."""

from frame import Place

# Before the sea cut its eastern flank away; in the north-east the land runs on beyond the map.
LAND: list[Place] = [
    (1.3, 2.1),
    (2.2, 1.15),
    (3.6, 0.95),
    (4.9, 1.2),
    (5.7, 2.0),
    (6.7, 2.45),
    (7.6, 2.15),
    (8.2, 1.4),
    (9.2, 1.0),
    (10.4, 1.3),
    (11.8, 2.2),
    (12.6, 4.0),
    (12.8, 6.0),
    (12.6, 8.0),
    (13.3, 10.0),
    (13.4, 13.4),
    (10.8, 13.2),
    (9.0, 11.7),
    (7.9, 11.3),
    (7.0, 10.6),
    (6.2, 10.9),
    (5.0, 10.7),
    (4.0, 10.0),
    (3.0, 10.7),
    (1.9, 10.5),
    (1.2, 9.5),
    (1.5, 8.4),
    (2.1, 7.6),
    (1.4, 6.7),
    (0.8, 5.6),
    (1.1, 4.5),
    (0.7, 3.3),
]
# Seaward of this line the eastern flank is gone: what it cut through is the sea cliff.
CLIFF: list[Place] = [
    (12.2, 1.6),
    (11.1, 2.1),
    (10.75, 2.9),
    (10.95, 3.7),
    (10.7, 4.5),
    (10.95, 5.4),
    (11.15, 6.1),
    (10.9, 6.9),
    (11.1, 7.7),
    (11.45, 8.4),
    (11.5, 9.0),
    (12.2, 9.5),
    (14.5, 10.2),
]
SPINE: list[Place] = [
    (1.7, 9.4),
    (3.2, 8.9),
    (4.6, 8.3),
    (5.9, 7.6),
    (7.1, 7.9),
    (8.3, 7.7),
    (9.4, 7.1),
    (10.3, 6.2),
    (11.3, 5.0),
    (11.6, 3.6),
]
HIGHLAND: list[Place] = [(8.6, 9.2), (10.0, 9.8), (11.6, 11.2), (13.0, 12.6)]
EASTLAND: list[Place] = [(11.2, 2.6), (11.4, 4.4), (11.6, 6.4)]
CANYON: list[Place] = [
    (8.55, 8.75),
    (8.95, 9.1),
    (9.2, 9.55),
    (9.7, 9.75),
    (9.95, 10.2),
    (10.4, 10.45),
    (10.65, 10.9),
    (11.2, 11.2),
    (11.9, 12.2),
]
# North-east of this line nothing was surveyed.
SURVEY_END: tuple[Place, Place] = ((9.1, 12.0), (12.0, 9.1))
