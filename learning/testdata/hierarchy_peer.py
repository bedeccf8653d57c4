"""The hierarchical model by brute force, for comparison.

Every combination of the three spreads on a Gauss-Legendre grid in
t = tau/(A + tau), and for each the joint normal distribution of all data and the
wanted value as one dense matrix: nothing is folded level by level. Reads a request
in JSON from standard input, writes the answer in JSON.
"""

import json
import sys

import numpy as np
from scipy.stats import norm, t as student


def spread(prior, nodes):
    a, top = prior["scale"], 30.0
    x, w = np.polynomial.legendre.leggauss(nodes)
    end = top / (1 + top)
    x, w = end * (x + 1) / 2, end * w / 2
    tau = a * x / (1 - x)
    density = student.pdf(tau / a, 4) if prior["shape"] == "" else np.ones_like(tau)
    return tau, w / (1 - x) ** 2 * density * np.exp(-((tau / (10 * a)) ** 2))


def answer(q):
    y = np.array(q["y"]) - q["mean"]
    u = np.array(q["u"])
    kind, person = np.array(q["kind"]), np.array(q["person"])
    n = len(y)
    same_kind = (kind[:, None] == kind[None, :]).astype(float)
    same = same_kind * (person[:, None] == person[None, :])
    s0 = q["sd"] ** 2
    ts, ws = spread(q["scatter"], q["nodes"])
    tp, wp = spread(q["persons"], q["nodes"])
    tk, wk = spread(q["kinds"], q["nodes"])
    tp2, tk2 = [m.ravel() ** 2 for m in np.meshgrid(tp, tk, indexing="ij")]
    wpk = np.outer(wp, wk).ravel()

    logs, weights, means, variances = [], [], [], []
    for sigma, w in zip(ts, ws):
        v = s0 + tk2[:, None, None] * same_kind + tp2[:, None, None] * same
        v = v + np.diag(u**2 + sigma**2)
        chol = np.linalg.cholesky(v)
        z = np.linalg.solve(chol, np.broadcast_to(y[:, None], (len(tp2), n, 1)))[..., 0]
        logs.append(-np.log(np.diagonal(chol, axis1=1, axis2=2)).sum(1) - (z**2).sum(1) / 2)
        weights.append(w * wpk)
        m_row, v_row = [], []
        for tkind, tperson in q["targets"]:
            k = (kind == tkind).astype(float)
            g = k * (person == tperson)
            for level in range(4):
                c = s0 + np.zeros((len(tp2), n))
                own = s0 + np.zeros(len(tp2))
                if level >= 1:
                    c, own = c + tk2[:, None] * k, own + tk2
                if level >= 2:
                    c, own = c + tp2[:, None] * g, own + tp2
                if level >= 3:
                    own = own + sigma**2
                a = np.linalg.solve(chol, c[..., None])[..., 0]
                m_row.append((a * z).sum(1))
                v_row.append(own - (a**2).sum(1))
        means.append(m_row)
        variances.append(v_row)
    logs = np.array(logs)
    p = np.array(weights) * np.exp(logs - logs.max())
    p /= p.sum()
    m = np.moveaxis(np.array(means), 1, 0)
    v = np.moveaxis(np.array(variances), 1, 0)
    out = []
    for i in range(len(q["targets"])):
        row = []
        for level in range(4):
            mi, vi = m[4 * i + level], v[4 * i + level]
            mean = (p * mi).sum()
            row += [mean + q["mean"], np.sqrt((p * (vi + (mi - mean) ** 2)).sum())]
        mi, vi = m[4 * i + 3], v[4 * i + 3]
        for x in q["cut"][i]:
            row.append((p * norm.cdf((x - q["mean"] - mi) / np.sqrt(vi))).sum())
        x, ux = q["asked"][i]
        f = (p * norm.cdf((x - q["mean"] - mi) / np.sqrt(vi + ux**2))).sum()
        row.append(norm.ppf(f))
        out.append(row)
    spreads = []
    for tau in (ts[:, None] + 0 * tp2, np.sqrt(tp2) + 0 * p, np.sqrt(tk2) + 0 * p):
        spreads.append((p * tau).sum())
    return {"targets": out, "spreads": spreads}


json.dump(answer(json.load(sys.stdin)), sys.stdout)
