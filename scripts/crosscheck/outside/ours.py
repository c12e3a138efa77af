"""What this program reads and computes, as scripts/crosscheck/dump prints it."""

import json
import subprocess
from collections import defaultdict


def module_dir(module):
    """The folder of a Go module in the module cache."""
    return subprocess.run(
        ["go", "list", "-m", "-f", "{{.Dir}}", module], check=True, capture_output=True, text=True
    ).stdout.strip()


def recordings(dump, files):
    """The legs of each file, in order; a file without any has one with an error."""
    out = subprocess.run(
        [dump, "recordings", *map(str, files)], check=True, capture_output=True, text=True
    ).stdout
    legs = defaultdict(list)
    for line in out.splitlines():
        leg = json.loads(line)
        legs[leg["file"]].append(leg)
    return legs


def numbers(dump, *arguments):
    """The statistics of generated columns, or what other arguments ask for."""
    out = subprocess.run([dump, *(arguments or ["numbers"])], check=True, capture_output=True, text=True).stdout
    return [json.loads(line) for line in out.splitlines()]
