"""GPX exports against a general GPX library and a geodesy library."""

import xml.etree.ElementTree as ElementTree
from datetime import datetime
from pathlib import Path

import gpxpy
from geographiclib.geodesic import Geodesic

from . import forms, ours
from .checks import PUBLISHED, REFERENCE, library

MODULE = "github.com/tkrajina/gpxgo"
LIBRARY, GEODESY = library("gpxpy"), library("geographiclib")
SCHEMA = "GPX 1.1 and TrackPointExtension v1 schemas, their facts copied by hand"
TEST = "scripts/crosscheck gpx"

# A sphere of the mean radius against the ellipsoid: over short steps the
# radii of curvature differ from the mean by up to 0.56 % at the equator and
# the poles, by less than 0.3 % where the files come from.
DISTANCE_TOLERANCE = 0.003


def files(module_dir, demo):
    """The module's GPX files and the demonstration's: path, and a name."""
    root = Path(module_dir(MODULE)) / "test_files"
    for path in sorted(root.glob("*.gpx")):
        yield str(path), f"gpxgo/{path.name}"  # a check each
    for path in sorted(Path(demo).glob("inbox/**/*.gpx")):
        yield str(path), "demo GPX"  # one check for all


def tracks(path):
    """Timed points of every track, by segment; none where the library refuses the file."""
    try:
        document = gpxpy.parse(Path(path).read_bytes())
    except gpxpy.gpx.GPXException:
        return []
    found, kind = [], None
    for track in document.tracks:
        segments = [[p for p in s.points if p.time] for s in track.segments]
        if not any(segments):
            continue
        # A track that goes on within a quarter of an hour is the same outing.
        if found and (not kind or not track.type or kind == track.type):
            pause = next(s for s in segments if s)[0].time - [s for s in found[-1] if s][-1][-1].time
            if 0 <= pause.total_seconds() <= 900:
                found[-1] += segments
                continue
        found.append(segments)
        kind = track.type
    return found


def _heart_rate(point):
    """The heart rate in a point's extensions, wherever it lies."""
    for extension in point.extensions:
        for element in extension.iter():
            if element.tag.rpartition("}")[2] == "hr":
                return float(element.text)
    return None


def _their_values(segments):
    """Time, position, elevation and heart rate of a track's points."""
    for point in (p for segment in segments for p in segment):
        yield round(point.time.timestamp() * 1000)
        yield point.latitude
        yield point.longitude
        yield point.elevation
        yield _heart_rate(point)


def _our_values(leg):
    n = len(leg["time_ms"])
    channels = ("time_ms", "latitude", "longitude", "altitude", "heart_rate")
    columns = [leg[c] or [None] * n for c in channels]
    for row in zip(*columns):
        yield from row


def _their_distance(segments):
    """Metres on the WGS 84 ellipsoid along a track, gaps between segments left out."""
    total = 0.0
    for segment in segments:
        for a, b in zip(segment, segment[1:]):
            total += Geodesic.WGS84.Inverse(a.latitude, a.longitude, b.latitude, b.longitude)["s12"]
    return total


def compare(checks, legs_of, named):
    """Adds the checks of all files: values one to one, and distances."""
    values, distances, refused = {}, {}, []
    for path, name in named:
        legs, theirs = legs_of[path], tracks(path)
        if legs[0].get("error"):
            refused.append((0, len(theirs)))
            continue
        pairs = values.setdefault(name, [])
        pairs.append((len(legs), len(theirs)))
        for leg, segments in zip(legs, theirs):
            pairs += _pairs(list(_our_values(leg)), list(_their_values(segments)))
            length = _their_distance(segments)
            if length > 0:
                distances.setdefault(name, []).append((leg["distance"][-1], length))
    for name, pairs in values.items():
        checks.same(f"gpx-{name}", f"{name}: times, positions, elevations, heart rates",
                    LIBRARY, REFERENCE, pairs, TEST)
    for name, lengths in distances.items():
        mine, theirs = max(lengths, key=lambda pair: abs(pair[0] / pair[1] - 1))
        worst = f" (worst of {len(lengths)})" if len(lengths) > 1 else ""
        checks.near(f"gpx-distance-{name}", f"{name}: distance along the track, m{worst}",
                    GEODESY, REFERENCE, mine, theirs, DISTANCE_TOLERANCE, TEST)
    checks.same("gpx-refused", "GPX files that we refuse: tracks with timed points", LIBRARY, REFERENCE,
                refused, TEST, "files without any")


