"""Fit y = b (1 + a (1 - exp(-t/tau))) with scipy.

Arguments: triples of time, value, standard uncertainty. Prints b, a, tau and
their standard uncertainties (absolute sigma), then chi-square.
"""
import sys

import numpy as np
from scipy.optimize import curve_fit

x = np.array([float(a) for a in sys.argv[1:]]).reshape(-1, 3)
t, y, u = x.T


def model(t, b, a, tau):
    return b * (1 - a * np.expm1(-t / tau))


best, cov = curve_fit(model, t, y, p0=[y[0], y[-1] / y[0] - 1, t.max() / 3], sigma=u,
                      absolute_sigma=True, xtol=1e-14, ftol=1e-14, gtol=1e-14, maxfev=20000)
print(*[repr(float(p)) for p in best])
print(*[repr(float(s)) for s in np.sqrt(np.diag(cov))])
print(repr(float((((y - model(t, *best)) / u) ** 2).sum())))
