"""Random case files with what an independent program makes of them.

Each has one vial with one to three draws, read before and after each, some syringes
and administration vials read too; a meter that is calibrated anew up to twice while
they are read, with factors of its own for each calibration, kind and fill. The contents
in Bq are found by generalised least squares with the calibration and geometry factors as
parameters, each with its prior as a datum, iterated with numpy to the weights at the
fitted values. What the half-life's own uncertainty brings is found by fitting all again with a
longer and a shorter one. Arguments: a seed and how many. Prints JSON.
"""

import json
import math
import random
import sys
from datetime import datetime, timedelta, timezone
from decimal import Decimal

import numpy as np

HALF_LIFE, HALF_LIFE_U = 64.0417 * 3600, 0.3 * 3600
START = datetime(2027, 3, 4, 6, tzinfo=timezone.utc)
SCALE = {"GBq": 1, "MBq": 1e-3, "kBq": 1e-6}  # all in GBq, so that the fit is well conditioned


def left(t, half_life=HALF_LIFE):
    return 2.0 ** (-(t - START).total_seconds() / half_life)


def iso(t):
    return t.strftime("%Y-%m-%dT%H:%M:%SZ")


def value(text):
    number, unit = text.split()
    return float(number) * SCALE[unit]


def step(text):
    number, unit = text.split()
    return float(Decimal(1).scaleb(Decimal(number).as_tuple().exponent)) * SCALE[unit]


class Fit:
    def __init__(self):
        self.factors, self.index, self.rows = [], {}, []

    def factor(self, key, prior, u):
        if key not in self.index:
            self.index[key] = len(self.factors)
            self.factors.append((prior, u))
        return self.index[key]

    def solve(self, n, half_life=HALF_LIFE):
        """Contents at START, their covariance, and chi-square."""
        coef = np.array([r["holds"] for r in self.rows])
        decay = np.array([left(r["at"], half_life) for r in self.rows])
        net, rel = np.array([r["net"] for r in self.rows]), np.array([r["rel"] for r in self.rows])
        floor, back = np.array([r["floor"] for r in self.rows]), np.array([r["back"] for r in self.rows])
        pairs = [r["factors"] for r in self.rows]
        k = np.array([p for p, _ in self.factors])
        free = [j for j, (_, u) in enumerate(self.factors) if u > 0]
        gain = lambda: np.array([k[a] * k[b] for a, b in pairs]) * decay
        x = np.linalg.lstsq(coef * gain()[:, None], net, rcond=None)[0]
        for _ in range(200):
            h = (coef @ x) * gain()
            sigma = np.sqrt(np.maximum(rel * np.abs(h), floor) ** 2 + back**2)
            design = np.zeros((len(net) + len(free), n + len(free)))
            design[: len(net), :n] = coef * gain()[:, None]
            rest = np.concatenate([net - h, [self.factors[j][0] - k[j] for j in free]])
            weight = np.concatenate([1 / sigma, [1 / (self.factors[j][0] * self.factors[j][1]) for j in free]])
            for c, j in enumerate(free):
                for i, (a, b) in enumerate(pairs):
                    design[i, n + c] = ((a == j) + (b == j)) * h[i] / k[j]
                design[len(net) + c, n + c] = 1
            move = np.linalg.lstsq(design * weight[:, None], rest * weight, rcond=1e-15)[0]
            x = x + move[:n]
            k[free] += move[n:]
            if np.all(np.abs(move[:n]) <= 1e-14 * np.abs(x)):
                break
        weighted = design * weight[:, None]
        return x, np.linalg.inv(weighted.T @ weighted)[:n, :n], float(((rest * weight) ** 2).sum())


def calibrations(r):
    """When each begins, with u of the factor, repeatability, and fills with factor and u."""
    begins = [START - timedelta(days=1)] + sorted(START + timedelta(minutes=m) for m in r.sample(range(20, 300), r.randint(0, 2)))
    factor = lambda: (round(r.uniform(0.9, 1.06), 3), r.choice([0, 0.5, 1, 1.7]))
    by_fill = r.random() < 0.6
    return [
        {
            "from": t, "u": r.choice([0.5, 1, 2, 3]), "rel": r.choice([0.3, 0.8, 1.5]),
            "shipping-vial": [(0, 3.05, *factor()), (3.05, 10, *factor())] if by_fill else [(0, 99, *factor())],
            "syringe": [(0, 99, *factor())], "administration-vial": [(0, 99, *factor())],
        }
        for t in begins
    ]


def meter(c, first):
    kinds = []
    for kind in ("shipping-vial", "syringe", "administration-vial"):
        fills = ["{fill: [%g mL, %g mL], factor: %g, u: %g %%, basis: label}" % f for f in c[kind]]
        kinds.append(kind + ": [" + ", ".join(fills) + "]")
    since = "" if first else ', from: "%s", reason: calibrated anew' % iso(c["from"])
    return "{id: M1, calibration-u: %g %%, repeatability: %g %%, geometry: {%s}%s}" % (c["u"], c["rel"], ", ".join(kinds), since)


