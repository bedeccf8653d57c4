package dayplan_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"vialwright/dayplan"
	"vialwright/form"
	"vialwright/plainyaml"
)

func week(t testing.TB) string {
	t.Helper()
	data, err := os.ReadFile("../examples/week.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func read(text string) (dayplan.File, error) {
	return dayplan.Read([]byte(text), time.LoadLocation, clock(-3, 9, 0))
}

// asJSON turns a plan file into JSON, texts as texts.
func asJSON(t *testing.T, text string) any {
	t.Helper()
	root, err := plainyaml.Parse([]byte(text), dayplan.MaxBytes)
	if err != nil {
		t.Fatal(err)
	}
	var turn func(n *plainyaml.Node) any
	turn = func(n *plainyaml.Node) any {
		switch n.Kind {
		case plainyaml.Mapping:
			out := map[string]any{}
			for i := range n.Pairs() {
				k := n.Key(i)
				v, _ := n.Find(k.Text)
				out[k.Text] = turn(v)
			}
			return out
		case plainyaml.List:
			out := []any{}
			for i := range n.Items {
				out = append(out, turn(&n.Items[i]))
			}
			return out
		}
		return n.Text
	}
	data, err := json.Marshal(turn(&root))
	if err != nil {
		t.Fatal(err)
	}
	x, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// faults are changes of the example that make a file useless, with the field, the code
// and the line at which it has to be said. fields tells one that the schema sees too.
var faults = []struct {
	was, is, path, code, says string
	fields                    bool
}{
	{"at: 2027-03-04T12:00, earliest: 2027-03-04T11:30", "earliest: 2027-03-04T11:30", "orders[2].at", "field-missing", "orders[2].at: at is missing; write a time such as 2027-03-04T13:30", true},
	{"latest: 2027-03-04T13:00", "latest: 2027-03-04T11:00", "orders[2].latest", "window-empty", "orders[2].latest: it is before the earliest; write the later one second", false},
	{"at: 2027-03-04T12:00,", "at: 2027-03-04T14:00,", "orders[2].at", "outside-window", "not between", false},
	{"{id: early,", "{id: S1-x, ", "", "", "", false},
	{"step: 15 min", "step: 15 min\nreceipt: 90 min", "", "", "", false},
	{"vials:\n  - {id: S1,", "vials:\n  - {id: early-1,", "offers[1].id", "vial-twice", "offers[1].id: a vial is in one place; write each vial once, in hand or on offer", false},
	{"spheres-most: 30 million", "spheres-most: 3 million", "orders[2].spheres-most", "window-empty", "less than spheres-least", false},
	{"spheres-most: 30 million", "spheres-most: 0 million", "orders[2].spheres-most", "out-of-range", "leave it out", false},
	{"prescribed: 0.85 GBq", "prescribed: 0.85", "orders[2].prescribed", "unit-missing", "", false},
	{"{id: P2,", "{id: P1,", "orders[2].id", "id-twice", "an id of its own", false},
	{"supplier: Supplier, count: 2 vials, activity: 3.0 GBq, activity-u: 3 %, reference: 2027-03-05T09:00", "supplier: Nobody, count: 2 vials, activity: 3.0 GBq, activity-u: 3 %, reference: 2027-03-05T09:00", "offers[1].supplier", "no-such-supplier", "no supplier", false},
	{"odds: 95 %", "odds: 100 %", "odds", "out-of-range", "below 100 %", false},
	{"odds: 95 %\n", "", "odds", "field-missing", "odds is missing", true},
	{"punctures: 6 punctures, opened: no", "punctures: 0 punctures, opened: no", "vials[1].punctures", "out-of-range", "leave the vial out", false},
	{"limit: 20 GBq", "limit: 0 GBq", "licence.limit", "out-of-range", "leave the licence out", false},
	{"graduation: 0.01 mL", "graduation: 0 mL", "syringes", "out-of-range", "above 0", false},
	{"graduation: 0.01 mL", "graduation: 2 mL", "syringes", "out-of-range", "no larger than its syringe", false},
	{"benches: 2 benches", "benches: 0 benches", "benches", "out-of-range", "no bench", false},
	{"benches: 2 benches", "benches: 1.5 benches", "benches", "no-count", "no whole number", false},
	{"zone: Atlantic/Azores", "zone: Atlantic/Nowhere", "zone", "no-zone", "no time zone", false},
	{"suite: Suite 1}", "suit: Suite 1}", "orders[1].suite", "field-missing", "", true},
	{"tests:", "test:", "test", "unknown-field", "no field here", true},
	{"earliest: 2027-03-04T11:30", "earliest: 2020-03-04T11:30", "orders[2].earliest", "window-long", "400 steps", false},
	{"ends: 2027-03-05T18:00", "ends: 2037-03-05T18:00", "ends", "out-of-range", "within 180 days", false},
	{"reference: 2027-03-04T18:00", "reference: 2022-03-04T18:00", "vials[1].reference", "out-of-range", "360 days", false},
	{"closed: [2027-03-08]", "closed: [8 March]", "suppliers[1].closed", "no-date", "is no date", false},
}

// TestFaults holds where and how each fault of a file is said, and the example and its
// faults against the JSON schema.
func TestFaults(t *testing.T) {
	schema, err := jsonschema.NewCompiler().Compile("../docs/plan.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	text := week(t)
	if err := schema.Validate(asJSON(t, text)); err != nil {
		t.Error(err)
	}
	for _, c := range faults {
		changed := strings.Replace(text, c.was, c.is, 1)
		if changed == text {
			t.Errorf("%q is not in the example", c.was)
			continue
		}
		_, err := read(changed)
		if c.code == "" {
			if err != nil {
				t.Errorf("%q: %v", c.is, err)
			}
			continue
		}
		var e *form.Error
		if !errors.As(err, &e) || e.Path != c.path || e.Code != c.code || e.Line == 0 || !strings.Contains(e.Error(), c.says) {
			t.Errorf("%q: %#v, want %s at %s with %q", c.is, err, c.code, c.path, c.says)
		}
		if seen := schema.Validate(asJSON(t, changed)) != nil; seen != c.fields {
			t.Errorf("%q: refused by the schema %v, want %v", c.is, seen, c.fields)
		}
	}
}

// TestNotOffered asks after the cut-offs, and on a day that the supplier is closed:
// such a vial is not offered, and it is said why and since when.
func TestNotOffered(t *testing.T) {
	// 12:00 of 2 March in Sydney is 01:00 UTC.
	since := time.Date(2027, 3, 2, 1, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		was, is string
		vials   int
		why     string
		since   time.Time
	}{
		{"now: 2027-03-01T08:00", "now: 2027-03-02T00:01", 2, "its order-by has passed", since},
		{"now: 2027-03-01T08:00", "now: 2027-03-01T23:59", 0, "", time.Time{}},
		{"now: 2027-03-01T08:00", "now: 2027-03-03T08:00", 4, "its order-by has passed", since},
		{"closed: [2027-03-08]", "closed: [2027-03-02]", 2, "Supplier is closed on 2027-03-02", time.Time{}},
		{"cancel-until: 2027-03-02T16:00", "sent: 2027-03-08", 0, "", time.Time{}},
		{"cancel-until: 2027-03-02T16:00", "sent: 2027-03-08T06:00", 2, "Supplier is closed on 2027-03-08", time.Time{}},
	} {
		f, err := read(strings.Replace(week(t), c.was, c.is, 1))
		if err != nil {
			if c.vials != 0 {
				t.Errorf("%s: %v", c.is, err)
			}
			continue
		}
		p, err := dayplan.Solve(f.Day, enough)
		if err != nil || len(p.NotOffered) != c.vials {
			t.Errorf("%s: %v, %d vials not offered, want %d", c.is, err, len(p.NotOffered), c.vials)
			continue
		}
		if c.vials > 0 && (p.NotOffered[0].Why != c.why || !p.NotOffered[0].Since.Equal(c.since)) {
			t.Errorf("%s: %+v", c.is, p.NotOffered[0])
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(week(f)))
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := dayplan.Read(data, time.LoadLocation, clock(0, 0, 0))
		var e *form.Error
		if err != nil && !errors.As(err, &e) {
			t.Fatalf("%v is no refusal with a place", err)
		}
		if err == nil {
			var bad *dayplan.Error // a file may be longer than one plan
			if _, err := dayplan.Solve(file.Day, 50); err != nil && (!errors.As(err, &bad) || bad.Code != "too-long") {
				t.Fatal(err)
			}
		}
	})
}

// TestForecast plans twelve weeks that are the same but for their dates, 72 orders: the
// same vials by kind are ordered in each, no vial serves two weeks, and the cut-offs are in
// order. One plan for all of them is refused, with the way to this one.
func TestForecast(t *testing.T) {
	const weeks = 12
	f, err := read(week(t))
	if err != nil {
		t.Fatal(err)
	}
	d := &f.Day
	d.Vials = slices.DeleteFunc(d.Vials, func(v dayplan.Vial) bool { return v.InHand }) // all are ordered
	first := *d
	for n := 1; n < weeks; n++ {
		later := func(t time.Time) time.Time {
			if t.IsZero() {
				return t
			}
			return t.AddDate(0, 0, 7*n)
		}
		name := func(id string) string { return fmt.Sprint(id, " of week ", n) }
		d.Ends = later(first.Ends)
		for _, o := range first.Orders {
			o.ID, o.At, o.Earliest, o.Latest = name(o.ID), later(o.At), later(o.Earliest), later(o.Latest)
			d.Orders = append(d.Orders, o)
		}
		for _, v := range first.Vials {
			v.ID, v.Reference, v.Arrives, v.Expiry, v.OrderBy = name(v.ID), later(v.Reference), later(v.Arrives), later(v.Expiry), later(v.OrderBy)
			d.Vials = append(d.Vials, v)
		}
		for _, h := range first.Bench.Hours {
			d.Bench.Hours = append(d.Bench.Hours, dayplan.Interval{From: later(h.From), Until: later(h.Until)})
		}
		for _, p := range first.People {
			p.Present = dayplan.Interval{From: later(p.Present.From), Until: later(p.Present.Until)}
			d.People = append(d.People, p)
		}
	}
	plans, err := dayplan.Forecast(f, enough)
	if err != nil || len(plans) != weeks {
		t.Fatal(err, len(plans))
	}
	a := plans[0]
	for n, b := range plans[1:] {
		if a.Plan.Score.Unserved != b.Plan.Score.Unserved || a.Plan.Score.Vials != b.Plan.Score.Vials || len(a.ToOrder) != len(b.ToOrder) || len(a.ToOrder) == 0 || !a.Monday.AddDate(0, 0, 7*(n+1)).Equal(b.Monday) {
			t.Errorf("%+v and %+v", a.Plan.Score, b.Plan.Score)
		}
		for i, v := range a.ToOrder {
			if fmt.Sprint(v.ID, " of week ", n+1) != b.ToOrder[i].ID || (i > 0 && v.OrderBy.Before(a.ToOrder[i-1].OrderBy)) {
				t.Errorf("%s and %s", v.ID, b.ToOrder[i].ID)
			}
		}
	}
	if _, err := dayplan.Solve(*d, 1); err == nil || err.Error() != "orders: there are 72 orders, and it is planned for at most 60; leave out what is of other days; vialwright plan --forecast plans a longer file week by week" {
		t.Errorf("one plan for all: %v", err)
	}
}

// TestLongFile: a file with more orders than one plan has is read, since it may be of a
// month; one of years is not.
func TestLongFile(t *testing.T) {
	const order = "  - {id: P2, "
	for orders, want := range map[int]string{100: "", 700: "orders: there are 706 orders, and it is planned for at most 600"} {
		text := week(t)
		line := text[strings.Index(text, order):]
		line = line[:strings.Index(line, "\n")+1]
		var more strings.Builder
		for n := range orders {
			more.WriteString(strings.Replace(line, "P2", fmt.Sprint("M", n), 1))
		}
		f, err := read(strings.Replace(text, order, more.String()+order, 1))
		switch {
		case want == "" && (err != nil || len(f.Day.Orders) != orders+6):
			t.Errorf("%d orders: %v, %d", orders, err, len(f.Day.Orders))
		case want != "" && (err == nil || !strings.Contains(err.Error(), want)):
			t.Errorf("%d orders: %v", orders, err)
		}
	}
}
