"""Weighted fits of a decaying series by scipy, for comparison.

Reads {"hours", "readings", "u", "half_life"} and answers for each shape the
parameters, their standard uncertainties and chi-square. It is scipy's own
least squares on logarithms, with sigma taken as absolute.
"""

import json
import sys

import numpy as np
from scipy.optimize import curve_fit

q = json.load(sys.stdin)
t, r, u = (np.array(q[k], dtype=float) for k in ("hours", "readings", "u"))
y, f = np.log(r), np.exp2(-t / q["half_life"])

MODELS = {
    "straight": (lambda t, a: a - np.log(2) * t / q["half_life"], [y[0]]),
    "other-half-life": (lambda t, a, h: a - np.log(2) * t / h, [y[0], q["half_life"]]),
    "dead-time": (lambda t, a, p: a + np.log(f) - np.log1p(p * f), [y[0], 1e-3]),
    "offset": (lambda t, a, p: a + np.log(f + p), [y[0], 1e-4]),
}
out = {}
for name, (model, start) in MODELS.items():
    p, cov = curve_fit(model, t, y, p0=start, sigma=u, absolute_sigma=True, xtol=1e-14, ftol=1e-14)
    left = (y - model(t, *p)) / u
    out[name] = {"p": list(p), "u": list(np.sqrt(np.diag(cov))), "chi2": float(left @ left)}
json.dump(out, sys.stdout)
