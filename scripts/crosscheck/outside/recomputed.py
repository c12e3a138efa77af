"""Every figure of sessions, bouts, bands and weeks in the demonstration's tables, against the same computed anew."""

import itertools
import math

import numpy

from . import figures, weekly
from .checks import REFERENCE


# How far a column may lie from the figure computed anew: half a unit of its
# last digit.
BOUT_COLUMNS = {
    "mean_power_w": 0.05, "mean_speed_m_s": 0.0005, "mean_oxygen_cost_ml_kg_min": 0.05,
    "steadiness_cv_pct": 0.05, "drift_pct_per_min": 0.005,
    "quarter1_pct": 0.05, "quarter2_pct": 0.05, "quarter3_pct": 0.05, "quarter4_pct": 0.05,
    "mean_hr_bpm": 0.05, "peak_hr_bpm": 0.5, "hr_at_three_quarters_bpm": 0.05, "near_max_hr_s": 0.5,
    "recovery_s": 0.05, "recovery_output_pct": 0.05, "work_to_recovery": 0.005, "hr_recovery_60s_bpm": 0.5,
    "hr_recovery_tau_s": 0.05,
}
SESSION_COLUMNS = {
    "duration_s": 0.5, "recorded_s": 0.5, "distance_m": 0.5, "work_s": 0.5, "warmup_s": 0.5, "cooldown_s": 0.5,
    "mean_hr_bpm": 0.05, "max_hr_bpm": 0.5, "mean_power_w": 0.05, "mean_speed_m_s": 0.0005,
    "hr_coverage_pct": 0.05, "power_coverage_pct": 0.05, "speed_coverage_pct": 0.05,
    "between_bout_cv_pct": 0.05, "last_to_first_bout_pct": 0.05, "hr_drift_pct": 0.05, "training_impulse": 0.05,
}
WEEK_COLUMNS = {
    "sessions": 0, "minutes": 0.5, "base_minutes": 0.5, "interval_sessions": 0, "rounds": 0,
    "moderate_minutes": 0.5, "vigorous_minutes": 0.5, "moderate_equivalent_minutes": 0.5,
    "training_impulse": 0.5, "prescribed": 0,
}
# Where a grade of our own making is in the output.
DERIVED_GRADE = {"hr_drift_pct": 0.15}




def _near(table, anew, tolerance):
    """Whether a cell, None when missing, has the figure computed anew."""
    if table is None or math.isnan(anew):
        return table is None and math.isnan(anew)
    # A hair more, for figures that lie in the middle between two cells.
    return abs(table - anew) <= tolerance + 1e-9


def _bout(column, tolerance):
    """The check of a bout's column."""
    def agree(bout):
        return any(_near(bout.row[column], getattr(reading, column)(), tolerance) for reading in bout.readings())
    return agree


def _session(column, tolerance):
    """The check of a session's column."""
    def agree(session):
        allowed = DERIVED_GRADE.get(column, tolerance) if session.derived else tolerance
        return any(_near(session.row[column], getattr(reading, column)(), allowed) for reading in session.readings())
    return agree


def _kind(bout):
    """A burst is shorter than 2 minutes, a block longer than 10; 5 s at an edge are left to the program."""
    length = bout.end - bout.start
    fits = {"burst": length < 125, "interval": 115 <= length <= 605, "block": length > 595}
    return fits[bout.row["kind"]]


def _recovery_kind(bout):
    """Passive at or below half the output or mostly stopped, active above, missing without an output."""
    after = bout.session.recorded()[bout.high:max(bout.high, figures.whole(bout.recovery_end()))]
    share = bout.row["recovery_output_pct"]
    if len(after) and 2 * (~after).sum() > len(after):
        return bout.row["recovery_kind"] == "passive"
    if share is None:
        return bout.row["recovery_kind"] is None
    return bout.row["recovery_kind"] == ("passive" if share <= 50 else "active")


def _pacing(bout):
    """The word against the quarters inside the edges: a change of 5 % of the mean is worth one."""
    inner = figures.Bout(bout.row, bout.session, bout.start + 5, bout.end - 5, None)
    change = inner.quarter4_pct() - inner.quarter1_pct()
    word = bout.row["pacing"]
    if word in ("fast_start", "fade", "build"):
        return change >= 5 if word == "build" else change <= -5
    if word == "even":
        # More than that only where chance may have made it: 2.5 standard errors,
        # at most √3 times those of independent means.
        chance = 2.5 * math.sqrt(3 * 8 / len(bout.blocks())) * bout.steadiness_cv_pct()
        return abs(change) < max(5, chance)
    return word == "uneven" or len(bout.blocks()) < 3


