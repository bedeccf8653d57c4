"""Density (g/cm3) and viscosity (mPa s) of water at 0.1 MPa by python3-iapws.

One line per temperature in C given as an argument: temperature, the
Supplementary Release SR6-08(2011) twice, then IAPWS-95 density and R12-08
viscosity.
"""
import sys
import warnings

warnings.simplefilter("ignore")
from iapws import IAPWS95, _iapws

for text in sys.argv[1:]:
    kelvin = float(text) + 273.15
    liquid = _iapws._Liquid(kelvin)
    full = IAPWS95(T=kelvin, P=0.1)
    print(text, repr(liquid["rho"] / 1e3), repr(liquid["mu"] * 1e3),
          repr(full.rho / 1e3), repr(full.mu * 1e3))
