package uncertainty

import (
	"math"
	"math/bits"
)

// stream is the permuted congruential generator PCG-DXSM with 128 bits of state
// (M. E. O'Neill, HMC-CS-2014-0905, 2014), number for number the one of
// math/rand/v2 (a test holds them together). It stands here so that the loops
// that fill a column keep its state in registers.
type stream struct{ hi, lo uint64 }

// newStream gives every (seed, block) a start of its own. The map is one to one,
// and each word is scrambled (SplitMix64: Steele, Lea & Flood, OOPSLA 2014), so
// that neighbouring blocks do not begin at neighbouring states.
func newStream(seed, block uint64) stream {
	lo := scramble(block)
	return stream{hi: scramble(seed ^ lo), lo: lo}
}

func scramble(z uint64) uint64 {
	z += 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// step advances the congruential state, state * multiplier + increment modulo
// 2^128. It is kept apart from output so that both are inlined.
func step(hi, lo uint64) (uint64, uint64) {
	const (
		mulHi = 2549297995355413924
		mulLo = 4865540595714422341
		incHi = 6364136223846793005
		incLo = 1442695040888963407
	)
	h, l := bits.Mul64(lo, mulLo)
	h += hi*mulLo + lo*mulHi
	l, c := bits.Add64(l, incLo, 0)
	h, _ = bits.Add64(h, incHi, c)
	return h, l
}

// output is the permutation DXSM, double xorshift multiply.
func output(hi, lo uint64) uint64 {
	const cheapMul = 0xda942042e4dd58b5
	hi ^= hi >> 32
	hi *= cheapMul
	hi ^= hi >> 48
	return hi * (lo | 1)
}

func (g *stream) uint64() uint64 {
	g.hi, g.lo = step(g.hi, g.lo)
	return output(g.hi, g.lo)
}

// unit is rectangular on [0, 1), a multiple of 2^-53.
func (g *stream) unit() float64 { return float64(g.uint64()>>11) * 0x1p-53 }

// positive is rectangular on (0, 1], safe for a logarithm.
func (g *stream) positive() float64 { return 1 - g.unit() }

// units fills dst with values rectangular on [low, low + width).
func (g *stream) units(dst []float64, low, width float64) {
	hi, lo := g.hi, g.lo
	width *= 0x1p-53
	for t := range dst {
		hi, lo = step(hi, lo)
		dst[t] = low + width*float64(output(hi, lo)>>11)
	}
	g.hi, g.lo = hi, lo
}

// exponential is -ln U, with mean 1.
func (g *stream) exponential() float64 { return -math.Log(g.positive()) }

// gamma has the given shape > 0 and scale 1: the squeeze-free rejection of
// G. Marsaglia and W. W. Tsang, ACM Trans. Math. Softw. 26 (2000) 363-372, which
// takes about one normal and one logarithm for a value. Below shape 1 a value of
// shape + 1 is multiplied by U^(1/shape).
func (g *stream) gamma(shape float64) float64 {
	if shape < 1 {
		return g.gamma(shape+1) * math.Pow(g.positive(), 1/shape)
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := g.normal()
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
