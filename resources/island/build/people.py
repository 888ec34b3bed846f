"""What people built and where they gather: flying sites, fields, obstacles, roads, houses."""

import numpy as np
import places
from fields import curve
from frame import CELL_M, Array, Frame, Place
from rings import circle
from shapely import LineString, MultiPoint, Point, Polygon
from shapely.affinity import rotate
from tables import Table

FOOT_M = 0.3048
_SURVEY = "Invented Survey of the Island"
_COUNCIL = "Invented Island Council"
_AUTHORITY = "Invented Air Navigation Office"


class Site:
    """The frame together with the ground, for features that must agree with it."""

    def __init__(self, frame: Frame, ground_m: Array) -> None:
        self.frame = frame
        self._ground_m = ground_m

    def ground_m(self, place: Place) -> float:
        """Ground height [m AMSL], bilinear between cell centres."""
        column, row = (1000.0 * c / CELL_M - 0.5 for c in place)
        i, j = int(column), int(row)
        u, v = column - i, row - j
        corner = self._ground_m[j : j + 2, i : i + 2]
        return float(np.array([1 - v, v]) @ corner @ np.array([1 - u, u]))

    def polygon(self, shape: Polygon) -> Polygon:
        """Local polygon as longitudes and latitudes."""
        return Polygon(self.frame.ring([(x, y) for x, y in shape.exterior.coords]))

    def blob(self, centre: Place, half_km: Place, turn_deg: float = 0.0) -> Polygon:
        """Turned rectangle around a place as longitudes and latitudes."""
        (x, y), (a, b) = centre, half_km
        flat = Polygon([(x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b)])
        return self.polygon(rotate(flat, turn_deg, origin="center"))

    def point(self, place: Place) -> Point:
        """Place as a point of longitude and latitude."""
        return Point(self.frame.lonlat(place))


def stadiums(site: Site) -> list[Table]:
    """Return the one stadium and its one event."""
    points = Table("stadiums", "Point", _COUNCIL, "Invented register of stadiums, 2026")
    points.add(
        site.point(places.STADIUM),
        NAME="CORROW BOWL (INVENTED)",
        CITY="CORROW",
        STATE="INVENTED",
        STATUS_CODE="OPEN",
        GLOBAL_ID="INVENTED-ST-01",
    )
    events = Table("stadium_events", "Point", _COUNCIL, "Invented calendar of events, 2026-2027")
    events.add(
        site.point(places.STADIUM),
        STADIUM="CORROW BOWL (INVENTED)",
        EVENT="INVENTED LEAGUE FINAL",
        START_UTC="2027-06-20T04:00:00Z",
        END_UTC="2027-06-20T07:10:00Z",
        SEATS=34000,
    )
    return [points, events]


def flying_sites(site: Site) -> list[Table]:
    """Return the fixed flying site, the Remote-ID exempt area and the park closed to launching."""
    fixed = Table("fixed_sites", "Polygon", _AUTHORITY, "Invented fixed flying sites, edition 2026")
    fixed.add(
        site.blob(places.FIXED_SITE, (0.24, 0.19), 12.0),
        SITE_ID="INV-0001",
        SITE_NAME="LARK MEADOW (INVENTED)",
        CEILING=250,
        CITY="CORROW",
        STATE="INVENTED",
        POC="LARK MEADOW FLYING CLUB (INVENTED)",
        GLOBALID="INVENTED-FS-01",
    )
    exempt = Table("exempt_areas", "Polygon", _AUTHORITY, "Invented identification areas, edition 2026")
    exempt.add(
        site.blob(places.EXEMPT_AREA, (0.2, 0.15), -8.0),
        title="NORTH STRAND (INVENTED)",
        orgName="NORTH STRAND MODEL CLUB (INVENTED)",
        address1=None,
        city="NORTH STRAND",
        state="INVENTED",
        zipcode=None,
        startDate="2026-01-01",
        endDate="2029-12-31",
        refNumber="INVENTED-EA-01",
    )
    park = Table("park_lands", "Polygon", _COUNCIL, "Invented register of parks, 2026")
    outline = [(1.3, 9.3), (2.1, 8.9), (2.9, 9.2), (3.05, 9.9), (2.5, 10.5), (1.9, 10.4), (1.3, 9.9)]
    park.add(
        site.polygon(Polygon(curve([*outline, outline[0]], 6))),
        NAME="GANNET HEAD PARK (INVENTED)",
        OPERATOR="INVENTED ISLAND COUNCIL",
        LAUNCH="closed",
    )
    return [fixed, exempt, park]


