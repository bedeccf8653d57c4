package casefile_test

import (
	"errors"
	"fmt"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/quantity"
)

// What cannot be read is refused with its place, what was expected and the
// way out.
func ExampleDecode_refused() {
	_, err := casefile.Decode([]byte(`case: 1
zone: Atlantic/Azores
entries:
  - draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2}
`), time.LoadLocation)
	fmt.Println(err)
	var e *casefile.Error
	if errors.As(err, &e) {
		fmt.Println(e.Line, e.Col, e.Path, e.Code)
	}
	// Output:
	// line 4, column 71: entries[1].draw.volume: "2.2": there is a number but no unit; expected a volume such as 2.2 mL; is it 2.2 mL or 2.2 uL or 2.2 L?
	// 4 71 entries[1].draw.volume unit-missing
}

// Facts go back into a case file as a person would write it.
func ExampleExport() {
	activity, _ := quantity.Parse[quantity.Activity]("1.30 GBq")
	two, _ := quantity.Parse[quantity.Fraction]("2%")
	at, _ := quantity.ParseTime("2027-03-04T14:30Z", nil)
	summer, _ := quantity.ParseTime("2027-07-04T14:30Z", nil)
	text, err := casefile.Export([]fact.Fact{
		&fact.Site{Zone: "Atlantic/Azores"},
		&fact.Order{ID: "P1", Territory: "right lobe", Prescribed: activity, At: at, Allowance: fact.Allowance{Residual: two}},
		&fact.Note{Text: "in summer the clocks there show UTC", At: summer},
	}, time.LoadLocation)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(string(text))
	// Output:
	// case: 1
	// zone: Atlantic/Azores
	// entries:
	//   - order: {id: P1, territory: right lobe, prescribed: 1.30 GBq, at: 2027-03-04T14:30:00Z, residual: 2 %}
	//   - note:  {text: in summer the clocks there show UTC, at: 2027-07-04T14:30}
}
