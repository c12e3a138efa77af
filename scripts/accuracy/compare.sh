#!/bin/sh
# Prints the accuracy table with all three methods. The change-point library
# goes into a virtual environment of its own, in the folder for temporary
# files; arguments go to the Go command (-each 60, -first 700000, ...).
set -eu
cd "$(dirname "$0")/../.."
work=${TMPDIR:-/tmp}/boutwise-accuracy
mkdir -p "$work"
if [ ! -x "$work/venv/bin/python" ]; then
	python3 -m venv "$work/venv"
fi
"$work/venv/bin/python" -c 'import ruptures' 2>/dev/null ||
	"$work/venv/bin/pip" install --quiet 'ruptures==1.1.10'
go build -o "$work/accuracy" ./scripts/accuracy
"$work/accuracy" "$@" -export "$work/sessions.jsonl"
"$work/venv/bin/python" scripts/accuracy/pelt.py "$work/sessions.jsonl" "$work/spans.jsonl"
"$work/accuracy" "$@" -pelt "$work/spans.jsonl"
