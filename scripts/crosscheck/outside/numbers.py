"""Statistics of generated columns against SciPy, NumPy and a change-point library."""

import numpy
import ruptures
from scipy import optimize, stats

from .checks import REFERENCE, library

SCIPY, NUMPY, RUPTURES = library("SciPy"), library("NumPy"), library("ruptures")
TEST = "scripts/crosscheck numbers"

# Boundaries of bouts: two seconds are one block of the bout finder.
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


# How far the figures of each kind may differ: closed forms to the limits of
# the arithmetic, iterations to what those leave.
KINDS = {
    "line": (line, 1e-10), "theilsen": (theilsen, 1e-12), "mannkendall": (mannkendall, 1e-9),
    "quantiles": (quantiles, 1e-12),
    "work_time": (work_time, 1e-7), "inverse_time": (inverse_time, 1e-7), "hyperbola": (hyperbola, 1e-7),
}


def compare(checks, problems):
    """Adds a check for every figure of every problem."""
    for problem in problems:
        name = problem["id"].replace(" ", "-")
        if problem["kind"] == "bouts":
            _compare_bouts(checks, problem, name)
            continue
        reference, tolerance = KINDS[problem["kind"]]
        function, theirs = reference(problem)
        source = function if function == NUMPY else f"{SCIPY}, {function}"
        for figure, value in theirs.items():
            checks.near(f"{name}-{figure}", f"{problem['id']}: {figure}", source, REFERENCE,
                        problem["ours"].get(figure), value, tolerance, TEST)


def _compare_bouts(checks, problem, name):
    """Adds a check for every boundary: the best split by squared error into as many stretches."""
    y = numpy.array(problem["y"], dtype=float).reshape(-1, 1)
    ours = problem.get("boundaries", [])
    rounds = int(problem["id"].split()[0])
    theirs = ruptures.KernelCPD(kernel="linear", min_size=10).fit(y).predict(n_bkps=2 * rounds)[:-1]
    checks.near(f"{name}-boundaries", f"{problem['id']} of 4 min, power: boundaries", RUPTURES, REFERENCE,
                len(ours), len(theirs), 0, TEST, relative=False)
    for i, (a, b) in enumerate(zip(ours, theirs)):
        edge = f"{'end' if i % 2 else 'start'} of bout {i // 2 + 1}"
        checks.near(f"{name}-{i:02}", f"{problem['id']} of 4 min, power: {edge}, s", RUPTURES, REFERENCE,
                    a, b, BOUNDARY_TOLERANCE_S, TEST, relative=False)


# The annual flow of the Nile at Aswan, 1871 to 1970, in 10⁸ m³ (Cobb,
# Biometrika 1978;65:243-251, table 1). The sum is 91,935.
NILE = [
    1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020,
    960, 1180, 799, 958, 1140, 1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840,
    874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969, 831, 726, 456, 824, 702,
    1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040, 759,
    781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801,
    1040, 860, 874, 848, 890, 744, 749, 838, 1050, 918, 986, 797, 923, 975, 815,
    1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
]
NILE_ID = "nile-break"  # the check of metrics/bouts whose figure is compared


def compare_nile(checks):
    """Adds the break of the Nile: what metrics/bouts found, against both searches of the library.

    The split is not exported, so our figure is the one that its test recorded:
    the number of years before the break, or the first or last year itself.
    """
    recorded = [c for c in checks.done if c.id == NILE_ID]
    if not recorded:
        checks.excepted.append(("Nile, break, against ruptures", f"no test records the check {NILE_ID}"))
        return
    ours = float(recorded[0].ours)
    y = numpy.array(NILE, dtype=float).reshape(-1, 1)
    # The penalty is two logarithms of n times the variance within the parts.
    penalty = 2 * numpy.log(len(y)) * numpy.var(y[28:])
    searches = {
        "Dynp": ruptures.Dynp(model="l2", jump=1).fit(y).predict(n_bkps=1),
        "Pelt": ruptures.Pelt(model="l2", jump=1, min_size=2).fit(y).predict(pen=penalty),
    }
    offset = 0 if ours < 1000 else 1870
    for search, breaks in searches.items():
        theirs = offset + breaks[0] if len(breaks) == 2 else numpy.nan
        checks.near(f"nile-break-{search.lower()}", recorded[0].what, f"{RUPTURES}, {search}", REFERENCE,
                    ours, theirs, 0, recorded[0].test, relative=False)
