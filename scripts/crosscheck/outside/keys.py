"""How the tables hang together: keys, references, days, and the exports' fingerprints."""

import gzip
import hashlib
import tomllib
import zipfile
from collections import Counter
from pathlib import Path
from zoneinfo import ZoneInfo

import pyarrow.dataset

from .checks import REFERENCE, library

TEST = "scripts/crosscheck keys"
PYARROW = library("pyarrow")

# What names a row, and where its session must be found.
KEYS = {
    "files": ("path", "leg"), "sessions": ("client_id", "session_id"), "bouts": ("client_id", "session_id", "bout"),
    "band_time": ("client_id", "session_id", "signal", "band"), "weeks": ("client_id", "iso_week"),
    "progress": ("client_id", "as_of"), "capacity": ("client_id", "as_of", "quantity"),
    "samples": ("client_id", "session_id", "offset_s"),
}


def decoded(inbox, path):
    """An export's bytes: a file, what a compressed one holds, or a member of an archive."""
    parts = Path(path).parts
    for i in range(len(parts), 0, -1):
        file = Path(inbox).joinpath(*parts[:i])
        if file.is_file():
            break
    data = file.read_bytes()
    if i < len(parts):
        with zipfile.ZipFile(file) as archive:
            data = archive.read("/".join(parts[i:]))
    return gzip.decompress(data) if data[:2] == b"\x1f\x8b" else data


def compare(checks, practice):
    """Adds the checks of a practice whose devices knew no other time zone than its own."""
    settings = tomllib.loads((Path(practice) / "practice.toml").read_text(encoding="utf-8"))
    zone = ZoneInfo(settings["time_zone"])
    folder = Path(practice) / "out" / "parquet"
    tables = {name: pyarrow.dataset.dataset(folder / name, format="parquet").to_table() for name in KEYS}
    rows = {name: table.select(KEYS[name]).to_pylist() for name, table in tables.items()}
    for name, keys in KEYS.items():
        count = Counter(tuple(row.values()) for row in rows[name])
        checks.counted(f"keys-{name}", f"{name}: rows named by {', '.join(keys)}, each once", PYARROW, REFERENCE,
                       len(count), tables[name].num_rows, TEST, "rows")
    sessions = {tuple(row.values()) for row in rows["sessions"]}
    for name in ("files", "bouts", "band_time", "samples", "findings"):
        table = pyarrow.dataset.dataset(folder / name, format="parquet").to_table(columns=["client_id", "session_id"])
        named = {tuple(row.values()) for row in table.to_pylist() if row["session_id"] is not None}
        checks.counted(f"keys-{name}-sessions", f"{name}: sessions that are in the sessions table", PYARROW, REFERENCE,
                       len(named & sessions), len(named), TEST, "sessions")
    days = tables["sessions"].select(["started_utc", "local_date"]).to_pylist()
    checks.same("keys-local_date", "sessions: local_date is the day of started_utc in the practice's zone",
                "Python's zoneinfo", REFERENCE,
                [(row["local_date"], row["started_utc"].astimezone(zone).date()) for row in days], TEST, "days")
    _compare_fingerprints(checks, Path(practice) / "inbox", tables["files"].to_pylist())


def _compare_fingerprints(checks, inbox, files):
    """Adds the check that a fingerprint is that of the export's own bytes."""
    told = [f for f in files if f["sha256"] is not None]
    checks.same("keys-sha256", "files: sha256 of the export's decoded bytes", "Python's hashlib, gzip, zipfile", REFERENCE,
                [((f["path"], f["sha256"]), (f["path"], hashlib.sha256(decoded(inbox, f["path"])).hexdigest()))
                 for f in told], TEST, "exports")
