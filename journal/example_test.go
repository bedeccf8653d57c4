package journal_test

import (
	"errors"
	"fmt"
	"time"

	"vialwright/journal"
	"vialwright/quantity"
)

// A case file becomes facts, and facts a case.
func Example() {
	f, err := journal.Decode([]byte(`
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
	c, err := journal.FoldFile(f)
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
	// assumed: limit none (the site names none, and no rule profile is chosen)
	// assumed: label-tolerance 10 % (common practice, no source)
}

// What cannot be read is refused with its place, what was expected and the
// way out.
func ExampleDecode_refused() {
	_, err := journal.Decode([]byte(`case: 1
zone: Atlantic/Azores
entries:
  - draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2}
`), time.LoadLocation)
	fmt.Println(err)
	var e *journal.FileError
	if errors.As(err, &e) {
		fmt.Println(e.Line, e.Col, e.Path, e.Code)
	}
	// Output:
	// line 4, column 71: entries[1].draw.volume: "2.2": there is a number but no unit; expected a volume such as 2.2 mL; is it 2.2 mL or 2.2 uL or 2.2 L?
	// 4 71 entries[1].draw.volume unit-missing
}

// What can be read and cannot have happened is refused by the fold.
func ExampleFoldFile_refused() {
	f, err := journal.Decode([]byte(`case: 1
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
	_, err = journal.FoldFile(f)
	fmt.Println(err)
	// Output:
	// line 6, column 74: entries[3].draw.volume: 22 mL cannot leave S1, which holds 5 mL; check the volume, or enter the missing make-up or return
}

// A correction adds an entry; the number of the corrected one stays.
func ExampleFold_correction() {
	at := func(text string) time.Time {
		t, _ := quantity.ParseTime(text, nil)
		return t
	}
	activity, _ := quantity.Parse[quantity.Activity]("3.0 GBq")
	five, _ := quantity.Parse[quantity.Volume]("5.0 mL")
	six, _ := quantity.Parse[quantity.Volume]("6.0 mL")
	vial := &journal.Receive{Vial: "S1", Lot: "L-0311", Labelled: activity, Reference: at("2027-03-04T19:00Z"), Volume: six}
	right := *vial
	right.Volume = five
	c, err := journal.Fold([]journal.Fact{
		&journal.Site{Zone: "Atlantic/Azores"},
		vial,
		&journal.Correct{Entry: 1, Reason: "misread the label", With: &right},
	}, time.LoadLocation)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("entry %d: %s holds %v mL\n", c.Vials[0].Entry, c.Vials[0].ID, c.Book.Volume("S1"))
	// Output:
	// entry 1: S1 holds 5 mL
}

// A record has one encoding, and a link binds it to all before it. Without
// this program, the digest and the hash of the first are what the shell prints for
//
//	printf '%s %s' "$salt" "$record" | sha256sum
//	printf '%064d\n1\n%s\n' 0 "$digest" | sha256sum
func ExampleSeal() {
	at := time.Date(2027, 3, 4, 12, 10, 31, 0, time.UTC)
	links, err := journal.Seal(journal.Head{}, salt,
		journal.Record{Recorded: at, By: "rp-3", Fact: &journal.Site{Zone: "Atlantic/Azores"}},
		journal.Record{Recorded: at, By: "rp-3", Fact: &journal.Note{Text: `the "new" syringes`}},
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range links {
		fmt.Println(l)
	}
	// Output:
	// 1 100c77bf7451460a6921c8bd874d45d50c9569f2ce4c636272c9f304823098db fbd0ee850fe3b308877877b6a022fe5813d3986619975bc50392d318f15977c8 01020300000000000000000000000000 {"v":2,"recorded":"2027-03-04T12:10:31Z","by":"rp-3","kind":"site","fact":{"zone":"Atlantic/Azores"}}
	// 2 2f1e7c3e0f9a869fbb4ca801f17e6a116dc42a879bc2722b2d54396ce1e3dc36 ea8f29c8b71eece7b2ac22ee3b5b42d9d5768dce6eacc42d6b121c6ecd226ccb 01020300000000000000000000000000 {"v":2,"recorded":"2027-03-04T12:10:31Z","by":"rp-3","kind":"note","fact":{"text":"the \"new\" syringes"}}
}

// A journal that was changed says where.
func ExampleVerify() {
	at := time.Date(2027, 3, 4, 12, 10, 31, 0, time.UTC)
	note := func(text string) journal.Record {
		return journal.Record{Recorded: at, By: "rp-3", Fact: &journal.Note{Text: text}}
	}
	links, err := journal.Seal(journal.Head{}, salt, note("one"), note("two"), note("three"))
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := journal.Verify(seq(links))
	fmt.Println(r.Records, "records, head", r.Head.Hash.String()[:8], err)
	links[1].Body = links[2].Body
	r, err = journal.Verify(seq(links))
	fmt.Println(r.Records, "record is sound;", err)
	// Output:
	// 3 records, head 6c9d7738 <nil>
	// 1 record is sound; link 2: the hash is not that of the record and the link before: one of them was changed
}

// Facts go back into a case file as a person would write it.
func ExampleExport() {
	activity, _ := quantity.Parse[quantity.Activity]("1.30 GBq")
	two, _ := quantity.Parse[quantity.Fraction]("2%")
	at, _ := quantity.ParseTime("2027-03-04T14:30Z", nil)
	summer, _ := quantity.ParseTime("2027-07-04T14:30Z", nil)
	text, err := journal.Export([]journal.Fact{
		&journal.Site{Zone: "Atlantic/Azores"},
		&journal.Order{ID: "P1", Territory: "right lobe", Prescribed: activity, At: at, Residual: two},
		&journal.Note{Text: "in summer the clocks there show UTC", At: summer},
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
