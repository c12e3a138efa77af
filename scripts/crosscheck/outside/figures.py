"""The figures of bouts, sessions and weeks, computed anew from the samples table.

Written from the definitions alone, with NumPy, apart from the program's code:
each function names the column that it gives and how it is defined.
"""

import copy
import datetime
import itertools
import math
from pathlib import Path

import numpy
import pyarrow.dataset

from . import falls
from .checks import library
from .facts import Facts

TEST = "scripts/crosscheck figures"
SOURCE = f"definition, computed with {library('NumPy')}"

KEYS = ("client_id", "session_id", "time_utc", "offset_s")  # the other columns of samples are channels
CHANNELS = {"heart_rate": "heart_rate_bpm", "power": "power_w", "speed": "speed_m_s"}
BANISTER = {"male": (0.64, 1.92), "female": (0.86, 1.67)}
# Of walking and running: ACSM's factors of speed and of speed times grade
# (Bushman 2020), and the polynomial of the cost of gradient (Minetti et al.
# 2002, from memory).
ON_FOOT = {
    "walking": (0.1, 1.8, (280.5, -58.7, -76.8, 51.9, 19.6, 2.5)),
    "running": (0.2, 0.9, (155.4, -30.4, -43.3, 46.3, 19.5, 3.6)),
}
LAST_RECOVERY_S = 180
WARM_UP_S = 600
HALF_MS = 0.0006  # boundaries are kept to the millisecond
NAN = math.nan


def whole(second):
    """The nearest whole second, halves up."""
    return math.floor(second + 0.5)


def monday(day):
    """The Monday of a day's week."""
    return day - datetime.timedelta(days=day.weekday())


def mean(values):
    """Mean of what was measured; NaN where nothing was."""
    valid = values[~numpy.isnan(values)]
    return valid.mean() if len(valid) else NAN


def mean_of_half(values):
    """Mean of values of which at least half were measured; NaN otherwise: a few seconds stand for themselves only."""
    return mean(values) if 2 * numpy.count_nonzero(~numpy.isnan(values)) >= len(values) else NAN


def percent(part, base):
    """part over base in percent; NaN without a base above zero."""
    return 100 * part / base if base > 0 else NAN


