"""A practice of the real exports that come with the file libraries' modules, for the figures to be computed anew."""

import subprocess
from pathlib import Path

from . import fit, gpx, ours

# Invented facts of invented clients, so that every figure can be drawn.
CLIENTS = """client_id,name,birth_year,sex,hr_limiting_medication
one,A,1980,male,no
two,B,1970,female,no
three,C,,,
"""
MEASUREMENTS = """client_id,date,quantity,value
one,2012-01-01,resting_hr_bpm,55
one,2012-01-01,body_mass_kg,80
one,2014-01-01,max_hr_bpm,185
two,2019-01-01,resting_hr_bpm,60
"""
FOLDERS = {"one": (fit.MODULES[0], "testdata"), "two": (fit.MODULES[1], "testdata"), "three": (gpx.MODULE, "test_files")}
AS_OF = "2024-06-30"

# Columns of sessions that are not compared, and why.
_SLOPES = "how a grade follows from altitude, and when walking becomes running, is the program's own"
EXCEPTIONS = {
    **{("one", session): (("hr_drift_pct",), _SLOPES)
       for session in ("20130206T1210Z", "20150815T1450Z", "20150829T0710Z", "20150829T1040Z", "20150829T1110Z-2")},
}


def practice(program, folder):
    """Lays the practice out in a folder and runs it."""
    root = Path(folder)
    subprocess.run([program, "init", root], check=True, capture_output=True)
    (root / "clients.csv").write_text(CLIENTS, encoding="utf-8")
    (root / "measurements.csv").write_text(MEASUREMENTS, encoding="utf-8")
    settings = root / "practice.toml"
    settings.write_text(settings.read_text(encoding="utf-8").replace("write_samples = false", "write_samples = true"),
                        encoding="utf-8")
    for client, (module, below) in FOLDERS.items():
        source = Path(ours.module_dir(module)) / below
        for path in filter(Path.is_file, source.rglob("*")):
            link = root / "inbox" / client / path.relative_to(source)
            link.parent.mkdir(parents=True, exist_ok=True)
            link.symlink_to(path)
    subprocess.run([program, "run", "--practice", root, "--as-of", AS_OF], check=True, capture_output=True)
    return root
