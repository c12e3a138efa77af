"""Time in bands and the weeks' sums, computed anew from the samples table."""

import math

import numpy

from .facts import CATEGORIES
from .figures import CHANNELS, NAN


def week_figures(sessions, facts, client, monday):
    """A week's columns from its sessions' seconds."""
    out = dict.fromkeys(("sessions", "minutes", "base_minutes", "interval_sessions", "rounds"), 0)
    out |= dict.fromkeys(("moderate_minutes", "vigorous_minutes", "training_impulse"), NAN)

    def add(column, value):
        if not math.isnan(value):
            out[column] = value + (0 if math.isnan(out[column]) else out[column])

    for s in sessions:
        if s.client != client or not 0 <= (s.day - monday).days < 7 or not s.counts():
            continue
        out["sessions"] += 1
        out["minutes"] += s.trained_s() / 60
        out["base_minutes"] += s.trained_s() / 60 if s.row["kind"] in ("base", "base_with_bursts") else 0
        if s.row["kind"] == "intervals":
            out["interval_sessions"] += 1
            out["rounds"] += len(s.confirmed())
        categories = facts.categories(client, s.day)
        # Medication that limits heart rate, or a sensor in doubt: no verdict from it.
        if categories and not facts.limited(client) and s.trusted() and not numpy.isnan(s.hr).all():
            add("moderate_minutes", numpy.count_nonzero((s.hr >= categories[0][2]) & (s.hr < categories[0][3])) / 60)
            add("vigorous_minutes", numpy.count_nonzero(s.hr >= categories[0][3]) / 60)
        if s.trusted():
            add("training_impulse", s.training_impulse())
    out["moderate_equivalent_minutes"] = out["moderate_minutes"] + 2 * out["vigorous_minutes"]
    asked = facts.asked(client, monday)
    out["prescribed"] = sum(int(row["per_week"]) for row in asked.values()) if asked else NAN
    return out


def band_rows(session):
    """A session's rows of band_time: signal, band, lower edge, upper edge, seconds, share, date, estimated."""
    facts, client, day = session.facts, session.client, session.day
    for signal, column in CHANNELS.items():
        values = session.columns[column]
        values = values[~numpy.isnan(values)]
        own = facts.own_bands(client, signal, day)
        names, edges, since, estimated = *(own or (None, None, None)), False
        if own is None and signal == "heart_rate" and facts.categories(client, day):
            names, (edges, estimated) = CATEGORIES, facts.categories(client, day)
        if names is None or not len(values):
            continue
        if edges[0] > 0:
            names, edges = [f"below_{names[0]}", *names], [0.0, *edges]
        for name, lower, upper in zip(names, edges, [*edges[1:], None]):
            seconds = numpy.count_nonzero((values >= lower) & (values < (math.inf if upper is None else upper)))
            yield signal, name, lower, upper, seconds, 100 * seconds / len(values), since, estimated


def answer_figures(row, session, facts):
    """An answer's columns from the prescription and the session's seconds; session is None where none answers."""
    out = dict.fromkeys(("minutes_asked", "rounds_asked", "bout_asked_s", "recovery_asked_s", "minutes_done",
                         "bout_done_s", "recovery_done_s", "even_bouts", "minutes_in_band"), NAN)
    if row["asked"]:
        prescription = facts.asked(row["client_id"], row["monday"])[row["asked"]]
        for column, cell in (("minutes_asked", "minutes"), ("rounds_asked", "rounds"), ("bout_asked_s", "work_s"),
                             ("recovery_asked_s", "recovery_s")):
            out[column] = float(prescription[cell] or "nan")
    if session is None:
        return out
    bouts = session.confirmed()
    out["minutes_done"] = (session.duration_s() if bouts else session.trained_s()) / 60
    if bouts:
        out["bout_done_s"] = numpy.median([b.end - b.start for b in bouts])
        out["even_bouts"] = sum(b.row["pacing"] == "even" for b in bouts)
    if len(bouts) > 1:
        out["recovery_done_s"] = numpy.median([b.following - b.end for b in bouts[:-1]])
    categories = facts.categories(session.client, session.day)
    if categories and not facts.limited(session.client) and session.trusted():
        easy = (row["asked"] or session.row["kind"]).startswith("base")
        inside = session.hr < categories[0][3] if easy else session.hr >= categories[0][3]
        out["minutes_in_band"] = numpy.count_nonzero(inside) / 60
    return out