def _place(bout):
    """Seconds from the first sample are those between the instants."""
    places = (bout.start, bout.end, bout.end - bout.start)
    return all(_near(bout.row[c], v, 0.051) for c, v in zip(("start_s", "end_s", "duration_s"), places))


def _count(checks, table, column, definition, items, agree, name, unit):
    """Adds a check of a column over many rows."""
    verdicts = [(agree(item), True, name(item)) for item in items]
    checks.same(f"recomputed-{table}-{column}", f"{table}: {column}{definition}", figures.SOURCE, REFERENCE,
                [((v, n), (t, n)) for v, t, n in verdicts], figures.TEST, unit)


def compare(checks, practice):
    """Adds the checks of all columns."""
    sessions, rows, facts = figures.load(practice)
    bouts = [bout for session in sessions.values() for bout in session.bouts]
    paced = [bout for bout in bouts if not numpy.isnan(bout.session.output).all()]

    def named_bout(bout):
        return bout.row["client_id"], bout.row["session_id"], bout.row["bout"]

    def named_session(session):
        return session.client, session.row["session_id"]

    for column, tolerance in BOUT_COLUMNS.items():
        if column not in bouts[0].row:
            checks.excepted.append((f"bouts, {column}", "the table has no such column"))
            continue
        within = f", to {tolerance:g}"
        _count(checks, "bouts", column, within, bouts, _bout(column, tolerance), named_bout, "bouts")
    for column, agree, items in (("start_s, end_s, duration_s", _place, bouts), ("kind", _kind, bouts),
                                 ("recovery_kind", _recovery_kind, bouts), ("pacing", _pacing, paced)):
        _count(checks, "bouts", column, ", as defined", items, agree, named_bout, "bouts")
    for column, tolerance in SESSION_COLUMNS.items():
        within = f", to {tolerance:g}"
        _count(checks, "sessions", column, within, sessions.values(), _session(column, tolerance), named_session, "sessions")
    _compare_weeks(checks, rows["weeks"], sessions.values(), facts)
    _compare_bands(checks, rows["band_time"], sessions)


def _compare_weeks(checks, weeks, sessions, facts):
    """Adds the checks of the weeks' columns, and that no week is missing."""
    anew = {(w["client_id"], w["monday"]): weekly.week_figures(sessions, facts, w["client_id"], w["monday"])
            for w in weeks}
    for column, tolerance in WEEK_COLUMNS.items():
        _count(checks, "weeks", column, f", to {tolerance:g}", weeks,
               lambda w: _near(w[column], anew[w["client_id"], w["monday"]][column], tolerance),
               lambda w: (w["client_id"], w["iso_week"]), "weeks")
    lost = [(s.client, figures.monday(s.day)) for s in sessions if (s.client, figures.monday(s.day)) not in anew]
    names = [(w["iso_week"], f"{w['monday'].isocalendar().year}-W{w['monday'].isocalendar().week:02}") for w in weeks]
    checks.same("recomputed-weeks-iso_week", "weeks: iso_week, by Python's calendar; none with a session is missing",
                figures.SOURCE, REFERENCE, names + [(w, None) for w in lost], figures.TEST, "weeks")


def _compare_bands(checks, rows, sessions):
    """Adds the checks of band_time: the rows one to one, and their sums."""
    theirs = {}
    for row in rows:
        theirs.setdefault((row["client_id"], row["session_id"]), []).append(row)
    pairs, sums = [], []
    for key, session in sessions.items():
        anew = list(weekly.band_rows(session))
        table = theirs.get(key, [])
        pairs.append((len(table), len(anew)))
        for row, (signal, band, lower, upper, seconds, share, since, estimated) in zip(table, anew):
            edges = _near(row["lower"], lower, 5e-4) and _near(row["upper"], math.nan if upper is None else upper, 5e-4)
            exact = [row[c] for c in ("signal", "band", "seconds", "bands_effective_from", "estimated")]
            pairs.append((exact + [edges, _near(row["share_pct"], share, 0.05)],
                          [signal, band, seconds, since, estimated, True, True]))
        for signal, group in itertools.groupby(table, key=lambda row: row["signal"]):
            sums.append((sum(row["seconds"] for row in group), session.valid(signal)))
    checks.same("recomputed-band_time", "band_time: edges, seconds, share, date and mark of every row", figures.SOURCE,
                REFERENCE, pairs, figures.TEST, "rows and counts of them")
    checks.same("recomputed-band_time-sums", "band_time: the bands' seconds add up to those with a value",
                figures.SOURCE, REFERENCE, sums, figures.TEST, "sums")
