"""One check, and the collection that a run fills."""

import json
import math
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

REFERENCE = "reference library"
PUBLISHED = "published"
OPEN_DATA = "open data"


def library(name):
    """An installed library's name with its version, as a source."""
    return f"{name} {version(name)}"


@dataclass(frozen=True)
class Check:
    """One comparison, in the form that the Go tests leave it too."""

    id: str
    what: str
    source: str
    cls: str
    ours: str
    theirs: str
    tolerance: str
    test: str


class Checks:
    """What a run has compared, what disagreed, and what could not be compared."""

    def __init__(self):
        self.done = []
        self.failures = []
        self.excepted = []  # (what, why)

    def add(self, check, agrees, detail=""):
        """Takes a check, and remembers it as a failure when it disagrees."""
        self.done.append(check)
        if not agrees:
            self.failures.append(f"{check.id}: ours {check.ours}, {check.source} {check.theirs} {detail}".rstrip())

    def near(self, id, what, source, cls, ours, theirs, tolerance, test, relative=True):
        """Compares two numbers; None or NaN is near nothing."""
        ours = math.nan if ours is None else float(ours)
        theirs = float(theirs)
        allowed = tolerance * abs(theirs) if relative else tolerance
        text = f"{tolerance:g} relative" if relative else f"{tolerance:g}"
        check = Check(id, what, source, cls, repr(ours), repr(theirs), text, test)
        self.add(check, abs(ours - theirs) <= allowed)

    def same(self, id, what, source, cls, pairs, test, unit="values"):
        """Compares many pairs that must be equal, and counts the equal ones."""
        pairs = list(pairs)
        different = [(i, a, b) for i, (a, b) in enumerate(pairs) if a != b]
        equal = f"{len(pairs) - len(different)} {unit}"
        check = Check(id, what, source, cls, equal, f"{len(pairs)} {unit}", "equal", test)
        first = f"first difference at {different[0]}" if different else ""
        self.add(check, pairs and not different, first or "nothing to compare")

    def counted(self, id, what, source, cls, equal, total, test, unit):
        """Takes a comparison of many values whose equal ones were counted elsewhere."""
        check = Check(id, what, source, cls, f"{equal} {unit}", f"{total} {unit}", "equal", test)
        self.add(check, total > 0 and equal == total)

    def read_go(self, directory):
        """Adds what the Go tests left in a directory; they have failed already if they disagree."""
        for path in sorted(Path(directory).glob("*.jsonl")):
            for text in path.read_text(encoding="utf-8").splitlines():
                line = json.loads(text)
                line["cls"] = line.pop("class")
                self.done.append(Check(**line))