def _pairs(ours, theirs):
    """The numbers of values, and the values that either side has."""
    return [(len(ours), len(theirs))] + [
        (a, b) for a, b in zip(ours, theirs) if a is not None or b is not None
    ]


def check_forms(checks, paths):
    """Adds the check of the demonstration's exports against the schemas' facts."""
    faults = [(list(forms.GPX.faults(ElementTree.parse(path).getroot())), []) for path in paths]
    checks.same("gpx-schema", "demo GPX: elements known, present, in order, of their types", SCHEMA, PUBLISHED,
                faults, TEST, "exports without fault")


def _point(n, second):
    """A track point with everything that the schema declares."""
    return f"""<trkpt lat="{n}.125" lon="-{n}.25"><ele>{500 + n}.5</ele><time>2026-03-01T08:{n}:{second:02}Z</time>
<magvar>1</magvar><geoidheight>2</geoidheight><name>a</name><cmt>b</cmt><desc>c</desc><src>d</src><sym>e</sym><type>f</type>
<fix>3d</fix><sat>7</sat><hdop>1</hdop><vdop>1</vdop><pdop>1</pdop><ageofdgpsdata>1</ageofdgpsdata><dgpsid>9</dgpsid>
<extensions><x:TrackPointExtension><x:atemp>{n / 2}</x:atemp><x:wtemp>3</x:wtemp><x:depth>4</x:depth>
<x:hr>{110 + n}</x:hr><x:cad>{80 + n}</x:cad></x:TrackPointExtension></extensions></trkpt>"""


def whole_document():
    """A waypoint, and two tracks with everything that a track may hold."""
    gpx, extension = forms.GPX.namespaces
    tracks = "".join(
        f"""<trk><name>t</name><cmt>u</cmt><desc>v</desc><src>w</src><number>{n}</number><type>{kind}</type>
<trkseg>{_point(n, 1)}{_point(n, 2)}</trkseg><trkseg>{_point(n, 30)}</trkseg></trk>"""
        for n, kind in ((10, "cycling"), (20, "walking")))
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<gpx xmlns="{gpx}" xmlns:x="{extension}" version="1.1" creator="Device 10">
<metadata><name>n</name><desc>d</desc><time>2020-01-01T00:00:00Z</time><keywords>k</keywords></metadata>
{tracks}</gpx>"""


def compare_whole(checks, dump, folder):
    """Adds the check that our reader takes every element that it has a use for, and no other in its place."""
    path = Path(folder) / "whole.gpx"
    path.write_text(whole_document(), encoding="utf-8")
    faults = list(forms.GPX.faults(ElementTree.parse(path).getroot()))
    legs = ours.recordings(dump, [path])[str(path)]
    pairs = [(faults, []), (len(legs), 2)]
    for leg, n, sport in zip(legs, (10, 20), ("cycling", "walking")):
        start = round(datetime.fromisoformat(f"2026-03-01T08:{n}:00Z").timestamp() * 1000)
        want = {"latitude": n + 0.125, "longitude": -n - 0.25, "altitude": n + 500.5, "temperature": n / 2,
                "heart_rate": n + 110, "cadence": n + 80}
        pairs += [((c, leg[c]), (c, [value] * 3)) for c, value in want.items()]
        pairs += [(leg["time_ms"], [start + 1000, start + 2000, start + 30000]), (leg["sport"], sport),
                  (leg["device"]["Name"], "Device 10")]
    checks.same("gpx-whole", "a document with every element of a track: what our reader takes", SCHEMA, PUBLISHED,
                pairs, TEST, "facts")
