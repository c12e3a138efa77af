"""Bouts by change points alone, for comparison.

Plain PELT (Killick, Fearnhead and Eckley 2012) with a least-squares cost on
10 s means, by the library ruptures (a kernel search with the linear kernel is
the least-squares cost). A segment whose mean lies above half-way between the
session's 10th and 95th percentile is work; neighbouring work is one bout.

    python pelt.py SESSIONS SPANS
"""

import json
import sys

import numpy
import ruptures

STEP = 10  # seconds a mean


def spans(means):
    values = numpy.array([numpy.nan if v is None else v for v in means], dtype=float)
    known = ~numpy.isnan(values)
    if known.sum() < 4:
        return []
    # What was not measured takes the value before it.
    index = numpy.where(known, numpy.arange(len(values)), 0)
    values = values[numpy.maximum.accumulate(index)]
    values = numpy.where(numpy.isnan(values), values[known][0], values)
    # The usual penalty: 2 sigma^2 ln n, sigma from the differences.
    differences = numpy.diff(values)
    sigma = numpy.median(numpy.abs(differences)) / 0.6745 / numpy.sqrt(2)
    scale = max(sigma, 1e-3 * max(abs(values).max(), 1e-9))
    search = ruptures.KernelCPD(kernel="linear", min_size=1).fit((values / scale).reshape(-1, 1))
    ends = [int(end) for end in search.predict(pen=2 * numpy.log(len(values)))]
    limit = (numpy.quantile(values, 0.10) + numpy.quantile(values, 0.95)) / 2
    found, start = [], 0
    for end in ends:
        if values[start:end].mean() > limit:
            if found and found[-1][1] == start * STEP:
                found[-1][1] = end * STEP
            else:
                found.append([start * STEP, end * STEP])
        start = end
    return found


def main(sessions, out):
    with open(sessions) as lines, open(out, "w") as written:
        for line in lines:
            session = json.loads(line)
            answer = {"scenario": session["scenario"], "seed": session["seed"]}
            answer["spans"] = spans(session["means"])
            written.write(json.dumps(answer) + "\n")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
