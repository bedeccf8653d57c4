package dispensing_test

import (
	"fmt"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
)

// What to draw at 11:10 for an order that wants 1.30 GBq at 13:30, when 2 %
// is expected to stay behind.
func ExampleOrder_Wanted() {
	draw := time.Date(2027, 3, 4, 11, 10, 0, 0, time.FixedZone("", -3600))
	o := dispensing.Order{
		ID: "P1", Prescribed: 1.30 * quantity.GigaBecquerel,
		At: draw.Add(140 * time.Minute), Residual: 2 * quantity.Percent,
	}
	fmt.Println("at infusion:", quantity.Both(o.Target(), 0))
	fmt.Println("at the draw:", quantity.Both(o.Wanted(draw, 230550*quantity.Second), 0))
	// Output:
	// at infusion: 1.327 GBq (35.86 mCi)
	// at the draw: 1.36 GBq (36.76 mCi)
}

// What stayed behind, by dose rate before and after in one geometry. Leaving
// out the decay between the two readings would understate it: 3.41 %.
func ExampleResidualFraction() {
	before := time.Date(2027, 3, 4, 11, 30, 0, 0, time.FixedZone("", -3600))
	f, u, err := dispensing.ResidualFraction(
		dispensing.DoseReading{At: before, Rates: []quantity.MeterRate{182}, Background: 0.2, Resolution: 1, Family: "uSv/h"},
		dispensing.DoseReading{At: before.Add(222 * time.Minute), Rates: []quantity.MeterRate{6.4}, Background: 0.2, Resolution: 0.1, Family: "uSv/h"},
		64.0417*quantity.Hour, 20*quantity.Percent)
	fmt.Printf("%.4f ± %.4f %v\n", f, u, err)
	// Output:
	// 0.0355 ± 0.0071 <nil>
}
