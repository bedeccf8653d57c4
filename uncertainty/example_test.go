package uncertainty_test

import (
	"errors"
	"fmt"
	"math"
	"runtime"

	"vialwright/quantity"
	"vialwright/uncertainty"
)

// Two readings of one meter share its calibration factor. Their difference is
// known far better than two independent readings would allow.
func ExampleNumber() {
	typeB := math.Inf(1)
	f := uncertainty.New(1, 0.02, "meter calibration", typeB)
	before := uncertainty.New(3.12, 0.00936, "reading before", typeB) // GBq
	after := uncertainty.New(1.52, 0.00456, "reading after", typeB)

	drawn := f.Mul(before).Sub(f.Mul(after))
	fmt.Printf("drawn %.3f GBq, u = %.4f GBq\n", drawn.Value(), drawn.U())
	for _, line := range drawn.Budget() {
		fmt.Printf("%-18s %+.5f GBq %5.1f %%\n", line.Source, line.Component, 100*line.Share)
	}
	// Output:
	// drawn 1.600 GBq, u = 0.0337 GBq
	// meter calibration  +0.03200 GBq  90.4 %
	// reading before     +0.00936 GBq   7.7 %
	// reading after      -0.00456 GBq   1.8 %
}

// Few readings make a wide interval: with 4 degrees of freedom k is 2.78, not 1.96.
func ExampleNumber_Coverage() {
	rate := uncertainty.TypeA([]float64{182, 185, 179, 181, 184}, "dose rate")
	k, expanded := rate.Coverage(0.95)
	fmt.Printf("%.1f uSv/h, u = %.2f, nu = %.0f, k = %.2f, U = %.1f uSv/h\n", rate.Value(), rate.U(), rate.Dof(), k, expanded)
	// Output: 182.2 uSv/h, u = 1.07, nu = 4, k = 2.78, U = 3.0 uSv/h
}

// A result that does not exist says so at the end of the chain.
func ExampleNumber_Err() {
	background := uncertainty.Exact(0.2)
	net := uncertainty.Exact(0.2).Sub(background)
	residual := uncertainty.Exact(6.2).Div(net).Scale(100)
	var e *uncertainty.Error
	if errors.As(residual.Err(), &e) {
		fmt.Println(e.Code, residual.Value())
		fmt.Println(e.Text)
	}
	// Output:
	// not-finite NaN
	// A result is not a finite number.
}

// Quantities read together keep their correlation (JCGM 100:2008 H.2).
func ExampleSimultaneous() {
	x, err := uncertainty.Simultaneous([][]float64{
		{5.007, 4.994, 5.005, 4.990, 4.999},                     // V
		{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3}, // A
	}, []string{"voltage", "current"})
	if err != nil {
		fmt.Println(err)
		return
	}
	z := x[0].Div(x[1])
	fmt.Printf("r = %.3f, Z = %.2f ohm, u = %.2f ohm\n", uncertainty.Corr(x[0], x[1]), z.Value(), z.U())
	// Output: r = -0.355, Z = 254.26 ohm, u = 0.24 ohm
}

