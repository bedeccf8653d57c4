package hotlab_test

import (
	"fmt"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/hotlab"
	"vialwright/inventory"
	"vialwright/quantity"
)

// A parcel that was due and has not come.
func Example() {
	labelled, _ := quantity.Parse[quantity.Activity]("3.0 GBq")
	due := time.Date(2027, 3, 4, 8, 30, 0, 0, time.UTC)
	order := &fact.ExpectParcel{Parcel: "PK-1", Vials: 1, Labelled: labelled, Reference: due, Due: due}
	b := hotlab.Read(hotlab.World{
		Books: inventory.Books{Entries: []fold.Entry{{Fact: order}}, HalfLife: 64.05 * quantity.Hour},
		Zone:  time.UTC, At: due.Add(time.Hour),
	})
	fmt.Println(b.Findings[0].Severity, b.Findings[0].Page, b.Findings[0].Text)
	// Output:
	// warn parcels Parcel PK-1 was due on 2027-03-04 08:30 (UTC) and has not arrived.
}
