"""TCX exports against a general XML reader, and against the published schemas' facts."""

import xml.etree.ElementTree as ElementTree
from datetime import datetime
from pathlib import Path

from . import forms, ours
from .checks import PUBLISHED, REFERENCE

READER = "Python's ElementTree"
SCHEMA = "TrainingCenterDatabase v2 and ActivityExtension v2 schemas, their facts copied by hand"
TEST = "scripts/crosscheck tcx"
CHANNELS = ("time_ms", "heart_rate", "power", "speed", "distance", "altitude")


def files(demo):
    """The demonstration's whole TCX exports."""
    return [str(p) for p in sorted(Path(demo).glob("inbox/**/*.tcx")) if p.stat().st_size]


def _text(point, *names):
    """The text of the first element with one of the names, at any depth."""
    for element in point.iter():
        if forms.name(element) in names:
            value = element if len(element) == 0 else element[0]
            return value.text
    return None


def _number(point, name):
    text = _text(point, name)
    return None if text is None else float(text)


def their_values(root):
    """Values of all track points as a general reader finds them."""
    for point in (e for e in root.iter() if forms.name(e) == "Trackpoint"):
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


def compare(checks, legs_of, paths):
    """Adds the checks of values and of form."""
    pairs, faults = [], []
    for path in paths:
        root = ElementTree.parse(path).getroot()
        mine, theirs = list(our_values(legs_of[path])), list(their_values(root))
        pairs.append((len(mine), len(theirs)))
        # Speed is derived where the export has none in any point.
        speeds = any(value is not None for value in theirs[3::6])
        for i, (a, b) in enumerate(zip(mine, theirs)):
            if (i % 6 != 3 or speeds) and (a is not None or b is not None):
                pairs.append((a, b))
        faults.append((list(forms.TCX.faults(root)), []))
    checks.same("tcx-demo", "demo TCX: times, heart rate, power, speed, distance, altitude", READER, REFERENCE,
                pairs, TEST)
    checks.same("tcx-schema", "demo TCX: elements known, present, in order, of their types", SCHEMA, PUBLISHED,
                faults, TEST, "exports without fault")


# A document with every element of an activity that the schema declares. Each
# value occurs once, so that none can stand for another.
def _lap(element, n, points):
    """A lap, or a transition, which is one, with everything in it."""
    return f"""<{element} StartTime="2026-03-01T08:{n}:00Z">
<TotalTimeSeconds>{60 + n}.5</TotalTimeSeconds><DistanceMeters>{200 + n}.25</DistanceMeters>
<MaximumSpeed>{n}.75</MaximumSpeed><Calories>{n}</Calories>
<AverageHeartRateBpm><Value>{100 + n}</Value></AverageHeartRateBpm>
<MaximumHeartRateBpm><Value>{150 + n}</Value></MaximumHeartRateBpm>
<Intensity>Resting</Intensity><Cadence>{n + 1}</Cadence><TriggerMethod>Location</TriggerMethod>
<Track>{"".join(points)}</Track><Notes>lap</Notes>
<Extensions><x:LX><x:AvgSpeed>{n}.5</x:AvgSpeed><x:MaxBikeCadence>9</x:MaxBikeCadence><x:AvgRunCadence>8</x:AvgRunCadence>
<x:MaxRunCadence>7</x:MaxRunCadence><x:Steps>6</x:Steps><x:AvgWatts>{300 + n}</x:AvgWatts>
<x:MaxWatts>{400 + n}</x:MaxWatts></x:LX></Extensions></{element}>"""


