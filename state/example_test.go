package state_test

import (
	"fmt"
	"time"

	"vialwright/casefile"
	"vialwright/journal"
	"vialwright/state"
)

// An order and the vial it was drawn from are one group; another vial is not.
func ExampleBooks() {
	f, err := casefile.Decode([]byte(`case: 1
zone: UTC
entries:
  - order:   {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30}
  - receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL}
  - receive: {vial: S2, lot: L-0312, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL}
  - draw:    {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}
`), time.LoadLocation)
	if err != nil {
		fmt.Println(err)
		return
	}
	books := state.New()
	for _, fact := range f.Facts {
		books.Add(journal.Record{Recorded: time.Unix(1.8e9, 0), By: "T1", Fact: fact})
	}
	for _, g := range books.All() {
		fmt.Println(g.IDs(), len(books.Records([]state.Group{g})), "records with the settings")
	}
	// Output:
	// [P1 S1 Y1] 4 records with the settings
	// [S2] 2 records with the settings
}
