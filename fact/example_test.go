package fact_test

import (
	"fmt"

	"vialwright/fact"
	"vialwright/quantity"
)

// A fact says what it holds, as forms and lists show it.
func ExampleFields() {
	volume, _ := quantity.Parse[quantity.Volume]("1.8 mL")
	for _, f := range fact.Fields(&fact.Return{From: "Y1", Into: "S1", Volume: volume}) {
		fmt.Printf("%s: %s (%s)\n", f.Label, f.Text, f.Shape)
	}
	fmt.Println(fact.KindNamed("return").About)
	// Output:
	// From: Y1 (id)
	// Into: S1 (id)
	// When:  (time)
	// Volume returned: 1.8 mL (volume)
	// Asked about, and confirmed:  (text)
	// suspension goes back into a container
}