def obstacles(site: Site) -> Table:
    """Mast, water tower and a wire; tops agree with the ground beneath them."""
    table = Table("obstacles", "Point", _SURVEY, "Invented obstacle survey, 2026")
    entries = [
        (places.MAST, "TOWER", 402, 1, "R", "1", "A", "P"),
        (places.WATER_TOWER, "TANK", 140, 0, "R", "2", "C", "N"),
        (places.CATENARY, "CATENARY", 118, 0, "N", "4", "D", "N"),
    ]
    for number, (place, kind, agl_ft, guyed, lights, h_acc, v_acc, marking) in enumerate(entries, 1):
        table.add(
            site.point(place),
            OAS=f"XX-{number:06d}",
            VERIFIED="O",
            TYPE=kind,
            QUANTITY=1,
            AGL_FT=agl_ft,
            AMSL_FT=round(site.ground_m(place) / FOOT_M) + agl_ft,
            GUYED=guyed,
            LIGHTING=lights,
            H_ACC=h_acc,
            V_ACC=v_acc,
            MARKING=marking,
            ACTION="A",
            STUDY=f"INVENTED-{number}",
        )
    return table


def aerodromes(site: Site) -> list[Table]:
    """Return the fields and the heliport, with their runways."""
    table = Table("aerodromes", "Point", _AUTHORITY, "Invented aerodrome list, edition 2026")
    entries = [
        ("XX01", "CORROW FIELD (INVENTED)", "towered", places.CORROW_FIELD),
        ("XX02", "TERN LANDING (INVENTED)", "untowered", places.TERN_FIELD),
        ("XX03", "MARROW COVE HELIPORT (INVENTED)", "heliport", places.HELIPORT),
    ]
    for ident, name, kind, place in entries:
        elevation_ft = round(site.ground_m(place) / FOOT_M)
        table.add(site.point(place), IDENT=ident, NAME=name, KIND=kind, ELEV_FT=elevation_ft)
    runways = Table("runways", "LineString", _AUTHORITY, "Invented aerodrome list, edition 2026")
    strips = [("XX01", places.CORROW_RUNWAY, 150), ("XX02", places.TERN_RUNWAY, 50)]
    for ident, line, width_ft in strips:
        (x0, y0), (x1, y1) = line
        length_ft = round(1000.0 * float(np.hypot(x1 - x0, y1 - y0)) / FOOT_M)
        runways.add(
            LineString(site.frame.ring(line)),
            AERODROME=ident,
            NAME="07/25",
            LE_IDENT="07",
            HE_IDENT="25",
            WIDTH_FT=width_ft,
            LENGTH_FT=length_ft,
        )
    return [table, runways]


_ROADS: list[tuple[str, str, list[Place]]] = [
    (
        "COAST ROAD (INVENTED)",
        "road",
        [
            (1.75, 6.6),
            (1.45, 5.6),
            (1.6, 4.5),
            (1.35, 3.4),
            (1.75, 2.4),
            (2.7, 1.65),
            (3.9, 1.6),
            (4.9, 2.1),
            (5.6, 2.95),
            (6.7, 2.95),
            (7.6, 2.5),
            (8.3, 2.3),
            (8.75, 2.0),
            (9.1, 1.75),
            (10.0, 1.85),
            (10.7, 2.1),
        ],
    ),
    ("FIELD ROAD (INVENTED)", "road", [(3.9, 1.6), (3.75, 2.4), (3.7, 3.15)]),
    ("MAST TRACK (INVENTED)", "track", [(6.7, 2.95), (7.6, 3.7), (8.7, 4.2), (9.2, 4.8), (9.4, 5.15)]),
    (
        "SADDLE TRAIL (INVENTED)",
        "trail",
        [(7.6, 3.7), (7.0, 4.9), (6.9, 6.0), (7.35, 7.0), (7.35, 7.72), (7.0, 8.7), (6.55, 9.5), (6.4, 10.2)],
    ),
]


