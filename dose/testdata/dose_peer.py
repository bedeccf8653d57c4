"""Mean absorbed doses with their uncertainty, reckoned by another program.

Prints random prescription files with the lung shunt fraction and the doses that the
published formulas give (package comment of dose); uncertainties are by central
differences of the whole formula in every input. Arguments: a seed and how many.
"""

import json
import math
import random
import sys

# (50.04/49.38 - 1) as the width of a rectangle: what the constants in print differ by
CONSTANT, CONSTANT_U = 49.67, (50.04 / 49.38 - 1) / math.sqrt(12)
DEFAULT = 1e9 * 230550 / math.log(2) * 0.93310 * 1.602176634e-13


def spread(f, x, u):
    total = 0.0
    for i, ui in enumerate(u):
        if ui:
            h = 1e-6 * x[i]
            up, down = list(x), list(x)
            up[i], down[i] = x[i] + h, x[i] - h
            total += ((f(up) - f(down)) / (2 * h) * ui) ** 2
    return math.sqrt(total)


def case(r):
    lines = ["prescription: 1", "zone: Europe/Berlin", "id: P1", "at: 2027-03-04T13:30", "dose-constant: 49.67 Gy kg/GBq"]
    x, u = [], []

    def given(name, value, unit, relative):
        lines.append("%s: %g%s" % (name, value, unit))
        if relative:
            lines.append("%s-u: %g %%" % (name, relative))
        x.append(value)
        u.append(value * relative / 100)

    rel = lambda *choices: r.choice((0,) + choices)
    given("prescribed", round(r.uniform(0.3, 5), 2), " GBq", rel(2, 5))
    given("lung-mass", round(r.uniform(0.6, 1.3), 2), " kg", rel(10, 20))
    x.append(CONSTANT)
    u.append(CONSTANT_U * DEFAULT)
    stays = r.choice([0, 1, 3.5])
    if stays:
        lines.append("residual: %g %%" % stays)
    pixels = [r.randint(1000, 3000), r.randint(800, 2500), r.randint(300, 2000)]
    counts = [r.randint(9000, 40000), r.randint(9000, 40000), r.randint(90000, 400000), r.randint(90000, 400000), r.randint(0, 900), r.randint(0, 900)]
    names = ("lungs", "liver", "background")
    lines.append("lung-shunt-counts: {" + ", ".join("%s: {anterior: %d counts, posterior: %d counts, area: %d px}" % (k, counts[2 * i], counts[2 * i + 1], pixels[i]) for i, k in enumerate(names)) + "}")

    def shunt(c):
        q = [p / pixels[2] for p in pixels]
        g = [math.sqrt((c[2 * i] - c[4] * q[i]) * (c[2 * i + 1] - c[5] * q[i])) for i in (0, 1)]
        return g[0] / (g[0] + g[1])

    if min(counts[0] - counts[4] * pixels[0] / pixels[2], counts[1] - counts[5] * pixels[0] / pixels[2]) <= 100:
        return case(r)
    x.append(shunt(counts))
    u.append(spread(shunt, counts, [math.sqrt(c) for c in counts]))
    into = lambda z: z[0] * z[2] * (1 - stays / 100)
    doses = {"lungs": lambda z: into(z) * z[3] / z[1]}
    if r.random() < 0.4:
        lines.append("method: mono-compartment")
        given("perfused-mass", round(r.uniform(0.2, 2), 2), " kg", rel(5, 8))
        doses["perfused volume"] = lambda z: into(z) * (1 - z[3]) / z[4]
    else:
        lines.append("method: partition")
        given("tumour-mass", round(r.uniform(0.02, 0.8), 3), " kg", rel(10, 15))
        given("normal-mass", round(r.uniform(0.4, 2), 2), " kg", rel(5, 8))
        given("tumour-to-normal", round(r.uniform(1, 9), 1), " to 1", rel(20, 30))
        normal = lambda z: into(z) * (1 - z[3]) / (z[6] * z[4] + z[5])
        doses["normal liver, perfused"], doses["tumour"] = normal, lambda z: normal(z) * z[6]
    return {"text": "\n".join(lines) + "\n", "shunt": [x[3], u[3]], "doses": {k: [f(x), spread(f, x, u)] for k, f in doses.items()}}


rand = random.Random(int(sys.argv[1]))
json.dump([case(rand) for _ in range(int(sys.argv[2]))], sys.stdout)
