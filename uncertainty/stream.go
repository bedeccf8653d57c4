package uncertainty

import (
	"math"
	"math/rand/v2"
)

// stream is the generator PCG-DXSM of the standard library with what the
// inputs draw from it.
type stream struct{ *rand.Rand }

// newStream gives every (seed, block) a start of its own. The map is one to one,
// and each word is scrambled (SplitMix64: Steele, Lea & Flood, OOPSLA 2014), so
// that neighbouring blocks do not begin at neighbouring states.
func newStream(seed, block uint64) stream {
	lo := scramble(block)
	return stream{rand.New(rand.NewPCG(scramble(seed^lo), lo))}
}

func scramble(z uint64) uint64 {
	z += 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// positive is rectangular on (0, 1], safe for a logarithm.
func (g stream) positive() float64 { return 1 - g.Float64() }

// units fills dst with values rectangular on [low, low + width).
func (g stream) units(dst []float64, low, width float64) {
	for t := range dst {
		dst[t] = low + width*g.Float64()
	}
}

// normals fills dst with normal values.
func (g stream) normals(dst []float64, mean, sd float64) {
	for t := range dst {
		dst[t] = mean + sd*g.NormFloat64()
	}
}

// gamma has the given shape > 0 and scale 1: the squeeze-free rejection of
// G. Marsaglia and W. W. Tsang, ACM Trans. Math. Softw. 26 (2000) 363-372, which
// takes about one normal and one logarithm for a value. Below shape 1 a value of
// shape + 1 is multiplied by U^(1/shape).
func (g stream) gamma(shape float64) float64 {
	if shape < 1 {
		return g.gamma(shape+1) * math.Pow(g.positive(), 1/shape)
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := g.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v = v * v * v
		if math.Log(g.positive()) < x*x/2+d*(1-v+math.Log(v)) {
			return d * v
		}
	}
}
