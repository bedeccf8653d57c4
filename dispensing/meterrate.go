package dispensing

import (
	"fmt"
	"slices"
	"strings"

	"vialwright/quantity"
)

// MeterRate is what a survey meter shows, in its own unit. Readings of one Family
// can be compared; those of two cannot: a roentgen, a gray in air and a count
// become sieverts only by a calibration.
type MeterRate struct {
	// Value is in the base unit of the family.
	Value  float64
	Family string
	// Text is as written.
	Text string
	// Step is the least step of the display, in base units.
	Step float64
}

// rateUnit is a unit that meters show: its family, and base units in one.
type rateUnit struct {
	symbol, family string
	size           float64
}

var rateUnits = []rateUnit{
	{"nSv/h", "uSv/h", 1e-3},
	{"uSv/h", "uSv/h", 1},
	{"mSv/h", "uSv/h", 1e3},
	{"mrem/h", "uSv/h", 10},
	{"uGy/h", "uGy/h", 1},
	{"mGy/h", "uGy/h", 1e3},
	{"uR/h", "mR/h", 1e-3},
	{"mR/h", "mR/h", 1},
	{"R/h", "mR/h", 1e3},
	{"cps", "cps", 1},
	{"cpm", "cps", 1.0 / 60},
}

// RateUnits are the units of a MeterRate.
func RateUnits() []string {
	out := make([]string, len(rateUnits))
	for i, u := range rateUnits {
		out[i] = u.symbol
	}
	return out
}

// ParseRate reads what a survey meter shows: "218 uSv/h", "5.8 mR/h", "410 cps".
// The error is that of the number, or names the units there are.
func ParseRate(text string) (MeterRate, error) {
	s := strings.NewReplacer("µ", "u", "μ", "u").Replace(strings.TrimSpace(text))
	number, symbol, _ := strings.Cut(s, " ")
	i := slices.IndexFunc(rateUnits, func(u rateUnit) bool { return u.symbol == symbol })
	if i < 0 {
		return MeterRate{}, fmt.Errorf("%q is not what a survey meter shows; write a number and one of %s", text, strings.Join(RateUnits(), ", "))
	}
	q, err := quantity.Parse[quantity.DoseRate](number + " uSv/h") // the number alone
	if err != nil {
		return MeterRate{}, err
	}
	digits, _ := q.Split()
	step := 1.0
	if _, after, ok := strings.Cut(digits, "."); ok {
		for range after {
			step /= 10
		}
	}
	u := rateUnits[i]
	return MeterRate{float64(q.Value) * u.size, u.family, digits + " " + symbol, step * u.size}, nil
}
