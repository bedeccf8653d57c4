package meter_test

import (
	"fmt"
	"time"

	"vialwright/meter"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// The morning check with a sealed source; the tolerance is the site's.
func ExampleConstancy() {
	source := meter.Source{
		Activity: 5.55 * quantity.MegaBecquerel,
		At:       time.Date(2025, 3, 4, 12, 0, 0, 0, time.UTC),
		HalfLife: nuclide.Cs137.HalfLife(),
	}
	reading := meter.Reading{At: time.Date(2027, 3, 4, 7, 30, 0, 0, time.UTC), Net: 5.31 * quantity.MegaBecquerel, U: 0.005}
	o, err := meter.Constancy(source, reading, 5*quantity.Percent)
	if err != nil {
		panic(err)
	}
	fmt.Printf("expected %.3f MBq, read %.3f MBq: %+.2f %%, within %v\n", o.Expected.MBq(), o.Reading.MBq(), 100*o.Deviation, o.Within)
	// Output:
	// expected 5.300 MBq, read 5.310 MBq: +0.19 %, within true
}

// What two invented people drew over what was planned, one chart each.
func ExampleIndividuals() {
	var cases []meter.Case[quantity.Fraction]
	for i, drawn := range []quantity.Fraction{1.01, 0.98, 1.02, 0.99, 1.00, 1.03, 0.97, 1.01, 1.16} {
		at := time.Date(2027, 3, 1+i, 11, 0, 0, 0, time.UTC)
		cases = append(cases, meter.Case[quantity.Fraction]{Entry: 2 * i, At: at, Person: "Ada", Value: drawn})
		cases = append(cases, meter.Case[quantity.Fraction]{Entry: 2*i + 1, At: at, Person: "Ben", Value: 2 - drawn + 0.02})
	}
	for _, s := range meter.Split(cases, meter.ByPerson) {
		c, err := meter.Individuals(s.Values(), 8)
		if err != nil {
			panic(err)
		}
		fmt.Printf("%s: %.3f to %.3f\n", s.Name, c.Values.Lower, c.Values.Upper)
		marks, err := meter.Judge(s.Values(), c.Values.Centre, c.Sigma)
		if err != nil {
			panic(err)
		}
		for _, m := range marks {
			fmt.Printf("  %s on %s\n", m.Rule, s.Cases[m.Index].At.Format("2 January"))
		}
	}
	// Output:
	// Ada: 0.910 to 1.092
	//   beyond-two on 9 March
	//   beyond-three on 9 March
	// Ben: 0.928 to 1.110
	//   beyond-two on 9 March
	//   beyond-three on 9 March
}
