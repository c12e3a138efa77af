"""Change points: the bout finder's segmenter against a change-point library.

The segmenter is not exported. Its tests record where the segments end, and
what they recorded is compared here: "partition NAME PENALTY" in a check's id
names a series below and the penalty a segment.
"""

import csv
import re
from importlib.metadata import distribution

import numpy
import ruptures

from .checks import OPEN_DATA, REFERENCE, library

RUPTURES = library("ruptures")
TEST = "scripts/crosscheck numbers"

DATA = library("statsmodels")


def nile():
    """The annual flow of the Nile at Aswan, 1871 to 1970, in 10⁸ m³ (Cobb, Biometrika 1978;65:243-251, table 1)."""
    path = distribution("statsmodels").locate_file("statsmodels/datasets/nile/nile.csv")
    with open(path, newline="", encoding="utf-8") as file:
        return [float(row["volume"]) for row in csv.DictReader(file)]


NILE = nile()
NILE_ID = "nile-break"  # the check of metrics/bouts whose figure is compared
PARTITION_ID = re.compile(r"^partition (\S+) (\S+) end (\d+)$")


def noisy(level, seed, n=240):
    """A series of whole numbers, the same in any language: level and noise from −10 to 10."""
    values = []
    for i in range(n):
        seed = (1103515245 * seed + 12345) % 2**31
        values.append(level(i) + (seed >> 16) % 21 - 10)
    return values


SERIES = {
    "nile": NILE,
    "levels": noisy(lambda i: (100, 160, 95, 170, 105, 140)[i // 40], 1),
    "bursts": noisy(lambda i: 150 if i // 15 % 2 else 90, 2),
    "ramp": noisy(lambda i: i // 2, 3),
    "noise": noisy(lambda i: 120, 4),
}


def search(series, penalty):
    """Where the library's exact search ends the segments."""
    values = numpy.array(series, dtype=float).reshape(-1, 1)
    return ruptures.Pelt(model="l2", jump=1, min_size=1).fit(values).predict(pen=penalty)


def compare(checks):
    """Adds the break of the Nile and every recorded partition."""
    recorded = {c.id: c.ours for c in checks.done}
    for id, figure, value in (("nile-mean", "mean", numpy.mean(NILE)),
                              ("nile-sd", "standard deviation", numpy.std(NILE, ddof=1))):
        checks.near(f"{id}-data", f"Nile, {figure} of the data as a library has them, 10⁸ m³", DATA, OPEN_DATA,
                    recorded.get(id), value, 1e-12, TEST)
    _compare_nile(checks)
    recorded = {}
    for check in list(checks.done):
        if found := PARTITION_ID.match(check.id):
            recorded.setdefault((found[1], float(found[2])), []).append(check)
    if not recorded:
        checks.excepted.append(("segments of generated series, against ruptures", "no test records a partition"))
    for (series, penalty), ends in sorted(recorded.items()):
        ours = [round(float(c.ours)) for c in ends]
        checks.same(f"partition-{series}-{penalty:g}", f"{series}, squared error and {penalty:g} a segment: segments end",
                    f"{RUPTURES}, Pelt", REFERENCE, [(ours, search(SERIES[series], penalty))], ends[0].test,
                    "partitions")


def _compare_nile(checks):
    """Adds the break of the Nile: what metrics/bouts found, against both searches of the library.

    The recorded figure is the number of years before the break, or the first
    or last year itself.
    """
    recorded = [c for c in checks.done if c.id == NILE_ID]
    if not recorded:
        checks.excepted.append(("Nile, break, against ruptures", f"no test records the check {NILE_ID}"))
        return
    ours = float(recorded[0].ours)
    # The penalty is two logarithms of n times the variance within the parts.
    penalty = 2 * numpy.log(len(NILE)) * numpy.var(NILE[28:])
    values = numpy.array(NILE, dtype=float).reshape(-1, 1)
    searches = {
        "Dynp": ruptures.Dynp(model="l2", jump=1).fit(values).predict(n_bkps=1),
        "Pelt": search(NILE, penalty),
    }
    offset = 0 if ours < 1000 else 1870
    for name, breaks in searches.items():
        theirs = offset + breaks[0] if len(breaks) == 2 else numpy.nan
        checks.near(f"nile-break-{name.lower()}", recorded[0].what, f"{RUPTURES}, {name}", REFERENCE,
                    ours, theirs, 0, recorded[0].test, relative=False)
