"""Yields of draws by linear propagation with the package uncertainties.

Each line of standard input has: reading before and after (MBq, gross), their
background (MBq), step of the display (MBq), relative repeatability, minutes
between the readings, half-life (h), volume before and drawn (mL), graduation
(mL). Each line of the answer has the yield and its standard uncertainty.
"""
import math
import sys

from uncertainties import ufloat


def net(gross, background, step, repeat):
    value = gross - background
    own = max(repeat * abs(value), step / math.sqrt(12))
    return ufloat(value, own) - ufloat(0, repeat * background)


for line in sys.stdin:
    b, a, bg, step, repeat, minutes, half, had, drawn, g = map(float, line.split())
    volume = ufloat(drawn, g / math.sqrt(12))
    stayed = net(a, bg, step, repeat) * 2 ** (minutes / 60 / half) / net(b, bg, step, repeat)
    y = (1 - stayed) * had / volume
    print(repr(y.nominal_value), repr(y.std_dev))