class Session:
    """One session's row and its seconds."""

    def __init__(self, row, samples, facts):
        self.row, self.facts = row, facts
        self.client, self.day = row["client_id"], row["local_date"]
        self.columns = {name: samples[name].to_numpy(float) for name in samples if name not in KEYS}
        self.n = len(samples)
        self.hr = self.columns["heart_rate_bpm"]
        self.derived = False  # whether a grade of our own making is in the output
        self.output = self._output()
        self.bouts = []

    def _output(self):
        """The output that bouts were looked for in; missing throughout for heart rate, which is none."""
        signal = self.row["output_signal"]
        if signal in ("power", "speed"):
            return self.columns[CHANNELS[signal]]
        if signal != "oxygen_cost":
            return numpy.full(self.n, NAN)
        metres, slope = 60 * self.columns["speed_m_s"], self._grade() / 100
        # On foot in a sport without a name: walking.
        flat, climb, polynomial = ON_FOOT.get(self.row["sport"], ON_FOOT["walking"])
        # The equations hold on the level and uphill; downhill the work of going
        # on is cheaper by the cost of the gradient.
        downhill = flat * metres * numpy.polyval(polynomial, slope) / polynomial[-1]
        return 3.5 + numpy.where(slope < 0, downhill, flat * metres + climb * metres * slope)

    def _grade(self):
        """Grade in percent; where it was not measured, altitude between 30 m back and 30 m ahead."""
        grade, along, altitude = (self.columns[c] for c in ("grade_pct", "distance_m", "altitude_m"))
        if not numpy.isnan(grade).all():
            return grade
        self.derived = True
        known = ~numpy.isnan(along) & ~numpy.isnan(altitude)
        at, first = numpy.unique(along[known], return_index=True)
        height = altitude[known][first]
        back, ahead = numpy.maximum(along - 30, at[0]), numpy.minimum(along + 30, at[-1])
        rise = numpy.interp(ahead, at, height) - numpy.interp(back, at, height)
        return 100 * rise / (ahead - back)

    def place(self, instant):
        """Seconds from the session's first sample."""
        return (instant - self.row["started_utc"]).total_seconds()

    def readings(self):
        """The session as it stands, then with the other readings of boundaries that lie at half a second."""
        yield self
        doubtful = [b for b in self.bouts if any(abs(x % 1 - 0.5) < HALF_MS for x in (b.start, b.end))]
        for chosen in itertools.product(*(list(b.readings())[1::3] for b in doubtful)) if doubtful else ():
            other = copy.copy(self)
            swap = dict(zip(map(id, doubtful), chosen))
            other.bouts = [swap.get(id(b), b) for b in self.bouts]
            yield other

    def valid(self, signal):
        """Seconds with a value."""
        return numpy.count_nonzero(~numpy.isnan(self.columns[CHANNELS[signal]]))

    def recorded(self):
        """The seconds in which anything was measured."""
        return ~numpy.all([numpy.isnan(c) for c in self.columns.values()], axis=0)

    def max_hr(self):
        return self.facts.max_hr(self.client, self.day)[0]

    # Figures of the session.

    def duration_s(self):
        """First sample to last."""
        return self.n - 1

    def mean_hr_bpm(self):
        return mean(self.hr)

    def max_hr_bpm(self):
        return numpy.nanmax(self.hr) if not numpy.isnan(self.hr).all() else NAN

    def mean_power_w(self):
        return mean(self.columns["power_w"])

    def mean_speed_m_s(self):
        return mean(self.columns["speed_m_s"])

    def confirmed(self):
        return [b for b in self.bouts if b.row["confidence"] == "confirmed"]

    def bouts_found(self):
        return len(self.confirmed())

    def work_s(self):
        return sum(b.end - b.start for b in self.confirmed())

    def warmup_s(self):
        """Start to the first bout."""
        return self.confirmed()[0].start if self.confirmed() else NAN

    def cooldown_s(self):
        """End of the recovery after the last bout, three minutes at most, to the end."""
        if not self.confirmed():
            return NAN
        return max(0, self.n - self.confirmed()[-1].end - LAST_RECOVERY_S)

    def recorded_s(self):
        return numpy.count_nonzero(self.recorded())

    def silent_s(self):
        """At most the gaps of 11 to 60 s between samples: the pauses that an export tells are not in the table."""
        edges = numpy.flatnonzero(numpy.diff(numpy.concatenate(([1], self.recorded(), [1]))))
        gaps = edges[1::2] - edges[::2]
        return min(self.row["silent_s"], gaps[gaps < 60].sum())

    def trained_s(self):
        """Recorded, and not written though no pause is told."""
        return self.recorded_s() + self.silent_s()

    def distance_m(self):
        """First distance to last."""
        valid = self.columns["distance_m"][~numpy.isnan(self.columns["distance_m"])]
        return valid[-1] - valid[0] if len(valid) else NAN

    def _coverage(self, channel):
        return percent(numpy.count_nonzero(~numpy.isnan(self.columns[channel])), self.recorded_s())

    def hr_coverage_pct(self):
        return self._coverage("heart_rate_bpm")

    def power_coverage_pct(self):
        return self._coverage("power_w")

    def speed_coverage_pct(self):
        return self._coverage("speed_m_s")

    def hr_equals_cadence_pct(self):
        """Of the seconds in motion, those in which heart rate is the cadence or twice it, to 2 beats, since it follows it."""
        on_foot = self.row["sport"] in ("running", "walking", "elliptical")
        # Of a sport without a name the program tells by the speed whether there are steps.
        if not on_foot and (self.row["sport"] != "other" or self.row["hr_equals_cadence_pct"] is None):
            return NAN
        cadence = self.columns["cadence_per_min"]
        both = ~numpy.isnan(self.hr) & (cadence > 0)
        if both.sum() < 60:
            return NAN
        beats, strides = self.hr[both], cadence[both]

        def within(beats, strides, limit):
            return (abs(beats - strides) <= limit) | (abs(beats - 2 * strides) <= limit)

        # Counted only where it follows: Cohen's kappa among the seconds within 10 beats.
        equal, near = within(beats, strides, 2), within(beats, strides, 10)
        values, times = numpy.unique(beats[near], return_counts=True)
        others, as_often = numpy.unique(strides[near], return_counts=True)
        pairs = times[:, None] * as_often * within(values[:, None], others, 2)
        chance = pairs.sum() / near.sum() ** 2 if near.any() else 1
        follows = chance < 1 and (equal.sum() / near.sum() - chance) / (1 - chance) >= 0.4
        return percent(equal.sum(), both.sum()) if follows else 0.0

    def trusted(self):
        """Whether the heart rate may carry a verdict: not absent for a fifth of the time, broken or counting steps."""
        repaired = percent(self.row["hr_repaired_samples"], self.row["hr_samples"])
        return self.hr_coverage_pct() >= 80 and not self.hr_equals_cadence_pct() >= 50 and not repaired > 5

    def counts(self):
        """Whether it fills a week: not started by mistake, on a device whose clock was set."""
        return self.trained_s() >= 60 and 2000 <= self.day.year <= 2099

    def between_bout_cv_pct(self):
        """Sample standard deviation over mean of the bouts' mean outputs."""
        means = [mean(b.work()) for b in self.confirmed()]
        return percent(numpy.std(means, ddof=1), numpy.mean(means)) if len(means) > 1 else NAN

    def last_to_first_bout_pct(self):
        means = [mean(b.work()) for b in self.confirmed()]
        return percent(means[-1], means[0]) if len(means) > 1 else NAN

    def hr_drift_pct(self):
        """Heart rate per output, second half over first, without the first 10 minutes, less one.

        Base sessions only; of one with bursts the part before the first burst.
        """
        if self.row["kind"] not in ("base", "base_with_bursts"):
            return NAN
        end = self.confirmed()[0].start if self.confirmed() else self.n
        middle = (WARM_UP_S + end) / 2
        ratios = []
        for low, high in ((WARM_UP_S, middle), (middle, end)):
            part = slice(whole(low), max(whole(low), whole(high)))
            both = ~numpy.isnan(self.hr[part]) & ~numpy.isnan(self.output[part])
            # Each half must be measured for five minutes and for half of its length.
            if both.sum() < max(300, len(both) / 2):
                return NAN
            ratios.append(self.hr[part][both].mean() / self.output[part][both].mean())
        return 100 * (ratios[1] / ratios[0] - 1)

    def training_impulse(self):
        """Banister's exponential form, summed over the seconds."""
        constants = BANISTER.get(self.facts.clients[self.client]["sex"])
        rest, highest = self.facts.measured(self.client, "resting_hr_bpm", self.day), self.max_hr()
        valid = self.hr[~numpy.isnan(self.hr)]
        if not constants or rest is None or highest is None or not len(valid):
            return NAN
        reserve = numpy.maximum(0, (valid - rest) / (highest - rest))
        return (reserve * constants[0] * numpy.exp(constants[1] * reserve)).sum() / 60