// A residual fraction from two dose rates, a million trials. The seed fixes the
// result, whatever the number of workers.
func ExampleSimulate() {
	residual := func(in [][]float64, out []float64) {
		before, after, background := in[0], in[1], in[2]
		for t := range out {
			out[t] = (after[t] - background[t]) / (before[t] - background[t])
		}
	}
	s, err := uncertainty.Simulate(residual, []uncertainty.Input{
		uncertainty.Normal{Mean: 182, SD: 4}, // uSv/h
		uncertainty.Normal{Mean: 6.4, SD: 0.3},
		uncertainty.Rectangular{Low: 0.1, High: 0.3},
	}, uncertainty.Run{Trials: 1_000_000, Seed: 1, Workers: runtime.GOMAXPROCS(0)})
	if err != nil {
		fmt.Println(err)
		return
	}
	i, err := s.Symmetric(0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f, u = %.4f, 95 %% from %.4f to %.4f\n", s.Mean(), s.U(), i.Low, i.High)
	// Output: 0.0341, u = 0.0018, 95 % from 0.0306 to 0.0378
}

// The same result by linear propagation, and whether that may be trusted.
func ExampleValidate() {
	activity := func(x []float64) float64 { return x[0] / x[1] }
	linear := uncertainty.Apply(activity,
		uncertainty.New(3.0, 0.03, "reading", math.Inf(1)), uncertainty.New(1, 0.02, "factor", math.Inf(1)))
	simulated, err := uncertainty.Adapt(uncertainty.Each(activity),
		[]uncertainty.Input{uncertainty.Normal{Mean: 3.0, SD: 0.03}, uncertainty.Normal{Mean: 1, SD: 0.02}},
		uncertainty.Adaptive{P: 0.95, Digits: 2, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for digits := 1; digits <= 2; digits++ {
		v := uncertainty.Validate(linear.Interval(0.95), simulated.Interval, simulated.U(), digits)
		fmt.Printf("%d digit(s): tolerance %.4f, valid %v\n", digits, v.Tolerance, v.Valid)
	}
	// Output:
	// 1 digit(s): tolerance 0.0050, valid true
	// 2 digit(s): tolerance 0.0005, valid false
}

// A vial labelled 3.00 GBq -+ 10 % is measured at 2.80 GBq.
func ExampleConformance() {
	p, err := uncertainty.Conformance(2.80, 0.09, uncertainty.Limits{Lower: 2.70, Upper: 3.30})
	fmt.Printf("%.4f %v\n", p, err)
	// Output: 0.8667 <nil>
}

// What must be measured for 95 % confidence in the same limits; and that there is
// no such value once the uncertainty is too large.
func ExampleAcceptance() {
	limits := uncertainty.Limits{Lower: 2.70, Upper: 3.30}
	a, err := uncertainty.Acceptance(limits, 0.09, 0.95)
	fmt.Printf("%.3f to %.3f GBq, %v\n", a.Lower, a.Upper, err)
	_, err = uncertainty.Acceptance(limits, 0.20, 0.95)
	fmt.Println(err)
	// Output:
	// 2.848 to 3.152 GBq, <nil>
	// No measured value would be accepted: the uncertainty is too large for these limits. Measure with less uncertainty, or ask for less confidence.
}

// Resistors of 1500 ohm -+ 0.2 ohm: what an inspection lets through, and rejects.
func ExampleRisk() {
	limits := uncertainty.Limits{Lower: 1499.8, Upper: 1500.2}
	r, err := uncertainty.Risk(uncertainty.Process{Mean: 1500, SD: 0.12, U: 0.04}, limits, limits)
	fmt.Printf("consumer %.4f, producer %.4f, %v\n", r.Consumer, r.Producer, err)
	// Output: consumer 0.0189, producer 0.0372, <nil>
}

// A blank of 100 counts, sample and blank counted for a minute each.
func ExampleCurrie() {
	d, err := uncertainty.Currie(100, quantity.Minute, quantity.Minute)
	fmt.Printf("L_C %.1f, L_D %.1f, L_Q %.1f counts, %v\n", d.Critical, d.Detectable, d.Quantifiable, err)
	// Output: L_C 23.3, L_D 49.2, L_Q 200.0 counts, <nil>
}

// Characteristic limits with a calibration factor known to 10 %.
func ExampleNetCount_Characteristic() {
	count := uncertainty.NetCount{
		Gross: 150, GrossTime: quantity.Minute, Background: 1000, BackgroundTime: 10 * quantity.Minute,
		Factor: 25, FactorRelU: 0.10, // Bq for each count per second
	}
	c, err := count.Characteristic(uncertainty.Probabilities{Alpha: 0.05, Beta: 0.05, Gamma: 0.05})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("y = %.1f Bq, u = %.1f Bq, y* = %.1f Bq, y# = %.1f Bq, detected %v\n", c.Value, c.U, c.Threshold, c.Detection, c.Detected)
	// Output: y = 20.8 Bq, u = 5.7 Bq, y* = 7.2 Bq, y# = 15.9 Bq, detected true
}

// Ten counts.
func ExamplePoissonInterval() {
	i, err := uncertainty.PoissonInterval(10, 0.95)
	fmt.Printf("%.2f to %.2f, %v\n", i.Low, i.High, err)
	// Output: 4.80 to 18.39, <nil>
}