def _point(n, second, cadence):
    """A track point with everything in it, and a cadence in its place."""
    inside, beside = (f"<Cadence>{80 + n}</Cadence>", "") if cadence == "Cadence" else (
        "", f"<x:RunCadence>{80 + n}</x:RunCadence>")
    return f"""<Trackpoint><Time>2026-03-01T08:{n}:{second:02}.5Z</Time>
<Position><LatitudeDegrees>{n}.125</LatitudeDegrees><LongitudeDegrees>-{n}.25</LongitudeDegrees></Position>
<AltitudeMeters>{500 + n}.5</AltitudeMeters><DistanceMeters>{n + second}.5</DistanceMeters>
<HeartRateBpm><Value>{110 + n}</Value></HeartRateBpm>{inside}<SensorState>Present</SensorState>
<Extensions><x:TPX CadenceSensor="Footpod"><x:Speed>{n / 8}</x:Speed>{beside}<x:Watts>{210 + n}</x:Watts></x:TPX>
</Extensions></Trackpoint>"""


def _activity(n, sport, cadence):
    return f"""<Activity Sport="{sport}"><Id>2026-03-01T08:{n}:00Z</Id>
{_lap("Lap", n, [_point(n, 1, cadence), _point(n, 2, cadence)])}<Notes>activity</Notes>
<Creator xsi:type="Device_t" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><Name>Device {n}</Name>
<UnitId>{7000 + n}</UnitId><ProductID>3</ProductID><Version><VersionMajor>1</VersionMajor><VersionMinor>2</VersionMinor>
<BuildMajor>0</BuildMajor><BuildMinor>0</BuildMinor></Version></Creator></Activity>"""


def whole_document():
    """Every kind of activity, with everything that one may hold."""
    database, extension = forms.TCX.namespaces
    transition = _lap("Transition", 30, [_point(30, 1, "Cadence"), _point(30, 2, "Cadence")])
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<TrainingCenterDatabase xmlns="{database}" xmlns:x="{extension}"><Activities>
{_activity(10, "Biking", "Cadence")}
<MultiSportSession><Id>2026-03-01T08:20:00Z</Id><FirstSport>{_activity(20, "Running", "RunCadence")}</FirstSport>
<NextSport>{transition}{_activity(40, "Other", "Cadence")}</NextSport><Notes>session</Notes></MultiSportSession>
</Activities></TrainingCenterDatabase>"""


def expected(n, sport, device):
    """What our reader must give of an activity of that document."""
    start = round(datetime.fromisoformat(f"2026-03-01T08:{n}:00Z").timestamp() * 1000)
    twice = {"heart_rate": 110 + n, "power": 210 + n, "speed": n / 8, "altitude": 500.5 + n, "cadence": 80 + n,
             "latitude": n + 0.125, "longitude": -n - 0.25}
    return {
        "time_ms": [start + 1500, start + 2500], "distance": [n + 1.5, n + 2.5],
        **{channel: [value, value] for channel, value in twice.items()},
        "sport": sport,
        "device": {"Name": f"Device {n}", "Serial": str(7000 + n)} if device else {"Name": "", "Serial": ""},
        "laps": [{"start_ms": start, "end_ms": start + 1000 * (60 + n) + 500, "intensity": "rest", "trigger": "position",
                  "mean_power": 300 + n, "mean_heart_rate": 100 + n}],
        "totals": {"timer_s": 60.5 + n, "distance_m": 200.25 + n, "mean_hr": 100 + n, "max_hr": 150 + n,
                   "mean_power": 300 + n, "max_power": 400 + n, "mean_speed": n + 0.5, "max_speed": n + 0.75},
    }


def compare_whole(checks, dump, folder):
    """Adds the check that our reader takes every element that it has a use for, wherever the schema allows it."""
    path = Path(folder) / "whole.tcx"
    path.write_text(whole_document(), encoding="utf-8")
    faults = list(forms.TCX.faults(ElementTree.parse(path).getroot()))
    legs = ours.recordings(dump, [path])[str(path)]
    theirs = [expected(10, "cycling", True), expected(20, "running", True), expected(30, "transition", False),
              expected(40, "other", True)]
    pairs = [(faults, []), (len(legs), len(theirs))]
    for leg, want in zip(legs, theirs):
        pairs += [((key, leg[key]), (key, value)) for key, value in want.items()]
    checks.same("tcx-whole", "a document with every element of an activity: what our reader takes", SCHEMA, PUBLISHED,
                pairs, TEST, "facts")
