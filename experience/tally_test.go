package experience_test

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/experience"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/meter"
	"vialwright/quantity"
)

// What is taken record by record, as it is entered, ends as what is taken at
// once; and what is corrected later as if it had been right from the start.
func TestTakenAsItComes(t *testing.T) {
	cases := past(t, 60, 3)
	at := time.Date(2027, 3, 4, 10, 0, 0, 0, time.UTC)
	want := experience.New(time.LoadLocation)
	want.TakeAll(cases, 3)
	grown := experience.New(time.LoadLocation)
	for _, c := range cases {
		for n := range c {
			grown.Take(c[:n+1])
		}
	}
	if a, b := want.Fact(at, 7), grown.Fact(at, 7); !reflect.DeepEqual(a, b) {
		t.Errorf("grown %+v, want %+v", b, a)
	}
	// A finished case is corrected: 0.2 mL more was drawn.
	c := cases[10]
	n, wrong := entryOf(c, "draw")
	x, _ := wrong.(*fact.Draw)
	right := *x
	right.Volume, _ = quantity.Parse[quantity.Volume](fmt.Sprintf("%.1f mL", float64(x.Volume.Value)+0.2))
	fixed := append(slices.Clone(c), journal.Record{Recorded: at, By: "RP1", Fact: &fact.Correct{Entry: n, Reason: "misread", With: &right}})
	before := grown.Changes()
	if !grown.Take(fixed) || grown.Changes() != before+1 {
		t.Error("a correction changes nothing")
	}
	if open := past(t, 61, 3)[60][:4]; grown.Take(open) || grown.Changes() != before+1 {
		t.Error("a case of which nothing is finished changes something")
	}
	cases[10] = fixed
	if a, b := taken(cases).Fact(at, 7), grown.Fact(at, 7); !reflect.DeepEqual(a, b) {
		t.Errorf("corrected %+v, want %+v", b, a)
	}
	if a, b := want.Preparations()[10], grown.Preparations()[10]; a.Draws[0].Yield <= b.Draws[0].Yield {
		t.Errorf("yield %v, was %v with less drawn", b.Draws[0].Yield, a.Draws[0].Yield)
	}
}

// A vial that came before its order is a group of its own until it is drawn from: then the
// case that it has become part of has its readings, and they are not counted twice.
func TestVialBeforeItsOrder(t *testing.T) {
	cases := past(t, 20, 3)
	want := taken(cases)
	grown := experience.New(time.LoadLocation)
	for _, c := range cases {
		var order, vial []journal.Record
		for _, r := range c {
			if _, draw := r.Fact.(*fact.Draw); draw {
				break // from here on they are one
			}
			if _, placed := r.Fact.(*fact.Order); placed {
				order = append(order, r)
			} else {
				vial = append(vial, r)
			}
		}
		grown.TakeAll([][]journal.Record{order, vial}, 1)
		grown.TakeAll([][]journal.Record{c}, 1)
	}
	if a, b := len(grown.Assays()), len(want.Assays()); a != b || b == 0 {
		t.Errorf("%d first readings, want %d", a, b)
	}
	if a, b := len(grown.Uses()), len(want.Uses()); a != b || b == 0 {
		t.Errorf("%d uses of meters, want %d", a, b)
	}
	at := time.Date(2027, 3, 4, 10, 0, 0, 0, time.UTC)
	if a, b := want.Fact(at, 7), grown.Fact(at, 7); !reflect.DeepEqual(a, b) {
		t.Errorf("grown %+v, want %+v", b, a)
	}
}

// What is taken keeps no record in memory: a text that is part of one would.
func TestNothingOfTheRecordsIsHeld(t *testing.T) {
	cases := past(t, 20, 3)
	ty := experience.New(time.LoadLocation)
	ty.TakeAll(cases, 2)
	theirs := map[uintptr]bool{}
	eachText(reflect.ValueOf(cases), func(text reflect.Value) { theirs[text.Pointer()] = true })
	for _, held := range []any{ty.Preparations(), ty.Assays(), ty.Uses()} {
		texts := 0
		eachText(reflect.ValueOf(held), func(text reflect.Value) {
			if text.Type() == reflect.TypeFor[quantity.Basis]() {
				return // a word of the program, and of no record
			}
			if texts++; theirs[text.Pointer()] {
				t.Fatalf("%T holds %q of a record", held, text)
			}
		})
		if texts == 0 {
			t.Errorf("%T holds no text", held)
		}
	}
}

