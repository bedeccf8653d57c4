"""Read "VALUE U EXP" lines (floats in hexadecimal), print value and u in units
of 10^EXP, rounded as JCGM 100:2008, 7.2.6 asks: u to two significant digits,
the value to the same place, half to even.

An independent rounding: Python's Decimal holds each float64 exactly.
"""

import sys
from decimal import ROUND_HALF_EVEN, Context, Decimal, getcontext

getcontext().prec = 2000
TWO = Context(prec=2, rounding=ROUND_HALF_EVEN)


def text(d):
    if d.is_zero():
        d = abs(d)
    if d.as_tuple().exponent > 0:
        d = d.quantize(Decimal(1))
    return format(d, "f")


for line in sys.stdin:
    value, u, exp = line.split()
    value = Decimal(float.fromhex(value)).scaleb(-int(exp))
    u = TWO.plus(Decimal(float.fromhex(u)).scaleb(-int(exp)))
    place = Decimal(1).scaleb(u.adjusted() - 1)
    print(text(value.quantize(place, rounding=ROUND_HALF_EVEN)), text(u.quantize(place)))
