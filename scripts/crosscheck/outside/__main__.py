"""Runs all comparisons and writes, or checks, the list of them."""

import argparse
import difflib
import sys
import tempfile
from collections import Counter
from pathlib import Path

from . import changepoints, dictionary, fit, gpx, keys, numbers, ours, real, recomputed, report, tables, tcx, trace
from .checks import Checks

# What belongs in the list and is not compared by anything.
NOT_AT_HAND = [
    ("TCX and GPX, the schemas' own files",
     "no package registry has them; their facts were copied by hand (outside/forms.py)"),
    ("NIST StRD Lew, Lottery, Mavro, Michelson", "no library of the run brings their data"),
    ("tables read by Spark and Trino", "neither runs here; pyarrow, DuckDB, Polars and pandas do"),
    ("answers: met, shortfall; progress, capacity, findings",
     "judgements by rules of the program's own, which nobody published"),
]
REAL_RIDE = "testdata/python-fitparse/sample-activity-indoor-trainer.fit"  # two bouts with rests of minutes


def arguments():
    """The command line, as scripts/crosscheck/run gives it."""
    parser = argparse.ArgumentParser(prog="outside", description=__doc__)
    parser.add_argument("--dump", required=True, help="the built scripts/crosscheck/dump")
    parser.add_argument("--program", required=True, help="the built cmd/boutwise")
    parser.add_argument("--demo", required=True, help="a practice that boutwise demo wrote, with the samples table")
    parser.add_argument("--go-checks", required=True, help="folder of lines that the Go tests left")
    parser.add_argument("--node", required=True, help="folder with node_modules")
    parser.add_argument("--kept", required=True, help="folder for what slow decoders read")
    parser.add_argument("--list", required=True, type=Path, help="the list to write")
    parser.add_argument("--check", action="store_true", help="fail when the list is stale instead of writing it")
    return parser.parse_args()


def collect(args):
    """All checks."""
    checks = Checks()
    checks.read_go(args.go_checks)
    if not checks.done:
        checks.failures.append(f"{args.go_checks}: the Go tests left no checks")

    fits = list(fit.files(ours.module_dir))
    paths = [path for path, _ in fits]
    script = Path(__file__).parent.parent / "decode.mjs"
    javascript = fit.javascript_rows(script, args.node, paths)
    fit.compare(checks, ours.recordings(args.dump, paths), javascript, fits, args.kept)

    gpxs = list(gpx.files(ours.module_dir, args.demo))
    gpx.compare(checks, ours.recordings(args.dump, [path for path, _ in gpxs]), gpxs)
    tcxs = tcx.files(args.demo)
    tcx.compare(checks, ours.recordings(args.dump, tcxs), tcxs)
    gpx.check_forms(checks, [path for path, _ in gpxs if path.startswith(args.demo)])
    with tempfile.TemporaryDirectory() as folder:
        tcx.compare_whole(checks, args.dump, folder)
        gpx.compare_whole(checks, args.dump, folder)

    numbers.compare(checks, ours.numbers(args.dump))
    ride = Path(ours.module_dir(fit.MODULES[0])) / REAL_RIDE
    numbers.compare(checks, ours.numbers(args.dump, "recoveries", ride))
    numbers.compare_nist(checks)
    changepoints.compare(checks)
    tables.compare(checks, Path(args.demo) / "out", dictionary.read(args.program))
    keys.compare(checks, args.demo)
    trace.compare(checks, args.demo, args.kept)
    recomputed.compare(checks, args.demo, "demo")
    with tempfile.TemporaryDirectory() as folder:
        recomputed.compare(checks, real.practice(args.program, folder), "real", real.EXCEPTIONS)
    checks.excepted += NOT_AT_HAND
    twice = [id for id, n in Counter((c.test, c.id) for c in checks.done).items() if n > 1]
    checks.failures += [f"two checks are called {id}" for id in twice]
    return checks


def settle(path, text, check):
    """Writes the list, or tells how the one that is there differs."""
    if not check:
        path.write_text(text, encoding="utf-8")
        return True
    old = path.read_text(encoding="utf-8") if path.exists() else ""
    lines = difflib.unified_diff(old.splitlines(), text.splitlines(), str(path), "this run", n=0, lineterm="")
    difference = list(lines)
    if difference:
        print("\n".join(difference[:40]), file=sys.stderr)
        print(f"{path} is stale: run scripts/crosscheck/run and commit it", file=sys.stderr)
    return not difference


def main():
    """Compares, reports, and returns the exit code."""
    args = arguments()
    checks = collect(args)
    for failure in checks.failures:
        print(f"disagrees: {failure}", file=sys.stderr)
    if checks.failures:
        print(f"{len(checks.failures)} of {len(checks.done)} checks disagree; the list was left alone", file=sys.stderr)
        return 1
    print(f"{len(checks.done)} checks agree")
    return 0 if settle(args.list, report.markdown(checks), args.check) else 1


sys.exit(main())