// eachText goes through the texts of a value that are not empty.
func eachText(v reflect.Value, yield func(reflect.Value)) {
	switch v.Kind() {
	case reflect.String:
		if v.Len() > 0 {
			yield(v)
		}
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() && v.Type() != reflect.TypeFor[*time.Location]() {
			eachText(v.Elem(), yield)
		}
	case reflect.Slice:
		for i := range v.Len() {
			eachText(v.Index(i), yield)
		}
	case reflect.Struct:
		for _, field := range v.Fields() {
			eachText(field, yield)
		}
	}
}

// entryOf finds the first entry of a kind with its number.
func entryOf(c []journal.Record, kind string) (int, fact.Fact) {
	n := 0
	for _, r := range c {
		switch r.Fact.(type) {
		case *fact.Site, *fact.Policy, *fact.Meter:
			continue
		}
		if n++; fact.Word(r.Fact) == kind {
			return n, r.Fact
		}
	}
	return 0, nil
}

// What the invented laboratory was made with comes out again. The tolerances
// are three standard errors: 2.5 % of scatter and some 2.3 % of measurement, of
// about 65 draws each, 0.42 % · 3.
func TestTheInventedLaboratoryIsFoundAgain(t *testing.T) {
	ty := taken(past(t, 200, 1))
	want := map[string]float64{"NT1": 0.92, "RP1": 0.935, "RP2": 0.93}
	seen := 0
	for _, r := range ty.Rows() {
		if m, ok := want[r.Person]; ok && r.Kind == "3 GBq in 5 mL" {
			seen++
			near(t, r.Person, float64(r.Yield.Predictive.Mean), m, 0.0126)
			near(t, r.Person+"'s scatter", float64(r.Yield.Predictive.SD), 0.029, 0.012)
			near(t, r.Person+"'s residual", float64(r.Fraction.Predictive.Mean), 0.030, 0.005)
		}
	}
	if seen != 3 {
		t.Errorf("%d persons", seen)
	}
	// The settled vials are named, and those that nobody read after the draw.
	unusual := ""
	for _, u := range ty.Unusual() {
		unusual += u.Order + " " + u.What + "; "
	}
	for _, name := range []string{"P0041 draw yield", "P0116 draw yield"} {
		if !strings.Contains(unusual, name) {
			t.Errorf("%s is not named: %s", name, unusual)
		}
	}
	left := fmt.Sprint(ty.Left())
	for _, name := range []string{"P0061", "P0151"} {
		if !strings.Contains(left, name) {
			t.Errorf("%s is not named: %s", name, left)
		}
	}
}

// The fact of a case holds the predictive figures to the second digit of their
// uncertainty, those of the table.
func TestFact(t *testing.T) {
	ty := taken(past(t, 80, 5))
	at := time.Date(2027, 3, 4, 10, 0, 0, 0, time.UTC)
	x := ty.Fact(at, 900)
	if x.UpTo != 900 || len(x.Yields) != 9 || len(x.Residuals) != 3 {
		t.Fatalf("%+v", x)
	}
	s := ty.Site()
	for _, y := range x.Yields {
		p := s.Yields.Predict(y.Vial, y.By)
		near(t, "q", float64(y.Q.Value), float64(p.Mean), 0.0005001)
		near(t, "u", float64(y.U.Value), float64(p.SD), 0.0005001)
	}
	f := s.Fractions.Predict("3 GBq in 5 mL", "")
	near(t, "u(residual)", float64(x.Residuals[0].U.Value), float64(f.SD), 0.0005001)
	// The table and the entry say the same, in the same digits.
	for _, row := range ty.Rows() {
		i := slices.IndexFunc(x.Residuals, func(r fact.ExpectedResidual) bool { return r.Vial == row.Kind })
		if i < 0 || row.Person != "" {
			continue
		}
		p, r := row.Fraction.Predictive, x.Residuals[i]
		if a, b := quantity.Show(p.Mean, p.SD).String(), quantity.Show(r.Fraction.Value, r.U.Value).String(); a != b {
			t.Errorf("%q: the table says %s, the entry %s", row.Kind, a, b)
		}
		l := row.Activity.Predictive
		if a, b := quantity.Show(l.Mean, l.SD).String(), quantity.Show(r.Activity.Value, r.ActivityU.Value).String(); a != b {
			t.Errorf("%q: the table says %s, the entry %s", row.Kind, a, b)
		}
	}
	// It is a record like any other.
	r := journal.Record{Recorded: at, By: "RP1", Fact: x}
	body, err := r.Marshal()
	if err != nil {
		t.Fatal(err)
	}
	if back, err := journal.Parse(string(body)); err != nil || !reflect.DeepEqual(back.Fact, x) {
		t.Errorf("read back %+v, %v", back.Fact, err)
	}
	if experience.New(time.LoadLocation).Fact(at, 1) != nil {
		t.Error("something was learned from nothing")
	}
}

