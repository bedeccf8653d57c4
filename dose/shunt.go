package dose

import (
	"fmt"
	"math"

	"vialwright/quantity"
	"vialwright/uncertainty"
)

// View is a pair of planar counts of one region, with its area. Pixels is 0
// where no background is taken away.
type View struct {
	// Anterior and Posterior are counts, Pixels the area they were counted in.
	Anterior, Posterior, Pixels float64
}

// Counts are those of a planar lung shunt study. Background is nil where none
// was taken away.
type Counts struct {
	Lungs, Liver View
	Background   *View
}

// Shunt is the lung shunt fraction with its absolute standard uncertainty, and
// how it was found. The zero Shunt is one that nobody stated.
type Shunt struct {
	Value, U quantity.Fraction
	Method   string
	// counted is the fraction with its sources.
	counted *uncertainty.Number
}

// Given tells whether there is one.
func (s Shunt) Given() bool { return s.Method != "" }

func (s Shunt) number() uncertainty.Number {
	if s.counted != nil {
		return *s.counted
	}
	return uncertainty.New(float64(s.Value), float64(s.U), "lung shunt fraction", math.Inf(1))
}

// ShuntOf is the lung shunt fraction by geometric means:
//
//	net = gross - background · pixels/background pixels
//	G   = sqrt(net anterior · net posterior)
//	L   = G_lungs/(G_lungs + G_liver)
//
// Its uncertainty is that of counting alone (Poisson), u² = counts; scatter,
// attenuation and where the regions are drawn come on top. A net count that is
// not positive is refused, never clipped.
func ShuntOf(c Counts) (Shunt, *Error) {
	var ant, post uncertainty.Number
	if b := c.Background; b != nil {
		if b.Pixels <= 0 || c.Lungs.Pixels <= 0 || c.Liver.Pixels <= 0 {
			return Shunt{}, refuse("background", "area-missing", "a background needs the area of every region", "write the pixels of lungs, liver and background")
		}
		ant, post = counted(b.Anterior, "background, anterior").Scale(1/b.Pixels), counted(b.Posterior, "background, posterior").Scale(1/b.Pixels)
	}
	mean := func(v View, name string) (uncertainty.Number, *Error) {
		a := counted(v.Anterior, name+", anterior").Sub(ant.Scale(v.Pixels))
		p := counted(v.Posterior, name+", posterior").Sub(post.Scale(v.Pixels))
		if !(a.Value() > 0 && p.Value() > 0) {
			return a, refuse(name, "net-not-positive", fmt.Sprintf("the net counts of the %s are %.0f anterior and %.0f posterior, and both have to be above 0", name, a.Value(), p.Value()),
				"check the counts, the areas and the place of the background; a fraction cannot be worked out from them")
		}
		return a.Mul(p).Pow(0.5), nil
	}
	lungs, err := mean(c.Lungs, "lungs")
	if err != nil {
		return Shunt{}, err
	}
	liver, err := mean(c.Liver, "liver")
	if err != nil {
		return Shunt{}, err
	}
	l := lungs.Div(lungs.Add(liver))
	method := "planar geometric mean, no background taken away; uncertainty of counting alone"
	if c.Background != nil {
		method = "planar geometric mean, background taken away; uncertainty of counting alone"
	}
	return Shunt{quantity.Fraction(l.Value()), quantity.Fraction(l.U()), method, &l}, nil
}

// counted is a Poisson count.
func counted(n float64, name string) uncertainty.Number {
	return uncertainty.New(n, math.Sqrt(n), name, math.Inf(1))
}
