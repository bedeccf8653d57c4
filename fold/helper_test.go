package fold_test

import (
	"iter"
	"os"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/quantity"
)

// worked gives the facts of the worked example.
func worked(tb testing.TB) []fact.Fact {
	tb.Helper()
	return decode(tb, file(tb, "worked.yaml")).Facts
}

// salt is the same for every record: a test asks for the same bytes each time.
func salt() journal.Salt { return journal.Salt{1, 2, 3} }

// cachedZones loads each zone once, as a long-running program does.
func cachedZones() fact.Zones {
	known := map[string]*time.Location{}
	return func(name string) (*time.Location, error) {
		if z := known[name]; z != nil {
			return z, nil
		}
		z, err := time.LoadLocation(name)
		if err == nil {
			known[name] = z
		}
		return z, err
	}
}

// seq is a sequence of links without errors.
func seq(links []journal.Link) iter.Seq2[journal.Link, error] {
	return func(yield func(journal.Link, error) bool) {
		for _, l := range links {
			if !yield(l, nil) {
				return
			}
		}
	}
}

// longCase is a case in which one vial is read over and over.
func longCase(tb testing.TB, entries int) []fact.Fact {
	facts := worked(tb)[:5] // case, policy, meter, order, receipt
	at := local("07:00")
	for range entries - 2 {
		facts = append(facts, &fact.Read{
			Of: "S1", Meter: "M1", At: at, Gross: q[quantity.Activity]("3.24 GBq"), Background: q[quantity.Activity]("0.2 MBq"),
		})
		at = at.Add(time.Second)
	}
	return facts
}

