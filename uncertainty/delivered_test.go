package uncertainty

import "math"

// The delivered-activity chain as one model of ten inputs, an invented case: a
// vial is read before and after the draw on one activity meter in one geometry,
// what was drawn is carried to the infusion, and the residual is taken off
// by the ratio of two dose rates.
//
//	X_i  = (g_i - b) / (k s (1 + e_i)) exp(lambda (t_i - t_inf))
//	f    = (R2 - B2)/(R1 - B1) exp(lambda (t_after - t_before))
//	A    = (X_1 - X_2) (1 - f)
//
// testdata/mc_peer.py holds the same inputs and the same model.
const (
	chainGross1, chainGross2 = 3.24e9, 1.85e9 // Bq
	chainRead1, chainRead2   = -2.5, -2.27    // h from the infusion
	chainResidualGap         = 3.7            // h between the two dose rates
)

var chainInputs = [][2]float64{ // estimate and standard uncertainty
	{1, 0.02},             // k, calibration of the meter
	{1, 0.01},             // s, geometry
	{0, 0.008},            // e1, repeatability of the first reading
	{0, 0.008},            // e2, of the second
	{0.2e6, 0.05e6},       // b, meter background in Bq
	{64.0417, 0.0312},     // half-life in h
	{182, 2}, {0.2, 0.05}, // R1, B1 in uSv/h
	{6.4, 0.2}, {0.2, 0.05}, // R2, B2
}

// chainNumbers gives the inputs as Numbers of Type B.
func chainNumbers() []Number {
	names := []string{"meter", "geometry", "reading 1", "reading 2", "background", "half-life", "R1", "B1", "R2", "B2"}
	x := make([]Number, len(chainInputs))
	for i, in := range chainInputs {
		x[i] = New(in[0], in[1], names[i], math.Inf(1))
	}
	return x
}

// linearChain is the same model in Numbers, operation by operation.
func linearChain(x []Number) Number {
	one := Exact(1)
	lambda := Exact(math.Ln2).Div(x[5])
	read := func(gross float64, e Number, at float64) Number {
		return Exact(gross).Sub(x[4]).Div(one.Add(e)).Mul(lambda.Scale(at).Exp())
	}
	drawn := read(chainGross1, x[2], chainRead1).Sub(read(chainGross2, x[3], chainRead2)).Div(x[0].Mul(x[1]))
	f := x[8].Sub(x[9]).Div(x[6].Sub(x[7])).Mul(lambda.Scale(chainResidualGap).Exp())
	return drawn.Mul(one.Sub(f))
}
