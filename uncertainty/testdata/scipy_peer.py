"""Special functions by scipy. Reads
{"name": [[arguments], ...], ...} and prints {"name": [[results], ...], ...}."""

import json
import sys

from scipy import stats


def student(p, nu):
    return [stats.t.ppf((1 + p) / 2, nu)]


def conformance(y, u, low, high):
    a, b = (low - y) / u, (high - y) / u
    if a > 0:
        return [stats.norm.sf(a) - stats.norm.sf(b)]
    return [stats.norm.cdf(b) - stats.norm.cdf(a)]


functions = dict(student=student, conformance=conformance)
request = json.load(sys.stdin)
answer = {name: [[float(v) for v in functions[name](*a)] for a in rows] for name, rows in request.items()}
json.dump(answer, sys.stdout)
