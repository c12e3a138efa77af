"""The samples table against the exports themselves, read by general decoders and laid on a 1 Hz grid anew."""

import math
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import numpy
import pyarrow.dataset

from . import fit, tcx
from .checks import REFERENCE, library

TEST = "scripts/crosscheck trace"
BRIDGE_S = 10  # the longest gap that a straight line closes
EXPORTS = 2  # of each client and format
COLUMNS = {"heart_rate": ("heart_rate_bpm", 1), "power": ("power_w", 1), "speed": ("speed_m_s", 1000)}
READERS = {"fit": f"{fit.PYTHON} and {library('NumPy')}", "tcx": f"{tcx.READER} and {library('NumPy')}"}


def fit_rows(path, kept):
    """Milliseconds, heart rate, power and speed of a FIT export's records."""
    return [row[:4] for row in fit.python_rows(path, kept)[0] if row[0] is not None]


def tcx_rows(path, _):
    """The same of a TCX export's track points."""
    values = list(tcx.their_values(ElementTree.parse(path).getroot()))
    return [values[i:i + 4] for i in range(0, len(values), 6)]


def on_grid(rows, column):
    """A channel on whole seconds from the first sample: measured, bridged over at most 10 s, or missing."""
    start = rows[0][0] // 1000
    grid = numpy.full(rows[-1][0] // 1000 - start + 1, math.nan)
    known = [(row[0] // 1000 - start, float(row[column])) for row in rows if row[column] is not None]
    for (a, x), (b, y) in zip(known, known[1:] + known[-1:]):
        grid[a] = x
        if 1 < b - a <= BRIDGE_S:
            grid[a:b] = x + (y - x) * numpy.arange(b - a) / (b - a)
    return grid


def _pair(ours, theirs, steps):
    """Two values, equal within half of the step that a channel is kept in: bridged values are rounded to it."""
    if math.isnan(ours) or math.isnan(theirs):
        return math.isnan(ours), math.isnan(theirs)
    return ours, ours if abs(ours - theirs) * steps <= 0.5 + 1e-6 else theirs


def whole_exports(tables):
    """Exports that alone make a session from which nothing was taken away, a few of each client and format."""
    files = pyarrow.dataset.dataset(tables / "files", format="parquet").to_table().to_pylist()
    sessions = pyarrow.dataset.dataset(tables / "sessions", format="parquet").to_table().to_pylist()
    bridged = {(s["client_id"], s["session_id"]): s["bridged_s"] for s in sessions
               if not s["dropped_samples"] + s["hr_repaired_samples"] + s["power_repaired_samples"]}
    shared = [(f["client_id"], f["session_id"]) for f in files]
    taken = {}
    for f in sorted(files, key=lambda f: f["path"]):
        key = f["client_id"], f["session_id"]
        alone = f["status"] == "read" and shared.count(key) == 1 and key in bridged
        if alone and f["path"].endswith(tuple(READERS)):
            taken.setdefault((f["format"], f["client_id"]), []).append((-bridged[key], f["path"], key))
    # Those with the most bridged seconds: the others are plain.
    return {kind: [export[1:] for (format, _), exports in sorted(taken.items()) if format == kind
                   for export in sorted(exports)[:EXPORTS]] for kind in READERS}


def compare(checks, practice, kept):
    """Adds a check of every channel and format."""
    tables = Path(practice) / "out" / "parquet"
    samples = pyarrow.dataset.dataset(tables / "samples", format="parquet").to_table().to_pandas()
    seconds = dict(list(samples.sort_values("offset_s").groupby(["client_id", "session_id"])))
    for kind, exports in whole_exports(tables).items():
        read = {"fit": fit_rows, "tcx": tcx_rows}[kind]
        for i, (channel, (column, steps)) in enumerate(COLUMNS.items()):
            pairs = []
            for path, key in exports:
                ours = seconds[key][column].to_numpy(float)
                theirs = on_grid(read(str(Path(practice) / "inbox" / path), kept), i + 1)
                if numpy.isnan(theirs).all():
                    continue
                pairs.append((len(ours), len(theirs)))
                pairs += [_pair(a, b, steps) for a, b in zip(ours.tolist(), theirs.tolist())]
            if pairs:
                checks.same(f"trace-{kind}-{channel}", f"samples: {column} of {len(exports)} {kind.upper()} exports",
                            READERS[kind], REFERENCE, pairs, TEST)