class Bout:
    """One bout's row in its session: start, end and the next bout's start, None after the last, in seconds."""

    def __init__(self, row, session, start, end, following):
        self.row, self.session = row, session
        self.start, self.end, self.following = start, end, following
        self.low, self.high = whole(start), whole(end)

    def readings(self):
        """The bout as it stands, then with its boundaries moved within the millisecond that the table keeps.

        Half a second decides to which whole second a boundary belongs.
        """
        yield self
        shifts = (0, -HALF_MS, HALF_MS)
        for a, b, c in itertools.product(shifts, repeat=3):
            following = None if self.following is None else self.following + c
            yield Bout(self.row, self.session, self.start + a, self.end + b, following)

    def work(self):
        """The output within the bout."""
        return self.session.output[self.low:self.high]

    def blocks(self):
        """Consecutive 10 s means, 5 s left out at either end; a shorter rest is dropped."""
        inner = self.session.output[self.low + 5:max(self.low + 5, self.high - 5)]
        return numpy.array([mean_of_half(inner[i:i + 10]) for i in range(0, len(inner) - 9, 10)])

    def steadiness_cv_pct(self):
        blocks = self.blocks()
        blocks = blocks[~numpy.isnan(blocks)]
        return percent(blocks.std(ddof=1), blocks.mean()) if len(blocks) > 1 else NAN

    def drift_pct_per_min(self):
        """Median of the slopes of all pairs of blocks."""
        blocks = self.blocks()
        slopes = [(blocks[j] - blocks[i]) / ((j - i) / 6)
                  for j in range(len(blocks)) for i in range(j) if not math.isnan(blocks[i] + blocks[j])]
        return percent(numpy.median(slopes), mean(self.work())) if slopes else NAN

    def hr_recovery_tau_s(self):
        return falls.time_constant(self.session.hr, self.end, self.recovery_end())

    def _quarter(self, number):
        length = (self.end - self.start) / 4
        part = slice(whole(self.start + (number - 1) * length), whole(self.start + number * length))
        return percent(mean_of_half(self.session.output[part]), mean(self.work()))

    def quarter1_pct(self):
        return self._quarter(1)

    def quarter2_pct(self):
        return self._quarter(2)

    def quarter3_pct(self):
        return self._quarter(3)

    def quarter4_pct(self):
        return self._quarter(4)

    def mean_power_w(self):
        return mean(self.session.columns["power_w"][self.low:self.high])

    def mean_speed_m_s(self):
        return mean(self.session.columns["speed_m_s"][self.low:self.high])

    def mean_oxygen_cost_ml_kg_min(self):
        """Mean of the signal, or on a bicycle with a power meter 7 + 1.8 W/M, W in kg·m/min."""
        if self.row["signal"] == "oxygen_cost":
            return mean(self.work())
        mass = self.session.facts.measured(self.session.client, "body_mass_kg", self.session.day)
        if self.row["signal"] != "power" or self.session.row["sport"] != "cycling" or mass is None:
            return NAN
        return 7 + 1.8 * self.mean_power_w() * 60 / 9.80665 / mass

    def mean_hr_bpm(self):
        return mean(self.session.hr[self.low:self.high])

    def peak_hr_bpm(self):
        within = self.session.hr[self.low:self.high]
        return numpy.nanmax(within) if not numpy.isnan(within).all() else NAN

    def hr_at_three_quarters_bpm(self):
        """Mean over the 10 s centred on three quarters of the bout."""
        first = whole(self.start + 0.75 * (self.end - self.start) - 5)
        return mean_of_half(self.session.hr[first:first + 10])

    def near_max_hr_s(self):
        """Seconds at or above 90 % of maximal heart rate."""
        highest = self.session.max_hr()
        within = self.session.hr[self.low:self.high]
        if highest is None or numpy.isnan(within).all():
            return NAN
        return numpy.count_nonzero(within >= 90 * highest / 100)

    def recovery_end(self):
        """The next bout's start, or three minutes at most and no longer than the session."""
        if self.following is not None:
            return self.following
        return max(self.end, min(self.end + LAST_RECOVERY_S, self.session.n))

    def recovery_s(self):
        return self.recovery_end() - self.end

    def recovery_output_pct(self):
        """Mean output over the bout's mean; stopped time is no output."""
        part = slice(self.high, max(self.high, whole(self.recovery_end())))
        after = numpy.where(self.session.recorded(), self.session.output, 0.0)[part]
        return percent(mean(after), mean(self.work()))

    def work_to_recovery(self):
        if self.following is None or self.following <= self.end:
            return NAN
        return (self.end - self.start) / (self.following - self.end)

    def hr_recovery_60s_bpm(self):
        """Heart rate at the end less heart rate 60 s later, on the line between two seconds."""
        def at(instant):
            i, part = math.floor(instant), instant - math.floor(instant)
            if i >= self.session.n or (part and i + 1 >= self.session.n):
                return NAN
            return self.session.hr[i] if not part else (1 - part) * self.session.hr[i] + part * self.session.hr[i + 1]
        return at(self.end) - at(self.end + 60)


