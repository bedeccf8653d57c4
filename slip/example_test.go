package slip_test

import (
	"fmt"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/slip"
)

// A vial is read twice, and the digits of the second reading are swapped.
func ExampleFind() {
	const gbq = quantity.GigaBecquerel
	at := time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	b := ledger.New(at, nuclide.HalfLife{Value: 64.0417 * quantity.Hour})
	gain := b.AddFactor(ledger.Factor{Name: "calibration", Value: 1, U: 0.02})
	vial := b.AddFactor(ledger.Factor{Name: "vial", Value: 1})
	try := func(err error) {
		if err != nil {
			panic(err)
		}
	}
	try(b.Open(ledger.Container{ID: "S1", Kind: ledger.ShippingVial}, at))
	try(b.Move(ledger.Movement{Entry: 1, To: "S1", At: at, Volume: 5, Label: 3.2 * gbq, LabelU: 0.18 * gbq, Reference: at}))
	for i, gross := range []quantity.Activity{3.24 * gbq, 2.34 * gbq} {
		try(b.Read(ledger.Reading{Entry: i + 2, Of: "S1", At: at, Net: gross, Relative: 0.008, Floor: 3e6, Gain: gain, Geometry: vial, Basis: quantity.LabelBasis}))
	}
	sets := slip.Find(slip.Books{Book: b, Typed: map[int]slip.Typed{
		1: {Activity: "3.2 GBq", Volume: "5.0 mL"},
		2: {Activity: "3.24 GBq", Gross: 3.24 * gbq},
		3: {Activity: "2.34 GBq", Gross: 2.34 * gbq},
	}})
	x := sets[0].Explanations[0]
	fmt.Printf("%s: entry %d, meant %s (%s)\n", sets[0].Outcome, x.Entry, x.Meant, x.Kind)
	// Output: named: entry 3, meant 3.24 GBq (two digits swapped)
}
