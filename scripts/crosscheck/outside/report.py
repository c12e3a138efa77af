"""The list of all outside checks as Markdown."""

from collections import Counter

CLASSES = {
    "published": "stated in the publication named, or computed by its formula",
    "open data": "a public data set, or certified results for one",
    "reference library": "what an independent general library computes or decodes",
    "common practice": "a fact of the trade without a source",
    "from memory": "a publication that was not opened to check the figure",
}

HEAD = """# Checks against the outside

Written by `scripts/crosscheck/run`; do not edit. The run fails when this list is stale.

Each line compares one of our figures with one from outside: a publication, a public
data set, an independent library. Figures are shown to six digits and compared with all they have.
"""


def markdown(checks):
    """The whole document, the same for the same checks."""
    return "\n".join([HEAD, *_counts(checks), *_exceptions(checks), *_lists(checks)])


def _counts(checks):
    """How many checks of each class."""
    count = Counter(c.cls for c in checks.done)
    unknown = set(count) - set(CLASSES)
    if unknown:
        raise ValueError(f"unknown classes of source: {sorted(unknown)}")
    yield f"**{len(checks.done)} checks**\n"
    yield "| class of source | checks | meaning |"
    yield "| --- | ---: | --- |"
    for name, meaning in CLASSES.items():
        yield f"| {name} | {count[name]} | {meaning} |"
    yield ""


def _exceptions(checks):
    """What could not be compared."""
    if not checks.excepted:
        return
    yield "## Not compared\n"
    yield "| what | why |"
    yield "| --- | --- |"
    for what, why in sorted(checks.excepted):
        yield f"| {_escape(what)} | {_escape(why)} |"
    yield ""


def _lists(checks):
    """The checks by the package or script that makes them."""
    groups = {}
    for check in checks.done:
        groups.setdefault(_group(check), []).append(check)
    for group in sorted(groups):
        yield f"## {group}\n"
        yield "| what | source | class | ours | theirs | tolerance | test |"
        yield "| --- | --- | --- | ---: | ---: | --- | --- |"
        for c in sorted(groups[group], key=lambda c: (c.test, c.id)):
            cells = (c.what, c.source, c.cls, _digits(c.ours), _digits(c.theirs), c.tolerance, _test(c))
            yield f"| {' | '.join(map(_escape, cells))} |"
        yield ""


def _group(check):
    """The package, or this script and its part."""
    first, _, rest = check.test.partition(" ")
    return check.test if first == "scripts/crosscheck" else first.removeprefix("boutwise/")


def _test(check):
    """The test's name within its package."""
    return check.id if check.test.startswith("scripts/") else check.test.partition(" ")[2]


def _digits(text):
    """A number to six digits, which no machine's rounding changes; any other text as it is."""
    try:
        number = float(text)
    except ValueError:
        return text
    return f"{number + 0.0:.6g}"


def _escape(text):
    return str(text).replace("|", "\\|").replace("\n", " ")
