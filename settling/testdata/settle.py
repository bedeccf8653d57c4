"""Polydisperse settling in a cylinder by a published explicit method in numpy.

The flux of Buerger, Garcia, Karlsen and Towers (J Eng Math 60:387, 2008): the
concentration of the cell a class comes from, the velocity of the cell it
enters. Every exchange of one class for another (the liquid counts as one of
velocity zero) is worked out by itself; the time step is fixed by the fastest
class in clear liquid; every cell is worked out in every step.

Arguments: cells, seconds, height in mm, exponent n, packing limit, then pairs
of terminal velocity in mm/s and volume fraction, fastest class first. Prints
the wall seconds of the stepping on the first line, then the total fraction of
each cell from the bottom up.
"""
import sys
import time

import numpy as np

cells, seconds, height, n, packing = (float(a) for a in sys.argv[1:6])
rest = [float(a) for a in sys.argv[6:]]
v = np.array(rest[0::2] + [0.0])
phi = np.repeat(np.array(rest[1::2])[:, None], int(cells), axis=1)
h = height / cells
gain = np.maximum(v[:, None] - v[None, :], 0.0)  # i falls past k

began = time.perf_counter()
now, dt = 0.0, 0.45 * h / v[0]
while now < seconds:
    step = min(dt, seconds - now)
    total = phi.sum(axis=0)
    free = np.where(total < packing * (1 - 1e-12), (1 - total) ** (n - 1), 0.0)
    full = np.vstack([phi, 1 - total])
    upper, lower = full[:, 1:], full[:, :-1]
    # down[i] = upper_i sum_k lower_k gain_ik, up[k] = lower_k sum_i upper_i gain_ik
    flux = free[:-1] * (upper * (gain @ lower) - lower * (gain.T @ upper)) * step / h
    flux = flux[:-1]
    into = flux.sum(axis=0)
    room = packing * (1 - 1e-13) - total[:-1]
    for j in np.nonzero(into > np.maximum(room, 0.0))[0]:  # from the bottom up
        out = into[j - 1] if j > 0 else 0.0
        space = max(room[j] + out, 0.0)
        if into[j] > space:
            flux[:, j] *= space / into[j]
            into[j] = space
    phi[:, :-1] += flux
    phi[:, 1:] -= flux
    np.maximum(phi, 0.0, out=phi)
    now += step
print(time.perf_counter() - began)
for x in phi.sum(axis=0):
    print(repr(float(x)))
