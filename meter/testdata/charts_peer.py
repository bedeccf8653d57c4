"""Chart constants, Grubbs' critical values and EWMA limits by other ways.

d2 and d3 from scipy's distribution of the studentized range with infinite degrees
of freedom, by adaptive quadrature; Grubbs from scipy's Student t; the EWMA's
variance as the sum of the squared weights of every value, with numpy. Reads a
request in JSON from standard input, writes the answer in JSON.
"""

import json
import sys

import numpy as np
from scipy import integrate, special, stats


def moments(n):
    def above(r):
        def f(x):
            return stats.norm.pdf(x) * (special.ndtr(x + r) - special.ndtr(x)) ** (n - 1)

        return 1 - n * integrate.quad(f, -12, 12, epsabs=1e-12, epsrel=1e-12, limit=200)[0]

    x, w = np.polynomial.legendre.leggauss(60)
    r = 7.5 * (x + 1)
    p = np.array([above(v) for v in r])
    d2 = 7.5 * (w * p).sum()
    return d2, np.sqrt(7.5 * (w * 2 * r * p).sum() - d2 * d2)


def grubbs(n, chance, two_sided):
    t = stats.t.isf(chance / (2 * n if two_sided else n), n - 2)
    return (n - 1) / np.sqrt(n) * np.sqrt(t * t / (n - 2 + t * t))


def ewma(x, weight, centre):
    out = []
    for i in range(1, len(x) + 1):
        w = weight * (1 - weight) ** np.arange(i)[::-1]
        out.append([(w * np.array(x[:i])).sum() + (1 - weight) ** i * centre, np.sqrt((w**2).sum())])
    return out


q = json.load(sys.stdin)
json.dump(
    {
        "moments": [list(moments(n)) for n in q["sizes"]],
        "grubbs": [grubbs(*a) for a in q["grubbs"]],
        "ewma": ewma(q["values"], q["weight"], q["centre"]),
    },
    sys.stdout,
)
