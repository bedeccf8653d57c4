package fold_test

import (
	"fmt"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/quantity"
)

// A case file becomes facts, and facts a case.
func Example() {
	f, err := casefile.Decode([]byte(`
case: 1
zone: Atlantic/Azores
entries:
  - order:   {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30, residual: 2 %}
  - receive: {vial: S1, lot: L-0311, labelled: 81 mCi, reference: 2027-03-04T18:00, volume: 5.0 mL}
  - draw:    {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}
`), time.LoadLocation)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := fold.File(f)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f GBq on the label at %s\n", c.Vials[0].Labelled.MBq()/1e3, quantity.ShowTime(c.Vials[0].Reference))
	fmt.Printf("%v mL left in S1 for others than %s\n", c.Book.Volume("S1"), c.Serves["Y1"])
	for _, a := range c.Assumed[:3] {
		fmt.Printf("assumed: %s %s (%s)\n", a.Setting, a.Value, a.Source)
	}
	// Output:
	// 2.997 GBq on the label at 2027-03-04 18:00 (UTC-01:00)
	// 2.8 mL left in S1 for others than P1
	// assumed: tolerance 10 % (EANM position, Konijnenberg et al. 2020 (ICRU level 1))
	// assumed: limit none (the site names none)
	// assumed: label-tolerance 10 % (common practice, no source)
}

// What can be read and cannot have happened is refused by the fold.
func ExampleFile_refused() {
	f, err := casefile.Decode([]byte(`case: 1
zone: Atlantic/Azores
entries:
  - order:   {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30}
  - receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL}
  - draw:    {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 22 mL}
`), time.LoadLocation)
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = fold.File(f)
	fmt.Println(err)
	// Output:
	// line 6, column 74: entries[3].draw.volume: 22 mL cannot leave S1, which holds 5 mL; check the volume, or enter the missing make-up or return
}

// A correction adds an entry; the number of the corrected one stays.
func ExampleFacts_correction() {
	at := func(text string) time.Time {
		t, _ := quantity.ParseTime(text, nil)
		return t
	}
	activity, _ := quantity.Parse[quantity.Activity]("3.0 GBq")
	five, _ := quantity.Parse[quantity.Volume]("5.0 mL")
	six, _ := quantity.Parse[quantity.Volume]("6.0 mL")
	vial := &fact.Receive{Vial: "S1", Lot: "L-0311", Labelled: activity, Reference: at("2027-03-04T19:00Z"), Volume: six}
	right := *vial
	right.Volume = five
	c, err := fold.Facts([]fact.Fact{
		&fact.Site{Zone: "Atlantic/Azores"},
		vial,
		&fact.Correct{Entry: 1, Reason: "misread the label", With: &right},
	}, time.LoadLocation)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("entry %d: %s holds %v mL\n", c.Vials[0].Entry, c.Vials[0].ID, c.Book.Volume("S1"))
	// Output:
	// entry 1: S1 holds 5 mL
}
