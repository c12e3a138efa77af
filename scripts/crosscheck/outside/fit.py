"""FIT exports against two independent decoders, to the last digit."""

import hashlib
import json
import subprocess
from pathlib import Path

import fitdecode

from .checks import REFERENCE, library

MODULES = ("github.com/tormoder/fit", "github.com/muktihari/fit")
CHANNELS = ("time_ms", "heart_rate", "power", "speed", "altitude")
EPOCH_S = 631065600  # 1989-12-31T00:00:00Z, where FIT begins to count
TEST = "scripts/crosscheck fit"
PYTHON = library("fitdecode")
_PINNED = json.loads((Path(__file__).parent.parent / "package.json").read_text())["dependencies"]
JAVASCRIPT = f"fit-file-parser {_PINNED['fit-file-parser']}"

# What a decoder cannot be asked for: the channels of a file that are left out
# of the comparison, or the whole file (no channels), and why. An exception
# that is not needed fails.
_CUT = "the decoder refuses a file that is cut; we salvage it"
_BEATS = "we fill heart rate from the hr messages of a strap, which the decoder leaves apart"
_DERIVED = "the file carries no speed; ours is derived from distance"
EXCEPTIONS = {
    (JAVASCRIPT, "tormoder/chained/activity-settings-nodata.fit"): ((), _CUT),
    (JAVASCRIPT, "tormoder/corrupt/activity-unexpected-eof.fit"): ((), _CUT),
    (JAVASCRIPT, "tormoder/python-fitparse/compressed-speed-distance.fit"): (
        ("speed",), "the decoder does not expand compressed speed and distance"),
    **{(decoder, "muktihari/from_official_sdk/" + name): (channels, why)
       for decoder in (PYTHON, JAVASCRIPT)
       for name, channels, why in (
           ("HrmPluginTestActivity.fit", ("heart_rate",), _BEATS),
           ("activity_poolswim_with_hr.fit", ("heart_rate",), _BEATS),
           ("activity_multisport.fit", ("speed",), _DERIVED),
       )},
}


def files(module_dir):
    """The FIT files of both modules: path, and name without the cache's folder."""
    for module in MODULES:
        root = Path(module_dir(module))
        for path in sorted(root.glob("testdata/**/*.fit")):
            yield str(path), f"{module.split('/')[1]}/{path.relative_to(root / 'testdata')}"


def python_rows(path, kept=None):
    """Rows of the Python decoder, as far as it can read, and its error.

    It is slow: what it read stays in the folder, under a name that stands for
    the file, the decoder and this module.
    """
    if kept is None:
        return _decoded(path)
    digest = hashlib.sha256(PYTHON.encode() + Path(__file__).read_bytes() + Path(path).read_bytes()).hexdigest()
    cached = Path(kept) / f"{digest}.json"
    if not cached.exists():
        Path(kept).mkdir(parents=True, exist_ok=True)
        # A run that is cut short leaves no half of a file.
        part = cached.with_suffix(".part")
        part.write_text(json.dumps(_decoded(path)), encoding="utf-8")
        part.replace(cached)
    return json.loads(cached.read_text(encoding="utf-8"))


def _decoded(path):
    """What the Python decoder reads."""
    rows = []
    try:
        with fitdecode.FitReader(
            path,
            check_crc=fitdecode.CrcCheck.DISABLED,
            error_handling=fitdecode.ErrorHandling.IGNORE,
        ) as reader:
            for frame in reader:
                if frame.frame_type == fitdecode.FIT_FRAME_DATA and frame.name == "record":
                    rows.append(_row(frame))
    except fitdecode.FitError as error:
        return rows, str(error)
    return rows, ""


def _row(frame):
    """The compared values of one record.

    "Power" is the name that a running sensor gives its developer field.
    """

    def first(*names):
        for name in names:
            value = frame.get_value(name, fallback=None)
            if value is not None:
                return value
        return None

    return [
        _milliseconds(first("timestamp")),
        first("heart_rate"),
        first("power", "Power"),
        first("enhanced_speed", "speed"),
        first("enhanced_altitude", "altitude"),
    ]


def _milliseconds(time):
    """Unix milliseconds; the decoder leaves times of a clock never set as seconds since the epoch of FIT."""
    if time is None:
        return None
    return 1000 * (EPOCH_S + time) if isinstance(time, int) else round(time.timestamp() * 1000)


def javascript_rows(script, folder, paths):
    """Rows of the JavaScript decoder for every file, and its error."""
    out = subprocess.run(
        ["node", script, folder, *paths], check=True, capture_output=True, text=True
    ).stdout
    return {line["file"]: (line["rows"], line["error"]) for line in map(json.loads, out.splitlines())}


def our_rows(legs):
    """Rows of our legs one after the other, and why there are none."""
    rows = []
    for leg in legs:
        n = len(leg["time_ms"] or [])
        columns = [leg[channel] or [None] * n for channel in CHANNELS]
        rows += [list(values) for values in zip(*columns)] if n else []
    return rows, legs[0].get("error", "")


def compare(checks, legs_of, javascript, named, kept):
    """Adds a check for every file and decoder."""
    for decoder, read in ((PYTHON, lambda path: python_rows(path, kept)), (JAVASCRIPT, javascript.get)):
        refused = []
        for path, name in named:
            ours, error = our_rows(legs_of[path])
            theirs = [row for row in read(path)[0] if row[0] is not None]
            if error:
                refused.append((len(ours), len(theirs)))
                continue
            _compare_file(checks, decoder, name, ours, theirs)
        checks.same(f"fit-refused-{_slug(decoder)}", "FIT files that we refuse: timed records in them",
                    decoder, REFERENCE, refused, TEST, "files without any")


def _compare_file(checks, decoder, name, ours, theirs):
    """Adds the check of one file that we read."""
    channels, why = EXCEPTIONS.get((decoder, name), (None, ""))
    if channels is not None:
        checks.excepted.append((f"{name}, {', '.join(channels) or 'whole file'}, {decoder}", why))
        if _agree(ours, theirs, channels or CHANNELS):
            checks.failures.append(f"{name}: the exception for {decoder} is not needed")
    if channels == ():
        return
    compared = [c for c in CHANNELS if c not in (channels or ())]
    checks.same(
        f"fit-{name}-{_slug(decoder)}", f"{name}: {', '.join(compared)}", decoder, REFERENCE,
        _pairs(ours, theirs, compared), TEST)


def _agree(ours, theirs, channels):
    return all(a == b for a, b in _pairs(ours, theirs, channels))


def _pairs(ours, theirs, channels):
    """Pairs of values that either side has, with the records' numbers first."""
    yield len(ours), len(theirs)
    for a, b in zip(ours, theirs):
        for i, channel in enumerate(CHANNELS):
            if channel in channels and (a[i] is not None or b[i] is not None):
                yield a[i], b[i]


def _slug(decoder):
    return decoder.split()[0]
