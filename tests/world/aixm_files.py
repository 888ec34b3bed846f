"""Small AIXM messages made for one test."""

_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?><message:AIXMBasicMessage '
    'xmlns:message="http://www.aixm.aero/schema/5.1.1/message" xmlns:gml="http://www.opengis.net/gml/3.2" '
    'xmlns:aixm="http://www.aixm.aero/schema/5.1.1" xmlns:xlink="http://www.w3.org/1999/xlink">'
)
EPSG_4326 = "urn:ogc:def:crs:EPSG::4326"


def write_aixm(folder, *airspaces):
    path = folder / "airspace.xml"
    members = "".join(f"<message:hasMember>{one}</message:hasMember>" for one in airspaces)
    path.write_text(f"{_HEAD}{members}</message:AIXMBasicMessage>", encoding="utf-8")
    return path


def airspace(components, *, name="INVENTED", type_="R", ident="one", more=""):
    return (
        f'<aixm:Airspace gml:id="uuid.{ident}"><gml:identifier>{ident}</gml:identifier><aixm:timeSlice>'
        f"<aixm:AirspaceTimeSlice><aixm:interpretation>BASELINE</aixm:interpretation><aixm:type>{type_}</aixm:type>"
        f"<aixm:name>{name}</aixm:name>{components}{more}</aixm:AirspaceTimeSlice></aixm:timeSlice></aixm:Airspace>"
    )


def component(shape, operation="BASE", order=1, lower="0 FT SFC", upper="2500 FT MSL"):
    return (
        "<aixm:geometryComponent><aixm:AirspaceGeometryComponent>"
        f"<aixm:operation>{operation}</aixm:operation><aixm:operationSequence>{order}</aixm:operationSequence>"
        "<aixm:theAirspaceVolume><aixm:AirspaceVolume>"
        f"{_limit('upper', upper)}{_limit('lower', lower)}{shape}"
        "</aixm:AirspaceVolume></aixm:theAirspaceVolume>"
        "</aixm:AirspaceGeometryComponent></aixm:geometryComponent>"
    )


def _limit(which, said):
    words = said.split()
    if words[0] == "FL":
        words = [words[1], "FL", words[2]]
    value, unit, reference = (*words, "", "")[:3]
    uom = f' uom="{unit}"' if unit else ""
    code = f"<aixm:{which}LimitReference>{reference}</aixm:{which}LimitReference>" if reference else ""
    return f"<aixm:{which}Limit{uom}>{value}</aixm:{which}Limit>{code}"


def surface(segments, axes=EPSG_4326):
    return surface_of_members(f"<gml:curveMember>{curve(segments)}</gml:curveMember>", axes)


def surface_of_members(members, axes=EPSG_4326):
    return (
        f'<aixm:horizontalProjection><aixm:Surface srsName="{axes}">'
        f"<gml:patches><gml:PolygonPatch><gml:exterior><gml:Ring>{members}"
        "</gml:Ring></gml:exterior></gml:PolygonPatch></gml:patches></aixm:Surface>"
        "</aixm:horizontalProjection>"
    )


def curve(segments):
    return f"<aixm:Curve><gml:segments>{segments}</gml:segments></aixm:Curve>"


def arc_about_centre(first, second, radius_nmi, start, end, unit="deg"):
    """An arc by its centre, given in the order of the file's own axes."""
    return (
        f"<gml:ArcByCenterPoint numArc='1'><gml:pos>{first!r} {second!r}</gml:pos>"
        f"<gml:radius uom='[nmi_i]'>{radius_nmi!r}</gml:radius>"
        f"<gml:startAngle uom='{unit}'>{start!r}</gml:startAngle>"
        f"<gml:endAngle uom='{unit}'>{end!r}</gml:endAngle></gml:ArcByCenterPoint>"
    )


def points_of_kind(kind, points, more=""):
    """A segment of any kind that has nothing but points (lon, lat) and what follows them."""
    return f"<gml:{kind}>{_list([(lat, lon) for lon, lat in points])}{more}</gml:{kind}>"


def geodesics(corners):
    return f"<gml:GeodesicString>{_list(corners)}</gml:GeodesicString>"


def lines(corners):
    return f"<gml:LineStringSegment>{_list(corners)}</gml:LineStringSegment>"


def arc_of_three(points):
    """An arc through three (lon, lat)."""
    return points_of_kind("Arc", points)


def circle(lat, lon, radius_nmi):
    return (
        f"<gml:CircleByCenterPoint numArc='1'><gml:pos>{lat} {lon}</gml:pos>"
        f"<gml:radius uom='[nmi_i]'>{radius_nmi}</gml:radius></gml:CircleByCenterPoint>"
    )


def _list(corners):
    return f"<gml:posList>{' '.join(f'{one!r} {other!r}' for one, other in corners)}</gml:posList>"