def case(r):
    cal, fit, entries = calibrations(r), Fit(), []
    draws, held, volume, now = r.randint(1, 3), r.uniform(2, 5), 5.0, START + timedelta(minutes=r.randint(0, 20))
    n = draws + 1
    vial, true = np.eye(n)[0], np.array([held] + [0.0] * draws)
    reference = START + timedelta(hours=r.randint(-20, 70))
    add = lambda t, text: entries.append((t, len(entries), text))
    add(START - timedelta(minutes=1), 'receive: {vial: S1, lot: L1, labelled: %.3f GBq, reference: "%s", volume: 5.0 mL, at: "%s"}' % (held * left(reference) * r.uniform(0.97, 1.03), iso(reference), iso(START)))

    def read(of, kind, holds, fill):
        p = max(i for i, c in enumerate(cal) if c["from"] <= now)
        c = cal[p]
        at = next(i for i, f in enumerate(c[kind]) if f[0] <= fill <= f[1])
        back = r.choice(["0.2 MBq", "0.05 MBq", "0 MBq", "120 kBq", "1.5 MBq"])
        gross = (holds @ true) * left(now) * c[kind][at][2] * r.gauss(1, c["rel"] / 100) + value(back)
        text = "%.*f GBq" % (r.choice([2, 3, 4]), gross) if r.random() < 0.5 else "%.*f MBq" % (r.choice([0, 1]), gross * 1e3)
        stated = r.random() < 0.5
        fit.rows.append({
            "holds": holds.copy(), "at": now, "net": value(text) - value(back), "rel": c["rel"] / 100, "floor": step(text) / math.sqrt(12),
            "back": 5e-5 if stated else c["rel"] / 100 * value(back),
            "factors": (fit.factor(("k", p), 1.0, c["u"] / 100), fit.factor((p, kind, at), c[kind][at][2], c[kind][at][3] / 100)),
        })
        add(now, 'read: {of: %s, meter: M1, at: "%s", gross: %s, background: %s%s}' % (of, iso(now), text, back, ", background-u: 0.05 MBq" if stated else ""))

    for j in range(1, draws + 1):
        v = r.choice([0.8, 1.1, 1.3, 1.5])
        true[j] = held * v / 5 * r.uniform(0.93, 1)
        infusion = START + timedelta(hours=r.randint(7, 30))
        add(START - timedelta(minutes=5), 'order: {id: P%d, prescribed: %.3f GBq, at: "%s", residual: 2 %%, one-identifier: invented}' % (j, true[j] * left(infusion), iso(infusion)))
        for _ in range(r.randint(1, 2)):
            read("S1", "shipping-vial", vial, volume)
            now += timedelta(minutes=r.randint(1, 9))
        add(now, 'draw: {from: S1, into: Y%d, for: P%d, at: "%s", volume: %g mL}' % (j, j, iso(now), v))
        vial, volume, dose = vial - np.eye(n)[j], volume - v, np.eye(n)[j]
        now += timedelta(minutes=r.randint(1, 9))
        if r.random() < 0.5:
            read("Y%d" % j, "syringe", dose, v)
            now += timedelta(minutes=3)
        for _ in range(r.randint(1, 2)):
            read("S1", "shipping-vial", vial, volume)
            now += timedelta(minutes=r.randint(1, 40))
        add(now, 'transfer: {from: Y%d, into: A%d, at: "%s"}' % (j, j, iso(now)))
        now += timedelta(minutes=4)
        if r.random() < 0.5:
            read("A%d" % j, "administration-vial", dose, v)
            now += timedelta(minutes=r.randint(3, 40))
    for c in cal[1:]:
        entries.append((c["from"], -1, "meter: " + meter(c, False)))
    text = "case: 2\nzone: UTC\nhalf-life: 64.0417 h\nhalf-life-u: 0.3 h\npolicy: {label-tolerance: 15 %, basis: label}\nmeters:\n  - " + meter(cal[0], True) + "\nentries:\n"
    text += "".join("  - %s\n" % e for _, _, e in sorted(entries))
    x, cov, chi2 = fit.solve(n)
    holds = {"S1": vial, **{"A%d" % j: np.eye(n)[j] for j in range(1, n)}}
    asked = max(t for t, place, _ in entries if place >= 0)
    small = 1e-4
    more, less = (fit.solve(n, HALF_LIFE * (1 + by))[0] * left(asked, HALF_LIFE * (1 + by)) for by in (small, -small))
    longer = (more - less) * HALF_LIFE_U / (2 * small * HALF_LIFE)
    contents = {k: [1e9 * float(a @ x) * left(asked), 1e9 * math.sqrt(a @ cov @ a) * left(asked), 1e9 * float(a @ longer)] for k, a in holds.items()}
    return {"text": text, "chi2": chi2, "contents": contents}


rand = random.Random(int(sys.argv[1]))
json.dump([case(rand) for _ in range(int(sys.argv[2]))], sys.stdout)
