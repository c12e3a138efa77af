"""GPX exports against a general GPX library and a geodesy library."""

from pathlib import Path

import gpxpy
from geographiclib.geodesic import Geodesic

from .checks import REFERENCE, library

MODULE = "github.com/tkrajina/gpxgo"
LIBRARY, GEODESY = library("gpxpy"), library("geographiclib")
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
    found = []
    for track in document.tracks:
        segments = [[p for p in s.points if p.time] for s in track.segments]
        if any(segments):
            found.append(segments)
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
        ours, theirs = max(lengths, key=lambda pair: abs(pair[0] / pair[1] - 1))
        worst = f" (worst of {len(lengths)})" if len(lengths) > 1 else ""
        checks.near(f"gpx-distance-{name}", f"{name}: distance along the track, m{worst}",
                    GEODESY, REFERENCE, ours, theirs, DISTANCE_TOLERANCE, TEST)
    checks.same("gpx-refused", "GPX files that we refuse: tracks with timed points", LIBRARY, REFERENCE,
                refused, TEST, "files without any")


def _pairs(ours, theirs):
    """The numbers of values, and the values that either side has."""
    return [(len(ours), len(theirs))] + [
        (a, b) for a, b in zip(ours, theirs) if a is not None or b is not None
    ]