def load(practice):
    """All sessions with their bouts."""
    tables = Path(practice) / "out" / "parquet"
    facts = Facts(practice)
    rows = {name: pyarrow.dataset.dataset(tables / name, format="parquet").to_table().to_pylist()
            for name in ("sessions", "bouts", "band_time", "weeks", "answers")}
    samples = pyarrow.dataset.dataset(tables / "samples", format="parquet").to_table().to_pandas()
    seconds = dict(list(samples.sort_values("offset_s").groupby(["client_id", "session_id"])))
    sessions = {key: Session(row, seconds[key], facts)
                for row in rows["sessions"] for key in [(row["client_id"], row["session_id"])]}
    for row in sorted(rows["bouts"], key=lambda row: row["bout"]):
        session = sessions[row["client_id"], row["session_id"]]
        session.bouts.append(row)
    for session in sessions.values():
        found = session.bouts
        session.bouts = []
        for i, row in enumerate(found):
            # What only might be a bout ends no recovery of one that is.
            later = [session.place(other["start_utc"]) for other in found[i + 1:]
                     if row["confidence"] == "possible" or other["confidence"] == "confirmed"]
            session.bouts.append(Bout(row, session, session.place(row["start_utc"]), session.place(row["end_utc"]),
                                      later[0] if later else None))
    return sessions, rows, facts
