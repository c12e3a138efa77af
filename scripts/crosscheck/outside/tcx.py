"""TCX exports of the demonstration against a general XML reader, and their form against the schema."""

import xml.etree.ElementTree as ElementTree
from datetime import datetime
from pathlib import Path

from .checks import PUBLISHED, REFERENCE

READER = "Python's ElementTree"
SCHEMA = "TrainingCenterDatabase v2 schema, order and presence of elements copied by hand"
TEST = "scripts/crosscheck tcx"
CHANNELS = ("time_ms", "heart_rate", "power", "speed", "distance", "altitude")

# The schema's sequences for the elements that an activity uses: the children
# in their order, with "!" on those that must be there. What an extension holds
# is another schema's matter.
SEQUENCES = {
    "TrainingCenterDatabase": "Folders Activities Workouts Courses Author Extensions",
    "Activities": "Activity MultiSportSession",
    "Activity": "Id! Lap! Notes Training Creator Extensions",
    "Lap": "TotalTimeSeconds! DistanceMeters! MaximumSpeed Calories! AverageHeartRateBpm MaximumHeartRateBpm "
           "Intensity! Cadence TriggerMethod! Track Notes Extensions",
    "Track": "Trackpoint!",
    "Trackpoint": "Time! Position AltitudeMeters DistanceMeters HeartRateBpm Cadence SensorState Extensions",
    "Position": "LatitudeDegrees! LongitudeDegrees!",
    "HeartRateBpm": "Value!", "AverageHeartRateBpm": "Value!", "MaximumHeartRateBpm": "Value!",
}
REPEATED = {"Activity", "Lap", "Track", "Trackpoint", "MultiSportSession"}
ATTRIBUTES = {"Activity": "Sport", "Lap": "StartTime"}
WORDS = {
    "Intensity": {"Active", "Resting"},
    "TriggerMethod": {"Manual", "Distance", "Location", "Time", "HeartRate"},
    "Sport": {"Running", "Biking", "Other"},
}


def files(demo):
    """The demonstration's whole TCX exports."""
    return [str(p) for p in sorted(Path(demo).glob("inbox/**/*.tcx")) if p.stat().st_size]


def _name(element):
    return element.tag.rpartition("}")[2]


def _text(point, *names):
    """The text of the first element with one of the names, at any depth."""
    for element in point.iter():
        if _name(element) in names:
            value = element if len(element) == 0 else element[0]
            return value.text
    return None


def _number(point, name):
    text = _text(point, name)
    return None if text is None else float(text)


def their_values(root):
    """Values of all track points as a general reader finds them."""
    for point in (e for e in root.iter() if _name(e) == "Trackpoint"):
        time = datetime.fromisoformat(_text(point, "Time"))
        yield round(time.timestamp() * 1000)
        for name in ("HeartRateBpm", "Watts", "Speed", "DistanceMeters", "AltitudeMeters"):
            yield _number(point, name)


def our_values(legs):
    """Values of our legs in the same order."""
    for leg in legs:
        n = len(leg["time_ms"])
        for row in zip(*[leg[c] or [None] * n for c in CHANNELS]):
            yield from row


def faults(element):
    """What the schema would say about an element and all below it."""
    name = _name(element)
    if name in ATTRIBUTES and ATTRIBUTES[name] not in element.attrib:
        yield f"{name} without {ATTRIBUTES[name]}"
    for key, word in ((name, element.text), ("Sport", element.get("Sport"))):
        if key in WORDS and word is not None and word not in WORDS[key]:
            yield f"{key} {word!r}"
    if name not in SEQUENCES:
        return
    order = SEQUENCES[name].split()
    names = [o.rstrip("!") for o in order]
    children = [_name(child) for child in element]
    places = [names.index(c) if c in names else -1 for c in children]
    if -1 in places or places != sorted(places):
        yield f"{name} holds {children}"
    yield from (f"{name} repeats {c}" for c in set(children) - REPEATED if children.count(c) > 1)
    yield from (f"{name} without {o[:-1]}" for o in order if o.endswith("!") and o[:-1] not in children)
    for child in element:
        yield from faults(child)


def compare(checks, legs_of, paths):
    """Adds the checks of values and of form."""
    pairs, forms = [], []
    for path in paths:
        root = ElementTree.parse(path).getroot()
        ours, theirs = list(our_values(legs_of[path])), list(their_values(root))
        pairs.append((len(ours), len(theirs)))
        # Speed is derived where the export has none in any point.
        speeds = any(value is not None for value in theirs[3::6])
        for i, (a, b) in enumerate(zip(ours, theirs)):
            if (i % 6 != 3 or speeds) and (a is not None or b is not None):
                pairs.append((a, b))
        forms.append((list(faults(root)), []))
    checks.same("tcx-demo", "demo TCX: times, heart rate, power, speed, distance, altitude", READER, REFERENCE,
                pairs, TEST)
    checks.same("tcx-schema", "demo TCX: elements required, known, in order", SCHEMA, PUBLISHED, forms, TEST,
                "exports without fault")
