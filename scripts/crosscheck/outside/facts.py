"""What a practice's CSV files say of a client on a day: read here anew, apart from the program's own reader."""

import csv
import datetime
from pathlib import Path

# Garber et al. 2011: lower edges in percent of heart-rate reserve and of maximal heart rate.
CATEGORIES = ("very_light", "light", "moderate", "vigorous", "near_maximal")
RESERVE_PCT = (0, 30, 40, 60, 90)
MAXIMUM_PCT = (0, 57, 64, 77, 96)


def rows(path):
    """The rows of a CSV file; a line that starts with # is a remark."""
    with open(path, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def _date(text):
    return datetime.date.fromisoformat(text)


class Facts:
    """The dated facts of all clients."""

    def __init__(self, practice):
        folder = Path(practice)
        self.clients = {row["client_id"]: row for row in rows(folder / "clients.csv")}
        self.measurements = rows(folder / "measurements.csv")
        self.bands = rows(folder / "bands.csv")
        self.prescriptions = rows(folder / "prescriptions.csv")

    def measured(self, client, quantity, day):
        """The latest value on or before the day, else the first one; None without any."""
        dated = sorted((_date(row["date"]), float(row["value"])) for row in self.measurements
                       if (row["client_id"], row["quantity"]) == (client, quantity))
        past = [value for date, value in dated if date <= day]
        return past[-1] if past else dated[0][1] if dated else None

    def max_hr(self, client, day):
        """Maximal heart rate, and whether it is Tanaka's estimate from age."""
        measured = self.measured(client, "max_hr_bpm", day)
        if measured is not None:
            return measured, False
        born = self.clients[client]["birth_year"]
        return (208 - 0.7 * (day.year - int(born)), True) if born else (None, False)

    def limited(self, client):
        """Whether medication limits the client's heart rate."""
        return self.clients[client]["hr_limiting_medication"] == "yes"

    def categories(self, client, day):
        """Lower edges of the five categories in bpm, and whether they are estimated; None without a maximal rate."""
        highest, estimated = self.max_hr(client, day)
        rest = self.measured(client, "resting_hr_bpm", day)
        if highest is None:
            return None
        if rest is None:
            edges = [pct * highest / 100 for pct in MAXIMUM_PCT]
        else:
            # From nothing up, so that a rate below rest is very light.
            edges = [0.0] + [rest + pct * (highest - rest) / 100 for pct in RESERVE_PCT[1:]]
        return edges, estimated

    def own_bands(self, client, signal, day):
        """Names and lower edges of the client's own set in force, and its date; None without one."""
        for owner in (client, "*"):
            sets = [row for row in self.bands if (row["client_id"], row["signal"]) == (owner, signal)
                    and _date(row["effective_from"]) <= day]
            if sets:
                latest = max(row["effective_from"] for row in sets)
                kept = sorted(((self._edge(client, day, row), row["band"])
                               for row in sets if row["effective_from"] == latest))
                return [name for _, name in kept], [edge for edge, _ in kept], _date(latest)
        return None

    def _edge(self, client, day, row):
        """A band's lower edge in the signal's own unit."""
        share = float(row["lower"])
        base = {
            "pct_max_hr": lambda: self.max_hr(client, day)[0],
            "pct_threshold_hr": lambda: self.measured(client, "threshold_hr_bpm", day),
            "pct_threshold_power": lambda: self.measured(client, "threshold_power_w", day),
        }
        if row["unit"] == "pct_hr_reserve":
            rest = self.measured(client, "resting_hr_bpm", day)
            return rest + share * (self.max_hr(client, day)[0] - rest) / 100
        return share * base[row["unit"]]() / 100 if row["unit"] in base else share

    def asked(self, client, monday):
        """The prescriptions in force in a week, by kind: of each the latest dated on or before its Monday."""
        found = {}
        for row in sorted(self.prescriptions, key=lambda row: row["effective_from"]):
            if row["client_id"] == client and _date(row["effective_from"]) <= monday:
                found[row["session"]] = row
        return found
