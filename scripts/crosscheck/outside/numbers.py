"""Statistics of generated columns against SciPy, NumPy and a change-point library."""

import re
from importlib.metadata import distribution
from pathlib import Path

import numpy
import ruptures
from scipy import optimize, stats

from . import falls
from .changepoints import RUPTURES
from .checks import OPEN_DATA, PUBLISHED, REFERENCE, library

SCIPY, NUMPY = library("SciPy"), library("NumPy")
TEST = "scripts/crosscheck numbers"

# How far a bout's boundary may lie from the split: two seconds are one block of the bout finder.
BOUNDARY_TOLERANCE_S = 2


def _complete(problem):
    """Both columns without the points that miss a value."""
    y = numpy.array(problem["y"], dtype=float)
    x = numpy.array(problem["x"] if problem["x"] else numpy.arange(len(y)), dtype=float)
    kept = ~numpy.isnan(x) & ~numpy.isnan(y)
    return x[kept], y[kept]


def line(problem):
    """Least squares: scipy.stats.linregress."""
    x, y = _complete(problem)
    fit = stats.linregress(x, y)
    return "linregress", {
        "intercept": fit.intercept, "slope": fit.slope,
        "intercept_stderr": fit.intercept_stderr, "slope_stderr": fit.stderr, "r2": fit.rvalue**2,
    }


def theilsen(problem):
    """Theil–Sen with Sen's interval: scipy.stats.theilslopes."""
    x, y = _complete(problem)
    fit = stats.theilslopes(y, x, 0.95)
    return "theilslopes", {
        "slope": fit.slope, "intercept": fit.intercept, "low": fit.low_slope, "high": fit.high_slope,
    }


def mannkendall(problem):
    """Mann–Kendall: the standard deviation of the score out of scipy.stats.kendalltau, with our continuity.

    kendalltau's p is of S over its standard deviation; ours takes one unit off S first.
    """
    _, y = _complete(problem)
    differences = numpy.sign(y[None, :] - y[:, None])
    s = numpy.triu(differences, 1).sum()
    p = stats.kendalltau(numpy.arange(len(y)), y, method="asymptotic").pvalue
    z = (s - numpy.sign(s)) / (abs(s) / stats.norm.isf(p / 2))
    return "kendalltau", {"s": s, "z": z, "p": 2 * stats.norm.sf(abs(z))}


def quantiles(problem):
    """Moments and quantiles: NumPy, default method."""
    _, y = _complete(problem)
    theirs = {f"q{p}": numpy.quantile(y, p / 100) for p in (0, 5, 25, 50, 75, 95, 100)}
    return NUMPY, theirs | {"mean": y.mean(), "sd": y.std(ddof=1)}


def _fitted(model, x, y, slopes=None):
    """Critical power and W′ by SciPy's optimiser, begun far from the answer.

    slopes are the model's derivatives where numerical ones would cost digits.
    """
    (cp, w), covariance = optimize.curve_fit(
        model, x, y, p0=(150, 10_000), jac=slopes, method="lm", xtol=1e-14, ftol=1e-14)
    errors = numpy.sqrt(numpy.diag(covariance))
    return "curve_fit", {"cp_w": cp, "w_prime_j": w, "cp_stderr": errors[0], "w_prime_stderr": errors[1]}


def work_time(problem):
    """Work on time."""
    seconds, watts = _complete(problem)
    return _fitted(lambda t, cp, w: cp * t + w, seconds, seconds * watts)


def inverse_time(problem):
    """Power on inverse time."""
    seconds, watts = _complete(problem)
    return _fitted(lambda t, cp, w: cp + w / t, seconds, watts)


def hyperbola(problem):
    """Time on power."""
    seconds, watts = _complete(problem)
    return _fitted(
        lambda p, cp, w: w / (p - cp), watts, seconds,
        slopes=lambda p, cp, w: numpy.column_stack([w / (p - cp) ** 2, 1 / (p - cp)]))


def decay(problem):
    """A mono-exponential fall, with the model's derivatives, begun far from the answer."""
    t, y = _complete(problem)
    found, errors = falls.fit(t, y)
    rest = y - falls.model(t, *found)
    return "curve_fit", {
        "level": found[0], "level_stderr": errors[0], "drop": found[1], "drop_stderr": errors[1],
        "tau_s": found[2], "tau_stderr": errors[2], "sd": numpy.sqrt((rest**2).sum() / (len(y) - 3)),
    }


# How far the figures of each kind may differ: closed forms to the limits of
# the arithmetic, iterations to what those leave.
KINDS = {
    "line": (line, 1e-10), "theilsen": (theilsen, 1e-12), "mannkendall": (mannkendall, 1e-9),
    "quantiles": (quantiles, 1e-12),
    "work_time": (work_time, 1e-7), "inverse_time": (inverse_time, 1e-7), "hyperbola": (hyperbola, 1e-7),
    "decay": (decay, 1e-7),
}


def compare(checks, problems):
    """Adds a check for every figure of every problem."""
    for problem in problems:
        name = problem["id"].replace(", ", "-").replace(" ", "-")
        if problem["kind"] == "bouts":
            _compare_bouts(checks, problem, name)
            continue
        reference, tolerance = KINDS[problem["kind"]]
        function, theirs = reference(problem)
        source = function if function == NUMPY else f"{SCIPY}, {function}"
        for figure, value in theirs.items():
            checks.near(f"{name}-{figure}", f"{problem['id']}: {figure}", source, REFERENCE,
                        problem["ours"].get(figure), value, tolerance, TEST)


def compare_nist(checks):
    """Adds NIST's own file of the Norris data: its certified values against what the Go tests found."""
    path = distribution("scipy").locate_file("scipy/stats/tests/data/nist_linregress/Norris.dat")
    text = Path(path).read_text(encoding="ascii")
    number = r"\s+(-?[\d.]+(?:E[-+]\d+)?)"
    certified = {}
    for id, label, parts in (("b0", "B0", 2), ("b1", "B1", 2), ("sd", "Standard Deviation", 1), ("r2", "R-Squared", 1)):
        found = re.search(re.escape(label) + number * parts + r"\s*$", text, re.MULTILINE)
        certified |= dict(zip((id, f"{id}-se"), found.groups()))
    ours = {c.id: c.ours for c in checks.done}
    for id, value in certified.items():
        checks.near(f"nist-norris-{id}-file", f"Norris, {id}, by NIST's file", f"NIST StRD, file in {SCIPY}", OPEN_DATA,
                    ours.get(f"nist-norris-{id}"), value, 1e-11, TEST)


def _compare_bouts(checks, problem, name):
    """Adds the number of bouts of a protocol, and all boundaries: the best split by squared error into as many stretches."""
    y = numpy.array(problem["y"], dtype=float).reshape(-1, 1)
    ours, rounds = problem.get("boundaries", []), problem["rounds"]
    checks.near(f"protocol-{name}", f"{problem['id']}, power: confirmed bouts", problem["source"], PUBLISHED,
                len(ours) / 2, rounds, 0, TEST, relative=False)
    theirs = ruptures.KernelCPD(kernel="linear", min_size=5).fit(y).predict(n_bkps=2 * rounds)[:-1]
    near = sum(abs(a - b) <= BOUNDARY_TOLERANCE_S for a, b in zip(ours, theirs))
    checks.counted(f"protocol-{name}-boundaries", f"{problem['id']}, power: boundaries within {BOUNDARY_TOLERANCE_S} s",
                   RUPTURES, REFERENCE, near, max(len(ours), len(theirs)), TEST, "boundaries")
