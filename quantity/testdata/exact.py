"""Read "KIND TEXT" lines, answer with the nearest float64 in hexadecimal.

An independent reading of a decimal number with a unit: Python's Fraction is
exact, and its division to float is correctly rounded. The factors stand here
by themselves, from their definitions.
"""

import sys
from fractions import Fraction as F

CURIE, REM, RAD, DPM = F(37) * 10**9, F(1, 100), F(1, 100), F(1, 60)
YEAR = F("365.2422") * 86400
TO_BASE = {  # base units: Bq mL g s uSv/h Gy uSv Bq/cm2 cm2 cps 1 C mm; of a meter uSv/h uGy/h mR/h cps
    "Bq": F(1), "kBq": F(10) ** 3, "MBq": F(10) ** 6, "GBq": F(10) ** 9, "TBq": F(10) ** 12,
    "uCi": CURIE / 10**6, "mCi": CURIE / 10**3, "Ci": CURIE,
    "uL": F(1, 1000), "mL": F(1), "L": F(1000), "cm3": F(1),
    "mg": F(1, 1000), "g": F(1), "kg": F(1000),
    "s": F(1), "min": F(60), "h": F(3600), "d": F(86400), "a": YEAR,
    "nSv/h": F(1, 1000), "uSv/h": F(1), "mSv/h": F(1000), "Sv/h": F(10) ** 6, "mrem/h": REM / 1000 * 10**6,
    "uGy/h": F(1), "mGy/h": F(1000), "uR/h": F(1, 1000), "mR/h": F(1), "R/h": F(1000),
    "mGy": F(1, 1000), "Gy": F(1), "rad": RAD,
    "uSv": F(1), "mSv": F(1000), "Sv": F(10) ** 6, "mrem": REM / 1000 * 10**6, "rem": REM * 10**6,
    "Bq/cm2": F(1), "kBq/cm2": F(1000), "dpm/100cm2": DPM / 100,
    "cm2": F(1), "m2": F(10) ** 4, "cps": F(1), "cpm": F(1, 60),
    "%": F(1, 100), "C": F(1),
    "um": F(1, 1000), "mm": F(1), "cm": F(10), "m": F(1000),
}

for line in sys.stdin:
    number, unit = line.split()
    try:
        print(float(F(number) * TO_BASE[unit]).hex())
    except OverflowError:
        print("inf")