def roads(site: Site) -> Table:
    """Coast road, side roads and a trail over the saddle."""
    table = Table("roads", "LineString", _SURVEY, "Invented ground survey, 2026")
    for name, kind, line in _ROADS:
        table.add(LineString(site.frame.ring(curve(line, 10))), NAME=name, KIND=kind)
    return table


_HAMLETS: list[tuple[str, Place, Place, int]] = [
    ("CORROW", (4.95, 2.35), (0.5, 0.28), 58),
    ("MARROW COVE", (8.95, 1.65), (0.4, 0.22), 40),
    ("WEST HYTHE", (1.75, 5.1), (0.18, 0.35), 16),
]


def buildings(site: Site, seed: int) -> Table:
    """Houses of the hamlets, halls of the field and the plant, the stadium."""
    table = Table("buildings", "Polygon", _SURVEY, "Invented ground survey, 2026")
    rng = np.random.default_rng(seed)
    for name, (x, y), spread, count in _HAMLETS:
        taken = MultiPoint()
        while len(taken.geoms) < count:
            dx, dy = rng.uniform(-1.0, 1.0, 2)
            spot = (float(x + dx * spread[0]), float(y + dy * spread[1]))
            half = (float(rng.uniform(0.005, 0.009)), float(rng.uniform(0.004, 0.006)))
            turn_deg = float(rng.choice([-14.0, 18.0, 76.0]))
            if dx * dx + dy * dy > 1.0 or site.ground_m(spot) < 3.0 or taken.distance(Point(spot)) < 0.035:
                continue
            taken = MultiPoint([*taken.geoms, Point(spot)])
            table.add(site.blob(spot, half, turn_deg), NAME=f"{name} (INVENTED)", KIND="house")
    halls: list[tuple[str, Place, Place, float]] = [
        ("CORROW TERMINAL (INVENTED)", (3.7, 3.24), (0.045, 0.018), 16.0),
        ("CORROW HANGAR (INVENTED)", (3.45, 3.17), (0.03, 0.02), 16.0),
        ("TERN HANGAR (INVENTED)", (8.45, 2.75), (0.014, 0.01), 22.0),
        ("HOLLIN PLANT (INVENTED)", places.PLANT, (0.07, 0.035), 30.0),
        ("HOLLIN PLANT STORE (INVENTED)", (7.72, 5.15), (0.03, 0.03), 30.0),
    ]
    for name, spot, half, turn_deg in halls:
        table.add(site.blob(spot, half, turn_deg), NAME=name, KIND="hall")
    table.add(circle(site.frame.lonlat(places.STADIUM), 95.0), NAME="CORROW BOWL (INVENTED)", KIND="stadium")
    return table


def gathering_places(site: Site) -> Table:
    """Places where people gather in the open."""
    table = Table("gathering_places", "Polygon", _COUNCIL, "Invented list of public places, 2026")
    beach = [
        (5.95, 2.24),
        (6.2, 2.3),
        (6.4, 2.38),
        (6.6, 2.44),
        (6.9, 2.44),
        (7.2, 2.34),
        (7.4, 2.24),
        (7.4, 2.33),
        (7.2, 2.43),
        (6.9, 2.53),
        (6.6, 2.54),
        (6.4, 2.47),
        (6.2, 2.4),
        (5.95, 2.33),
    ]
    table.add(site.polygon(Polygon(beach)), NAME="LONG STRAND (INVENTED)", KIND="beach")
    table.add(site.blob((8.75, 1.72), (0.05, 0.04), 20.0), NAME="COVE GREEN (INVENTED)", KIND="green")
    table.add(
        site.blob((6.38, 10.3), (0.06, 0.05)), NAME="NORTH STRAND PICNIC GROUND (INVENTED)", KIND="picnic"
    )
    return table
