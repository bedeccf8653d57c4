package inventory_test

import (
	"fmt"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/inventory"
	"vialwright/quantity"
)

// Two vials that are ordered, on the Thursday on which they are due.
func Example() {
	line := &fact.LicenceLine{ID: "L-1", Nuclide: "Y-90", Form: "microspheres"}
	labelled, _ := quantity.Parse[quantity.Activity]("3.0 GBq")
	parcel := &fact.ExpectParcel{
		Parcel: "PK-1", Vials: 2, Labelled: labelled,
		Reference: time.Date(2027, 3, 6, 18, 0, 0, 0, time.UTC), Due: time.Date(2027, 3, 4, 16, 57, 0, 0, time.UTC),
	}
	b := inventory.Books{Entries: []fold.Entry{{Fact: line}, {Fact: parcel}}, HalfLife: 64.0417 * quantity.Hour}
	v := inventory.Take(b, parcel.Due)
	fmt.Println(v.Lines[0].ID, quantity.Show(v.Lines[0].Held, 0), v.Items[0].Where)
	// Output:
	// L-1 10.2 GBq parcel expected
}
