"""The time constant of heart rate's fall after a bout, by SciPy's optimiser."""

import math
import warnings

import numpy
from scipy import optimize

ONSET_S = 30  # heart rate may still rise for so long
SHORTEST_S, VALID, LEAST_TAU_S, LEAST_DROP_BPM, LARGEST_ERROR = 150, 0.8, 5, 10, 0.2


def model(t, level, drop, tau):
    """A mono-exponential fall."""
    return level + drop * numpy.exp(-t / tau)


def slopes(t, level, drop, tau):
    """Its derivatives."""
    u = numpy.exp(-t / tau)
    return numpy.column_stack([numpy.ones_like(t), u, drop * t / tau**2 * u])


def fit(t, y, begun=30):
    """Level, drop and time constant, and their standard errors."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", optimize.OptimizeWarning)
        found, covariance = optimize.curve_fit(
            model, t, y, p0=(y[-1], y[0] - y[-1], begun), jac=slopes, method="lm", xtol=1e-14, ftol=1e-14)
    return found, numpy.sqrt(numpy.diag(covariance))


def time_constant(hr, end, until):
    """The time constant from the last of the highest values in the first half minute on; NaN where it cannot be told."""
    first, last = math.floor(end + 0.5), math.floor(min(end + ONSET_S, until) + 0.5)
    onset = hr[first:last]
    if len(onset) and not numpy.isnan(onset).all():
        first += numpy.flatnonzero(onset == numpy.nanmax(onset))[-1]
    y = hr[first:math.floor(until + 0.5)]
    t = numpy.arange(len(y), dtype=float)
    valid = ~numpy.isnan(y)
    if len(y) < SHORTEST_S or valid.sum() < VALID * len(y):
        return math.nan
    try:
        (_, drop, tau), (_, _, error) = fit(t[valid], y[valid])
    except RuntimeError:  # no convergence
        return math.nan
    fallen = drop * -math.expm1(-len(y) / tau) if tau > 0 else 0
    told = LEAST_TAU_S < tau < len(y) and fallen >= LEAST_DROP_BPM and error <= LARGEST_ERROR * tau
    return tau if told else math.nan