// decode reads a case file that must be sound.
func decode(tb testing.TB, data []byte) *casefile.File {
	tb.Helper()
	f, err := casefile.Decode(data, time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

// file reads a file of testdata.
func file(tb testing.TB, name string) []byte {
	tb.Helper()
	data, err := os.ReadFile("../casefile/testdata/" + name)
	if err != nil {
		tb.Fatal(err)
	}
	return data
}

// local is a time of day on the day of the scenario, in the Azores in winter.
func local(clock string) time.Time {
	t, err := quantity.ParseTime("2027-03-04T"+clock+"-01:00", nil)
	if err != nil {
		panic(err)
	}
	return t
}

// q states a quantity that the test writes itself.
func q[Q quantity.Kind](text string) quantity.Stated[Q] {
	s, err := quantity.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return s
}

// sealed records the facts of a case one second apart.
func sealed(tb testing.TB, facts []fact.Fact) []journal.Link {
	tb.Helper()
	at := time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	records := make([]journal.Record, len(facts))
	for i, f := range facts {
		records[i] = journal.Record{Recorded: at.Add(time.Duration(i) * time.Second), By: "rp-3", Fact: f}
	}
	links, err := journal.Seal(journal.Head{}, salt, records...)
	if err != nil {
		tb.Fatal(err)
	}
	return links
}

// badRecords are refused; each is drawBody with a part replaced.
var badRecords = []struct {
	name, old, new, code string
	// message is that of the error without place and hint, rest what stands in
	// the record from the place on.
	message, rest string
}{
	{"nothing", drawBody, "", "not-canonical", `expected {"v":`, ""},
	{"another version", `"v":2`, `"v":1`, "unknown-version", "the record has version 1; this program reads version 2", `1,"recorded"`},
	{"version in quotes", `"v":2`, `"v":"2"`, "not-canonical", "expected a number without quotes", `"2",`},
	{"no version", `"v":2`, `"v":`, "not-canonical", "expected a number without quotes", `,"recorded"`},
	{"white space", `{"v"`, `{ "v"`, "not-canonical", `expected {"v":`, `{ "v"`},
	{"recorder before version", `"v":2`, `"by":"rp-3","v":2`, "not-canonical", `expected {"v":`, `{"by"`},
	{"recorder is a number", `"rp-3"`, "17", "not-canonical", "by: expected a text in double quotes", `17,`},
	{"recorded in a zone", "12:10:31Z", "13:10:31+01:00", "not-canonical", `recorded: "2027-03-04T13:10:31+01:00" is not in UTC`, `"2027-03-04T13`},
	{"recorded without a zone", "12:10:31Z", "12:10:31", "time-zone-needed", `recorded: "2027-03-04T12:10:31": a local time needs a zone`, `"2027-03-04T12:10:31"`},
	{"no one", `"rp-3"`, `""`, "empty", "by: the text is empty", `"",`},
	{"needless escape", `"rp-3"`, `"\u0072p-3"`, "not-canonical", `by: only \" and \\ are escaped`, `"\u0072`},
	{"unfinished escape", `"rp-3"`, `"rp-3\`, "not-canonical", `by: only \" and \\ are escaped`, `"rp-3\,`},
	{"line end in a text", `"rp-3"`, "\"rp\n3\"", "not-text", "by: the text holds the invisible character U+000A", "\"rp\n3"},
	{"not UTF-8", `"rp-3"`, "\"rp\xff\"", "not-text", "by: the text is not UTF-8", "\"rp\xff"},
	{"unknown kind", `"draw"`, `"drew"`, "unknown-kind", `kind: there is no kind of fact called "drew"`, `"drew"`},
	{"kind without a fact", `,"fact":`, `,"what":`, "not-canonical", `expected ,"fact":`, `,"what"`},
	{"empty fact", `{"from":"S1","into":"Y1","for":"P1","at":"2027-03-04T11:10:00-01:00","volume":"2.2 mL"}`, "{}", "missing", "from: expected an id such as P1", `}}`},
	{"field missing", `"into":"Y1",`, "", "missing", "into: expected an id such as P1", `,"for"`},
	{"field missing at the end", `,"volume":"2.2 mL"`, "", "missing", "volume: expected a volume such as 2.2 mL", `}}`},
	{"fields out of order", `"into":"Y1","for":"P1"`, `"for":"P1","into":"Y1"`, "missing", "into: expected an id such as P1", `,"for"`},
	{"field twice", `"into":"Y1",`, `"into":"Y1","into":"Y1",`, "missing", "for: expected an id such as P1", `,"into"`},
	{"field unknown", `mL"}`, `mL","colour":"red"}`, "not-canonical", "a field is not known here, comes twice, or is out of order", `,"colour"`},
	{"null", `"2.2 mL"`, "null", "not-canonical", "volume: expected a text in double quotes", `null`},
	{"quantity not canonical", `"2.2 mL"`, `"2.2mL"`, "not-canonical", `volume: "2.2mL": it is not written as a record writes it`, `"2.2mL"`},
	{"quantity of another kind", `"2.2 mL"`, `"2.2 MBq"`, "unit-kind", `volume: "2.2 MBq": MBq is an activity; a volume was expected`, `"2.2 MBq"`},
	{"time without seconds", "11:10:00-01:00", "11:10-01:00", "not-canonical", `at: "2027-03-04T11:10-01:00" is not written as a record writes it`, `"2027-03-04T11:10-`},
	{"time with zeros", "11:10:00-01:00", "11:10:00.0-01:00", "not-canonical", `at: "2027-03-04T11:10:00.0-01:00" is not written as a record writes it`, `"2027-03-04T11:10:00.0`},
	{"offset of nothing", "11:10:00-01:00", "11:10:00+00:00", "not-canonical", `at: "2027-03-04T11:10:00+00:00" is not written as a record writes it`, `"2027-03-04T11:10:00+`},
	{"February 29th", "2027-03-04T11", "2027-02-29T11", "time-impossible", `at: "2027-02-29T11:10:00-01:00": February 2027 has 28 days`, `"2027-02-29`},
	{"something after", `mL"}}`, `mL"}} `, "not-canonical", "there is more text after the record", " "},
	{"unfinished", `mL"}}`, `mL"}`, "not-canonical", "expected }", ""},
	{"a line end", `mL"}}`, "mL\"}}\n", "not-canonical", "there is more text after the record", "\n"},
	{"a text that does not end", `"2.2 mL"}}`, `"2.2 mL`, "not-canonical", "volume: a text does not end", `"2.2 mL`},
	{"an escape that does not end", `"2.2 mL"}}`, `"2.2 \" mL`, "not-canonical", "volume: a text does not end", `"2.2 \" mL`},
	{"very long", `"rp-3"`, `"` + strings.Repeat("x", journal.MostBytes) + `"`, "too-long", "it is longer than 65536 bytes", `{"v":2`},
	{"a list too long", `"draw","fact":{`, `"residual","fact":{"for":"P1","before":{"at":"2027-03-04T11:10:00-01:00","rate":[` + strings.Repeat(`"1 uSv/h",`, 17), "too-many", "before.rate: the list does not end after 16 items", `,"1 uSv/h","from"`},
	{"a list of nothing", `"draw","fact":{`, `"residual","fact":{"for":"P1","before":{"at":"2027-03-04T11:10:00-01:00","rate":[]`, "too-few", "before.rate: the list holds 0 of the 1 it needs", `]"from"`},
	{"an entry of no kind", `"draw","fact":{`, `"correct","fact":{"entry":1,"reason":"slip","with":{"drew":{`, "unknown-kind", `with: there is no kind of entry called "drew"`, `"drew":`},
	{"a header in a correction", `"draw","fact":{`, `"correct","fact":{"entry":1,"reason":"slip","with":{"site":{`, "header-in-entries", `with: site is not an entry`, `"site":`},
	{"a setting in a correction", `"draw","fact":{`, `"correct","fact":{"entry":1,"reason":"slip","with":{"policy":{`, "header-in-entries", `with: a correction cannot put in a setting`, `"policy":`},
	{"a correction in a correction", `"draw","fact":{`, `"correct","fact":{"entry":1,"reason":"slip","with":{"correct":{`, "correction-of-correction", `with: a correction cannot put in a correction`, `"correct":`},
	{"an entry number in quotes", `"draw","fact":{`, `"correct","fact":{"entry":"1"`, "not-canonical", "entry: expected a number without quotes", `"1""from"`},
	{"an entry number of too many digits", `"draw","fact":{`, `"correct","fact":{"entry":1234567890`, "bad-entry-number", `entry: "1234567890" is no entry number`, `1234567890`},
}

const drawBody = `{"v":2,"recorded":"2027-03-04T12:10:31Z","by":"rp-3","kind":"draw","fact":` +
	`{"from":"S1","into":"Y1","for":"P1","at":"2027-03-04T11:10:00-01:00","volume":"2.2 mL"}}`
