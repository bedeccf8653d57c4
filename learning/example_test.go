package learning_test

import (
	"fmt"

	"vialwright/learning"
	"vialwright/quantity"
)

// Six draws of an invented site, and what the next plan makes of them.
func Example() {
	site := learning.NewSite()
	for _, q := range []learning.Draw{
		{Kind: "flat vial", Person: "Ada", Lot: "L1", Yield: 0.957, U: 0.012},
		{Kind: "flat vial", Person: "Ada", Lot: "L1", Yield: 0.949, U: 0.012},
		{Kind: "flat vial", Person: "Ada", Lot: "L2", Yield: 0.972, U: 0.010},
		{Kind: "flat vial", Person: "Ada", Lot: "L2", Yield: 0.961, U: 0.015},
		{Kind: "flat vial", Person: "Ben", Lot: "L3", Yield: 0.985, U: 0.010},
	} {
		if err := site.AddDraw(q); err != nil {
			panic(err)
		}
	}
	for _, person := range []string{"Ada", "Ben", "Cy"} {
		s, err := site.Yields.Show("flat vial", person, 0.95)
		if err != nil {
			panic(err)
		}
		fmt.Println(s.Sentence())
		fmt.Printf("q = %.3f, u = %.3f\n", float64(s.Predictive.Mean), float64(s.Predictive.SD))
	}
	// Output:
	// The 4 preparations by Ada with flat vial gave 96.0 % on average, with a scatter of 1.0 %; with all 5 preparations of the site the plan expects 96.4 % (92.7 % to 100.3 %), without any it would expect 100.0 % (82.1 % to 117.9 %).
	// q = 0.964, u = 0.019
	// The one preparation by Ben with flat vial gave 98.5 %; with all 5 preparations of the site the plan expects 97.7 % (93.2 % to 101.9 %), without any it would expect 100.0 % (82.1 % to 117.9 %).
	// q = 0.977, u = 0.022
	// None of the 5 preparations is by Cy with flat vial; with all 5 preparations of the site the plan expects 97.2 % (91.0 % to 104.0 %), without any it would expect 100.0 % (82.1 % to 117.9 %).
	// q = 0.972, u = 0.031
}

// A slipped digit is named, not averaged away.
func ExampleModel_Unusual() {
	site := learning.NewSite()
	for _, mbq := range []float64{38, 41, 35, 44, 39, 402, 37, 42} {
		r := learning.Residual{Kind: "flat vial", Person: "Ada", Fraction: 0.03, FractionU: 0.006}
		r.Activity, r.ActivityU = quantity.Activity(mbq)*quantity.MegaBecquerel, 4*quantity.MegaBecquerel
		if err := site.AddResidual(r); err != nil {
			panic(err)
		}
	}
	unusual, err := site.Activities.Unusual(0.01)
	if err != nil {
		panic(err)
	}
	for _, u := range unusual {
		fmt.Println(u.Sentence())
	}
	// Output:
	// flat vial by Ada gave 402 MBq; the others predict 39.4 MBq ± 3.59 MBq (z = 7.2). Look into it, and set it aside only with a reason.
}
