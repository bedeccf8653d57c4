package quantity

import (
	"math/big"
	"slices"
	"strings"
	"testing"
)

// rat is the size of one unit in base units, exactly.
func (u *unit) rat() *big.Rat {
	r := new(big.Rat).SetFrac(new(big.Int).SetUint64(u.num), new(big.Int).SetUint64(u.den))
	if u.exp >= 0 {
		return r.Mul(r, new(big.Rat).SetInt(tenTo(u.exp)))
	}
	return r.Quo(r, new(big.Rat).SetInt(tenTo(-u.exp)))
}

// TestUnitsAgreeWithConstants holds the table against the constants of the
// types, or the figure of NIST SP 811 where no constant is needed (from memory, not
// seen): the float64 nearest to the exact factor must be it.
func TestUnitsAgreeWithConstants(t *testing.T) {
	want := map[string]float64{
		"Bq": float64(Becquerel), "kBq": float64(KiloBecquerel), "MBq": float64(MegaBecquerel),
		"GBq": float64(GigaBecquerel), "TBq": float64(TeraBecquerel),
		"uCi": 3.7e4, "mCi": float64(MilliCurie), "Ci": 3.7e10,
		"uL": float64(Microlitre), "mL": float64(Millilitre), "L": float64(Litre), "cm3": 1,
		"mg": 1e-3, "g": 1, "kg": float64(Kilogram),
		"s": float64(Second), "min": float64(Minute), "h": float64(Hour), "d": float64(Day), "a": float64(Year),
		"nSv/h": 1e-3, "uSv/h": float64(MicroSievertPerHour), "mSv/h": float64(MilliSievertPerHour),
		"Sv/h": 1e6, "mrem/h": 10,
		"mGy": 1e-3, "Gy": float64(Gray), "rad": 1e-2,
		"uSv": float64(MicroSievert), "mSv": float64(MilliSievert), "Sv": float64(Sievert),
		"mrem": 10, "rem": 1e4,
		"Bq/cm2": float64(BecquerelPerCm2), "kBq/cm2": float64(KiloBecquerelPerCm2), "dpm/100cm2": float64(DpmPer100Cm2),
		"cm2": float64(SquareCentimetre), "m2": 1e4, "cps": 1, "cpm": 1.0 / 60,
		"%": float64(Percent), "C": 1,
		"uGy/h": 1, "mGy/h": 1e3, "uR/h": 1e-3, "mR/h": 1, "R/h": 1e3, // of a meter alone, as its other units are above
		"um": float64(Micrometre), "mm": float64(Millimetre), "cm": float64(Centimetre), "m": float64(Metre),
	}
	seen := map[string]bool{}
	for k := range kinds {
		for i := range classes[k].units {
			u := &classes[k].units[i]
			if seen[u.symbol] && k != meterRate {
				t.Errorf("%s stands in the table twice", u.symbol)
			}
			seen[u.symbol] = true
			got, _ := u.rat().Float64()
			if w, ok := want[u.symbol]; !ok || got != w {
				t.Errorf("1 %s = %v base units, the constant says %v (known: %v)", u.symbol, got, w, ok)
			}
			if u.den != 1 && (u.num != 1 || u.den > 9) {
				t.Errorf("%s: exact division in number.fast assumes num 1 and den below 10", u.symbol)
			}
			if strings.Trim(u.symbol, letters+"0123456789/%") != "" {
				t.Errorf("%s is not plain ASCII", u.symbol)
			}
		}
	}
	if len(seen) != len(want) {
		t.Errorf("the table has %d units, the constants %d", len(seen), len(want))
	}
}

// TestUnitListsAreUnits follows the names used elsewhere in the table.
func TestUnitListsAreUnits(t *testing.T) {
	for k := range kinds {
		c := classes[k]
		for _, list := range [][]string{c.usual, c.scale, c.old} {
			for i, s := range list {
				if find(k, s) == nil {
					t.Errorf("%s offers %s, which is none of its units", c.name, s)
				}
				if i > 0 && &list[0] != &c.usual[0] && find(k, list[i-1]).rat().Cmp(find(k, s).rat()) >= 0 {
					t.Errorf("%s: %s does not come after a smaller unit", c.name, s)
				}
			}
		}
	}
	for _, b := range bases {
		if find(b.kind, b.write) == nil {
			t.Errorf("%s would be written in %s, which is no unit", b.symbol, b.write)
		}
	}
	for v, symbol := range variants {
		if !slices.ContainsFunc(classes[:], func(c class) bool {
			return slices.ContainsFunc(c.units, func(u unit) bool { return u.symbol == symbol })
		}) {
			t.Errorf("%s stands for %s, which is no unit", v, symbol)
		}
	}
}

func TestUnitsListsACopy(t *testing.T) {
	u := Units[Activity]()
	if got := strings.Join(u, " "); got != "Bq kBq MBq GBq TBq uCi mCi Ci" {
		t.Errorf("Units[Activity]() = %s", got)
	}
	u[0] = "changed"
	if Units[Activity]()[0] != "Bq" {
		t.Error("a caller can change the table")
	}
	if got := strings.Join(Units[Length](), " "); got != "um mm cm m" {
		t.Errorf("Units[Length]() = %s", got)
	}
}

func TestShown(t *testing.T) {
	for text, want := range map[string]string{
		"182 uSv/h, 180 uSv/h": "182 µSv/h, 180 µSv/h", "uSv/h": "µSv/h", "7200 dpm/100cm2": "7200 dpm/100 cm²", "20 uCi": "20 microcurie", "1.30 GBq": "1.30 GBq",
		"a word": "a word", "": "", "5": "5",
	} {
		if got := Shown(text); got != want {
			t.Errorf("%q is shown as %q, not %q", text, got, want)
		}
	}
}
