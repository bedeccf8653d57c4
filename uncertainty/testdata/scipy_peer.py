"""Special functions and quadrature by scipy. Reads
{"name": [[arguments], ...], ...} and prints {"name": [[results], ...], ...}."""

import json
import math
import sys

import numpy as np
from scipy import integrate, special, stats


def student(p, nu):
    return [stats.t.ppf((1 + p) / 2, nu)]


def garwood(n, p):
    a = (1 - p) / 2
    return [stats.gamma.ppf(a, n) if n else 0.0, stats.gamma.isf(a, n + 1)]


def tail(n, mu):
    return [stats.poisson.sf(n - 1, mu)]


def conformance(y, u, low, high):
    a, b = (low - y) / u, (high - y) / u
    if a > 0:
        return [stats.norm.sf(a) - stats.norm.sf(b)]
    return [stats.norm.cdf(b) - stats.norm.cdf(a)]


def risk(mean, sd, u, tl, tu, al, au):
    """Both risks by adaptive quadrature over the items."""
    density = lambda x: math.exp(-(((x - mean) / sd) ** 2) / 2) / (sd * math.sqrt(2 * math.pi))
    accepted = lambda x: special.ndtr((au - x) / u) - special.ndtr((al - x) / u)

    def over(f, a, b):
        edges = sorted({a, b, *(c for c in (al, au, mean) if a < c < b)})
        tight = dict(epsabs=1e-14, epsrel=1e-12, limit=200)
        return sum(integrate.quad(lambda x: density(x) * f(x), p, q, **tight)[0] for p, q in zip(edges, edges[1:]))

    low, high = mean - 12 * sd, mean + 12 * sd
    return [over(accepted, low, tl) + over(accepted, tu, high), over(lambda x: 1 - accepted(x), tl, tu)]


def joint(mean, sd, u, tl, tu, al, au):
    """Both risks from the bivariate normal distribution of item and reading."""
    both = stats.multivariate_normal([mean, mean], [[sd**2, sd**2], [sd**2, sd**2 + u**2]])

    def rectangle(a, b, c, d):
        f = lambda x, y: both.cdf([x, y])
        return f(b, d) - f(a, d) - f(b, c) + f(a, c)

    conforming = stats.norm(mean, sd)
    reading = stats.norm(mean, np.hypot(sd, u))
    right = rectangle(tl, tu, al, au)
    accepted = reading.cdf(au) - reading.cdf(al)
    return [accepted - right, conforming.cdf(tu) - conforming.cdf(tl) - right]


def cut(y, u, gamma):
    d = stats.truncnorm(-y / u, np.inf, y, u)
    return [d.mean(), d.std(), d.ppf(gamma / 2), d.isf(gamma / 2)]


def quantile(p, *y):
    """Hazen's rule, with the mean and the standard deviation."""
    return [np.quantile(y, p, method="hazen"), np.mean(y), np.std(y, ddof=1)]


functions = dict(
    student=student, garwood=garwood, tail=tail, conformance=conformance,
    risk=risk, joint=joint, cut=cut, quantile=quantile,
)
request = json.load(sys.stdin)
answer = {name: [[float(v) for v in functions[name](*a)] for a in rows] for name, rows in request.items()}
json.dump(answer, sys.stdout)
