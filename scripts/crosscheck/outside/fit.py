"""FIT exports against two independent decoders, to the last digit."""

import json
import subprocess
from pathlib import Path

import fitdecode

from .checks import REFERENCE

MODULES = ("github.com/tormoder/fit", "github.com/muktihari/fit")
CHANNELS = ("time_ms", "heart_rate", "power", "speed", "altitude")


def files(module_dir):
    """The FIT files of both modules: path, and name without the cache's folder."""
    for module in MODULES:
        root = Path(module_dir(module))
        for path in sorted(root.glob("testdata/**/*.fit")):
            yield str(path), f"{module.split('/')[1]}/{path.relative_to(root / 'testdata')}"


def python_rows(path):
    """Rows of the Python decoder, as far as it can read, and its error."""
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
    """The compared values of one record."""

    def first(*names):
        for name in names:
            value = frame.get_value(name, fallback=None)
            if value is not None:
                return value
        return None

    time = first("timestamp")
    return [
        round(time.timestamp() * 1000) if hasattr(time, "timestamp") else None,
        first("heart_rate"),
        first("power"),
        first("enhanced_speed", "speed"),
        first("enhanced_altitude", "altitude"),
    ]


def javascript_rows(script, folder, paths):
    """Rows of the JavaScript decoder for every file, and its error."""
    out = subprocess.run(
        ["node", script, folder, *paths], check=True, capture_output=True, text=True
    ).stdout
    return {line["file"]: (line["rows"], line["error"]) for line in map(json.loads, out.splitlines())}
