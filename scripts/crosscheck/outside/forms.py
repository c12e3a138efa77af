"""The form that the published TCX and GPX schemas ask for, as tables of facts.

No package registry has the schemas' own files, so they cannot be part of a
run. These tables were copied by hand and held against the schemas' text
(TrainingCenterDatabase v2, GPX 1.1) and against the documentation of classes
generated from it (ActivityExtension v2, TrackPointExtension v1; the latter's
ranges of heart rate and cadence are from memory).
"""

import re
from dataclasses import dataclass, field
from datetime import datetime


def name(element):
    """An element's local name."""
    return element.tag.rpartition("}")[2]


def _real(text):
    return re.fullmatch(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", text) is not None


def _decimal(text):
    return _real(text) and "e" not in text.lower()


def _whole(low, high):
    return lambda text: re.fullmatch(r"[+-]?\d+", text) is not None and low <= int(text) <= high


def _within(low, high, below=False):
    """A number from low to high, high itself left out with below."""
    return lambda text: _real(text) and low <= float(text) <= high and not (below and float(text) == high)


def _instant(text):
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return "T" in text


def _word(*words):
    return lambda text: text in words


def _text(text):
    return True


@dataclass
class Form:
    """One schema: children in their order, "!" on those that must be there, "*" on those that may repeat."""

    namespaces: tuple
    sequences: dict
    values: dict
    attributes: dict = field(default_factory=dict)  # element → attribute → type; all required
    open: tuple = ()  # elements that may hold anything of other schemas

    def faults(self, element):
        """What the schema would say about an element and all below it."""
        here = name(element)
        if not element.tag.startswith(tuple(f"{{{n}}}" for n in self.namespaces)):
            yield f"{here} of another namespace"
        for attribute, fits in self.attributes.get(here, {}).items():
            value = element.get(attribute)
            if value is None or not fits(value):
                yield f"{here} {attribute}={value!r}"
        if here in self.values and not self.values[here]((element.text or "").strip()):
            yield f"{here} {element.text!r}"
        if here in self.sequences:
            yield from self._order(element, here)
        elif here not in self.values and here not in self.open:
            yield f"{here} is not in the schema"
        for child in element:
            yield from self.faults(child)

    def _order(self, element, here):
        """Faults in the presence and order of children."""
        order = self.sequences[here].split()
        names = [o.rstrip("!*") for o in order]
        children = [name(child) for child in element]
        places = [names.index(c) if c in names else -1 for c in children]
        if -1 in places or places != sorted(places):
            yield f"{here} holds {children} in that order"
        for entry, child in zip(order, names):
            count = children.count(child)
            if "!" in entry and not count:
                yield f"{here} without {child}"
            if "*" not in entry and count > 1:
                yield f"{here} repeats {child}"


_DOUBLE, _SHORT, _CADENCE = _real, _whole(0, 65535), _whole(0, 254)

TCX = Form(
    namespaces=("http://www.garmin.com/xmlschemas/TrainingCenterDatabase/v2",
                "http://www.garmin.com/xmlschemas/ActivityExtension/v2"),
    sequences={
        "TrainingCenterDatabase": "Folders Activities Workouts Courses Author Extensions",
        "Activities": "Activity* MultiSportSession*",
        "MultiSportSession": "Id! FirstSport! NextSport* Notes",
        "FirstSport": "Activity!", "NextSport": "Transition Activity!",
        "Activity": "Id! Lap!* Notes Training Creator Extensions",
        **dict.fromkeys(("Lap", "Transition"),
                        "TotalTimeSeconds! DistanceMeters! MaximumSpeed Calories! AverageHeartRateBpm "
                        "MaximumHeartRateBpm Intensity! Cadence TriggerMethod! Track* Notes Extensions"),
        "Track": "Trackpoint!*",
        "Trackpoint": "Time! Position AltitudeMeters DistanceMeters HeartRateBpm Cadence SensorState Extensions",
        "Position": "LatitudeDegrees! LongitudeDegrees!",
        **dict.fromkeys(("HeartRateBpm", "AverageHeartRateBpm", "MaximumHeartRateBpm"), "Value!"),
        "Creator": "Name! UnitId! ProductID! Version!",
        "Version": "VersionMajor! VersionMinor! BuildMajor BuildMinor",
        "Extensions": "TPX LX", "TPX": "Speed RunCadence Watts Extensions",
        "LX": "AvgSpeed MaxBikeCadence AvgRunCadence MaxRunCadence Steps AvgWatts MaxWatts Extensions",
    },
    values={
        **dict.fromkeys(("Id", "Time"), _instant),
        **dict.fromkeys(("TotalTimeSeconds", "DistanceMeters", "MaximumSpeed", "AltitudeMeters", "Speed", "AvgSpeed"),
                        _DOUBLE),
        **dict.fromkeys(("Calories", "ProductID", "VersionMajor", "VersionMinor", "BuildMajor", "BuildMinor",
                         "Watts", "Steps", "AvgWatts", "MaxWatts"), _SHORT),
        **dict.fromkeys(("Cadence", "RunCadence", "MaxBikeCadence", "AvgRunCadence", "MaxRunCadence"), _CADENCE),
        "Value": _whole(1, 255), "UnitId": _whole(0, 2**32 - 1),
        "LatitudeDegrees": _within(-90, 90), "LongitudeDegrees": _within(-180, 180, below=True),
        "Intensity": _word("Active", "Resting"), "SensorState": _word("Present", "Absent"),
        "TriggerMethod": _word("Manual", "Distance", "Location", "Time", "HeartRate"),
        "Name": _text, "Notes": _text,
    },
    attributes={
        "Activity": {"Sport": _word("Running", "Biking", "Other")},
        **dict.fromkeys(("Lap", "Transition"), {"StartTime": _instant}),
        # The kind of source is abstract: a document must say which it is.
        "Creator": {"{http://www.w3.org/2001/XMLSchema-instance}type": _word("Device_t")},
    },
)

_POINT = ("ele time magvar geoidheight name cmt desc src link* sym type fix sat hdop vdop pdop ageofdgpsdata dgpsid "
          "extensions")
_COORDINATES = {"lat": _within(-90, 90), "lon": _within(-180, 180, below=True)}

GPX = Form(
    namespaces=("http://www.topografix.com/GPX/1/1", "http://www.garmin.com/xmlschemas/TrackPointExtension/v1"),
    sequences={
        "gpx": "metadata wpt* rte* trk* extensions",
        "metadata": "name desc author copyright link* time keywords bounds extensions",
        "author": "name email link",
        "trk": "name cmt desc src link* number type extensions trkseg*",
        "trkseg": "trkpt* extensions", "trkpt": _POINT,
        "extensions": "TrackPointExtension", "TrackPointExtension": "atemp wtemp depth hr cad Extensions",
    },
    values={
        "time": _instant, "number": _whole(0, 2**63),
        **dict.fromkeys(("ele", "geoidheight", "hdop", "vdop", "pdop", "ageofdgpsdata"), _decimal),
        "magvar": _within(0, 360, below=True),
        **dict.fromkeys(("atemp", "wtemp", "depth"), _DOUBLE),
        "hr": _whole(1, 255), "cad": _CADENCE, "sat": _whole(0, 2**63), "dgpsid": _whole(0, 1023),
        "fix": _word("none", "2d", "3d", "dgps", "pps"),
        **dict.fromkeys(("name", "cmt", "desc", "src", "sym", "type", "keywords"), _text),
    },
    attributes={"gpx": {"version": _word("1.1"), "creator": _text}, "trkpt": _COORDINATES},
)
