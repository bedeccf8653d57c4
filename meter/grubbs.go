package meter

import (
	"fmt"
	"math"

	"vialwright/uncertainty"
)

// Outlier is the value farthest from the mean of all.
type Outlier struct {
	Index int // of the value, from 0
	// G is its distance from the mean in experimental standard deviations,
	// Critical what G exceeds with the given chance where all is well.
	G, Critical float64
	// Found says that G exceeds Critical.
	Found bool
}

// grubbsCritical gives the critical value for n values, two-sided (the farthest on either
// side):
//
//	G = (n-1)/sqrt(n) sqrt(t^2/(n - 2 + t^2)), t = t_(1 - chance/(2 n))(n - 2)
//
// (Grubbs 1969). Errors: too-few for n < 3, and bad-chance unless 0 < chance < 1.
func grubbsCritical(n int, chance float64) (float64, error) {
	if n < 3 {
		return 0, refuse("too-few", fmt.Sprintf("Among %d values none can be an outlier.", n), "Take three or more.")
	}
	if !(chance > 0 && chance < 1) {
		return 0, refuse("bad-chance", "The chance of a false alarm lies between 0 and 1.", "5 % is usual.")
	}
	m := float64(n)
	t, _ := uncertainty.New(0, 1, "t", m-2).Coverage(1 - chance/m)
	if math.IsNaN(t) {
		return 0, refuse("bad-chance", "The chance of a false alarm is too small to be reckoned with.", "5 % is usual.")
	}
	return (m - 1) / math.Sqrt(m) * math.Sqrt(t*t/(m-2+t*t)), nil
}

// Grubbs tests the value farthest from the mean, two-sided. One outlier at most
// can be judged so. Errors: too-few, bad-chance, bad-value, no-spread.
func Grubbs[Q ~float64](values []Q, chance float64) (Outlier, error) {
	if err := checkValues(values); err != nil {
		return Outlier{}, err
	}
	critical, err := grubbsCritical(len(values), chance)
	if err != nil {
		return Outlier{}, err
	}
	x := make([]float64, len(values))
	for i, v := range values {
		x[i] = float64(v)
	}
	mean, sd := meanSD(x)
	if !(sd > 0) {
		return Outlier{}, refuse("no-spread", "The values are all the same.", "Record them with more digits.")
	}
	o := Outlier{Critical: critical}
	for i, v := range x {
		if g := math.Abs(v-mean) / sd; g > o.G {
			o.Index, o.G = i, g
		}
	}
	o.Found = o.G > critical
	return o, nil
}

// meanSD gives mean and experimental standard deviation of two values or more
// (JCGM 100:2008 4.2.1 and 4.2.2).
func meanSD(x []float64) (mean, sd float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v / n
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sd / (n - 1))
}
