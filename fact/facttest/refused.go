package facttest

import (
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fold"
	"vialwright/journal"
)

// Refusal is a case of testdata/refused.txt.
type Refusal struct {
	Name, File, Code, Message string
}

// Refusals reads the table: "== name", the file, "-- code", the message.
func Refusals(tb testing.TB) []Refusal {
	tb.Helper()
	sections := regexp.MustCompile(`(?m)^=([=+]) (.*)\n`)
	text := string(File(tb, "refused.txt"))
	at := sections.FindAllStringSubmatchIndex(text, -1)
	preamble := ""
	var out []Refusal
	for i, m := range at {
		end := len(text)
		if i+1 < len(at) {
			end = at[i+1][0]
		}
		r := Refusal{Name: text[m[4]:m[5]]}
		body, rest, found := strings.Cut(text[m[1]:end], "-- ")
		r.File = bytesOf(body)
		if r.Name == "preamble" {
			preamble = r.File
			continue
		}
		if !found {
			tb.Fatalf("%s: no -- line", r.Name)
		}
		if text[m[2]] == '+' {
			r.File = strings.TrimRight(preamble, "\n") + "\n" + r.File
		}
		r.Code, r.Message, _ = strings.Cut(strings.TrimRight(rest, "\n"), "\n")
		out = append(out, r)
	}
	return out
}

var byteEscape = regexp.MustCompile(`\\x[0-9a-f]{2}`)

// bytesOf writes \xHH of the table as one byte.
func bytesOf(s string) string {
	return byteEscape.ReplaceAllStringFunc(s, func(e string) string {
		b, _ := strconv.ParseUint(e[2:], 16, 8)
		return string([]byte{byte(b)})
	})
}

// RefusedBy decodes and folds.
func RefusedBy(data string) error {
	f, err := casefile.Decode([]byte(data), time.LoadLocation)
	if err == nil {
		_, err = fold.File(f)
	}
	return err
}

// DrawBody is the record of a draw, as it is written.
const DrawBody = `{"v":2,"recorded":"2027-03-04T12:10:31Z","by":"rp-3","kind":"draw","fact":` +
	`{"from":"S1","into":"Y1","for":"P1","at":"2027-03-04T11:10:00-01:00","volume":"2.2 mL"}}`

// BadRecord is a record that is refused: DrawBody with a part replaced.
type BadRecord struct {
	Name, Old, New, Code string
	// Message is that of the error without place and hint, Rest what stands in
	// the record from the place on.
	Message, Rest string
}

// BadRecords are all of them.
var BadRecords = []BadRecord{
	{"nothing", DrawBody, "", "not-canonical", `expected {"v":`, ""},
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
