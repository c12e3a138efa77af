"""Every figure of sessions, bouts, bands and weeks in a practice's tables, against the same computed anew."""

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
    "duration_s": 0.5, "recorded_s": 0.5, "silent_s": 0.5, "distance_m": 0.5, "work_s": 0.5, "warmup_s": 0.5, "cooldown_s": 0.5,
    "mean_hr_bpm": 0.05, "max_hr_bpm": 0.5, "mean_power_w": 0.05, "mean_speed_m_s": 0.0005,
    "hr_coverage_pct": 0.05, "power_coverage_pct": 0.05, "speed_coverage_pct": 0.05,
    "hr_equals_cadence_pct": 0.05,
    "between_bout_cv_pct": 0.05, "last_to_first_bout_pct": 0.05, "hr_drift_pct": 0.05, "training_impulse": 0.05,
}
WEEK_COLUMNS = {
    "sessions": 0, "minutes": 0.5, "base_minutes": 0.5, "interval_sessions": 0, "rounds": 0,
    "moderate_minutes": 0.5, "vigorous_minutes": 0.5, "moderate_equivalent_minutes": 0.5,
    "training_impulse": 0.5, "prescribed": 0,
}
ANSWER_COLUMNS = {
    "minutes_asked": 0.5, "minutes_done": 0.5, "rounds_asked": 0, "bout_asked_s": 0.5, "bout_done_s": 0.5,
    "recovery_asked_s": 0.5, "recovery_done_s": 0.5, "even_bouts": 0, "minutes_in_band": 0.05,
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


class Comparison:
    """Takes the checks of one practice."""

    def __init__(self, checks, of, exceptions):
        self.checks, self.of, self.exceptions = checks, of, exceptions

    def column(self, table, column, definition, rows, agree):
        """Adds a check of a column: rows are pairs of a name and a row."""
        excepted = {name for name, _ in rows if column in self.exceptions.get(name[:2], ((), ""))[0]}
        kept = [(name, row) for name, row in rows if name not in excepted]
        self.checks.failures += [f"{self.of} {'/'.join(map(str, name))}, {column}: the exception is not needed"
                                 for name, row in rows if name in excepted and agree(row)]
        self.same(f"{table}-{column}", f"{table}: {column}{definition}",
                  [((agree(row), name), (True, name)) for name, row in kept], table)

    def same(self, id, what, pairs, unit):
        """Adds a check of pairs."""
        self.checks.same(f"recomputed-{self.of}-{id}", f"{self.of} {what}", figures.SOURCE, REFERENCE, pairs,
                         figures.TEST, unit)


def compare(checks, practice, of, exceptions=()):
    """Adds the checks of all columns of a practice, but for named columns of named sessions."""
    sessions, rows, facts = figures.load(practice)
    comparison = Comparison(checks, of, dict(exceptions))
    checks.excepted += [(f"{of} session {'/'.join(key)}: {', '.join(columns)}", why)
                        for key, (columns, why) in comparison.exceptions.items()]
    named = list(sessions.items())
    bouts = [((*key, bout.row["bout"]), bout) for key, session in named for bout in session.bouts]
    paced = [(name, bout) for name, bout in bouts if not numpy.isnan(bout.session.output).all()]
    for column, tolerance in BOUT_COLUMNS.items():
        if column not in rows["bouts"][0]:
            checks.excepted.append((f"{of} bouts, {column}", "the table has no such column"))
            continue
        comparison.column("bouts", column, f", to {tolerance:g}", bouts, _bout(column, tolerance))
    for column, agree, some in (("start_s, end_s, duration_s", _place, bouts), ("kind", _kind, bouts),
                                ("recovery_kind", _recovery_kind, bouts), ("pacing", _pacing, paced)):
        comparison.column("bouts", column, ", as defined", some, agree)
    for column, tolerance in SESSION_COLUMNS.items():
        comparison.column("sessions", column, f", to {tolerance:g}", named, _session(column, tolerance))
    _compare_weeks(comparison, rows["weeks"], list(sessions.values()), facts)
    _compare_bands(comparison, rows["band_time"], sessions)
    _compare_answers(comparison, rows, sessions, facts)


def _compare_weeks(comparison, weeks, sessions, facts):
    """Adds the checks of the weeks' columns, and that no week is missing."""
    anew = {(w["client_id"], w["monday"]): weekly.week_figures(sessions, facts, w["client_id"], w["monday"])
            for w in weeks}
    named = [((w["client_id"], w["iso_week"]), w) for w in weeks]
    for column, tolerance in WEEK_COLUMNS.items():
        comparison.column("weeks", column, f", to {tolerance:g}", named,
                          lambda w: _near(w[column], anew[w["client_id"], w["monday"]][column], tolerance))
    lost = [(s.client, figures.monday(s.day)) for s in sessions if s.counts() and (s.client, figures.monday(s.day)) not in anew]
    names = [(w["iso_week"], f"{w['monday'].isocalendar().year}-W{w['monday'].isocalendar().week:02}") for w in weeks]
    comparison.same("weeks-iso_week", "weeks: iso_week, by Python's calendar; none with a session is missing",
                    names + [(w, None) for w in lost], "weeks")


def _compare_bands(comparison, rows, sessions):
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
    comparison.same("band_time", "band_time: edges, seconds, share, date and mark of every row", pairs,
                    "rows and counts of them")
    comparison.same("band_time-sums", "band_time: the bands' seconds add up to those with a value", sums, "sums")


def _compare_answers(comparison, rows, sessions, facts):
    """Adds the checks of the answers' columns, and that the weeks count them."""
    answers = rows["answers"]
    anew = [weekly.answer_figures(row, sessions.get((row["client_id"], row["session_id"])), facts) for row in answers]
    named = [((row["client_id"], row["iso_week"], i), (row, figured)) for i, (row, figured) in enumerate(zip(answers, anew))]
    for column, tolerance in ANSWER_COLUMNS.items():
        comparison.column("answers", column, f", to {tolerance:g}", named,
                          lambda pair: _near(pair[0][column], pair[1][column], tolerance))

    def counted(week):
        return [row for row in answers if all(row[c] == week[c] for c in ("client_id", "iso_week"))]

    if any(row["asked"] for row in answers):
        comparison.same("answers-weeks", "weeks: prescribed and met, against the answers",
                        [((w["prescribed"], w["met"]),
                          (sum(bool(a["asked"]) for a in counted(w)), sum(a["met"] is True for a in counted(w))))
                         for w in rows["weeks"]], "weeks")