// The limits are those of the individuals chart: mean ± 2.66 mean moving range
// of the first 25, and 3.267 mean moving range (ASTM MNL 7, constants from
// memory, not seen), worked out here from the points themselves; each constant to its last digit.
func TestChartLimits(t *testing.T) {
	charts, why := taken(past(t, 60, 2)).Charts(experience.DispensedOverPrescribed, "")
	if len(charts) != 1 {
		t.Fatal(why)
	}
	c := charts[0]
	var sum, moved float64
	for i, p := range c.Points[:25] {
		sum += float64(p.Value) / 25
		if i > 0 {
			moved += math.Abs(float64(p.Value-c.Points[i-1].Value)) / 24
		}
	}
	near(t, "centre", float64(c.Values.Centre), sum, 1e-12)
	near(t, "upper limit", float64(c.Values.Upper), sum+2.66*moved, 5e-3*moved)
	near(t, "lower limit", float64(c.Values.Lower), sum-2.66*moved, 5e-3*moved)
	near(t, "limit of moving ranges", float64(c.Ranges.Upper), 3.267*moved, 1e-3*moved)
	// the EWMA in the long run: ± 2.9 σ √(0.2/1.8), σ = mean moving range/1.128
	last := c.Points[len(c.Points)-1].EWMA.Band
	near(t, "limit of the EWMA", float64(last.Upper), sum+2.9*moved/1.128*math.Sqrt(0.2/1.8), 1e-3*moved)
}

// Every rule that is broken is said, and a settled vial is among them.
func TestWhatAChartSays(t *testing.T) {
	ty := taken(past(t, 120, 1))
	charts, why := ty.Charts(experience.DrawnOverPlanned, "")
	if len(charts) != 1 {
		t.Fatal(why)
	}
	said := ""
	for _, b := range charts[0].Broken(0) {
		said += b.Order + ": " + strings.Join(b.Texts, ", ") + "; "
	}
	if !strings.Contains(said, "P0041: ") {
		t.Errorf("the settled vial is not said: %s", said)
	}
	for by, want := range map[meter.By][]string{meter.ByPerson: {"NT1", "RP1", "RP2"}, meter.ByCatheter: {"coiled", "straight"}} {
		charts, why := ty.Charts(experience.ResidualOfDose, by)
		var names []string
		for _, c := range charts {
			names = append(names, c.Name)
		}
		if !slices.Equal(names, want) {
			t.Errorf("by %s: %v, want %v; %s", by, names, want, why)
		}
	}
	if lots, _ := ty.Charts(experience.DispensedOverPrescribed, meter.ByLot); len(lots) != 24 || !strings.Contains(lots[0].Limits, "all preparations") {
		t.Errorf("%d lots, limits %q", len(lots), lots[0].Limits)
	}
	if charts, why := experience.New(time.LoadLocation).Charts(experience.ResidualOfDose, ""); len(charts) != 0 || why == "" {
		t.Error("a chart of nothing")
	}
}
