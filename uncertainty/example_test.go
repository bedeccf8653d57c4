package uncertainty_test

import (
	"errors"
	"fmt"
	"math"

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

// A vial labelled 3.00 GBq -+ 10 % is measured at 2.80 GBq.
func ExampleConformance() {
	p, err := uncertainty.Conformance(2.80, 0.09, uncertainty.Limits{Lower: 2.70, Upper: 3.30})
	fmt.Printf("%.4f %v\n", p, err)
	// Output: 0.8667 <nil>
}
