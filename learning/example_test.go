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
		{Kind: "flat vial", Person: "Ada", Yield: 0.957, U: 0.012},
		{Kind: "flat vial", Person: "Ada", Yield: 0.949, U: 0.012},
		{Kind: "flat vial", Person: "Ada", Yield: 0.972, U: 0.010},
		{Kind: "flat vial", Person: "Ada", Yield: 0.961, U: 0.015},
		{Kind: "flat vial", Person: "Ben", Yield: 0.985, U: 0.010},
	} {
		if err := site.AddDraw(q); err != nil {
			panic(err)
		}
	}
	for _, person := range []string{"Ada", "Ben", "Cy"} {
		p := site.Yields.Predict("flat vial", person)
		fmt.Printf("%s: q = %.3f, u = %.3f, 95 %% of draws from %.3f to %.3f\n", person, float64(p.Mean), float64(p.SD), float64(p.Low), float64(p.High))
	}
	// Output:
	// Ada: q = 0.964, u = 0.019, 95 % of draws from 0.927 to 1.003
	// Ben: q = 0.977, u = 0.022, 95 % of draws from 0.932 to 1.019
	// Cy: q = 0.972, u = 0.031, 95 % of draws from 0.910 to 1.040
}

// A slipped digit is named, not averaged away.
func ExampleModel_Unusual() {
	site := learning.NewSite()
	for _, mbq := range []float64{38, 41, 35, 44, 39, 402, 37, 42} {
		r := learning.Residual{Fraction: 0.03, FractionU: 0.006}
		r.Activity, r.ActivityU = quantity.Activity(mbq)*quantity.MegaBecquerel, 4*quantity.MegaBecquerel
		if err := site.AddResidual("flat vial", "Ada", r); err != nil {
			panic(err)
		}
	}
	for _, u := range site.Activities.Unusual() {
		fmt.Println(u.Sentence())
	}
	// Output:
	// flat vial by Ada gave 402 MBq; the others predict 39.4 MBq ± 3.59 MBq (z = 7.2). Look into it, and set it aside only with a reason.
}
