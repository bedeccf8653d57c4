package fold_test

import (
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// drawnCase is the shipped example up to its transfer, after what was learned.
const drawnCase = `case: 1
zone: Atlantic/Azores
meters:
  - id: M1
    calibration-u: 2 %
    repeatability: 0.8 %
    geometry: {shipping-vial: {factor: 1, u: 0 %, basis: label}}
entries:
  - experience: {at: 2027-03-04T08:00, yields: [{q: 95 %, u: 5 %, cases: 40}], dose-rate: {per-gbq: 131.9 uSv/h, sd: 7.9 uSv/h, cases: 40}}
  - order:    {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30, residual: 2 %}
  - receive:  {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL}
  - read:     {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}
  - draw:     {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}
  - read:     {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.85 GBq, background: 0.2 MBq}
  - make-up:  {of: Y1, at: 2027-03-04T11:18, volume: 1.3 mL, diluent: water for injection}
  - transfer: {from: Y1, into: A1, at: 2027-03-04T11:20}
`

// TestBaselineAsked: the dose rate of a full dose is held against what the site's
// doses have read, the moment it is typed: 131.9 uSv/h per GBq is usual, and 301.0
// less 0.2 would be 218 of the 1.378 GBq that the readings give. What they give is not
// said: who enters the rate may be about to check the dose.
func TestBaselineAsked(t *testing.T) {
	f, err := casefile.Decode([]byte(drawnCase), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	c, err := fold.File(f)
	if err != nil {
		t.Fatal(err)
	}
	books := dispensing.Reckon(c, time.Time{})
	ask := func(rates ...string) string {
		r := &fact.Residual{For: "P1", Before: &fact.DoseReading{At: time.Date(2027, 3, 4, 12, 30, 0, 0, time.UTC)}}
		for _, text := range append(rates, "0.2 uSv/h") {
			q, err := quantity.Parse[quantity.MeterRate](text)
			if err != nil {
				t.Fatal(err)
			}
			r.Before.Rate = append(r.Before.Rate, q)
		}
		last := len(r.Before.Rate) - 1
		r.Before.Rate, r.Before.Background = r.Before.Rate[:last], r.Before.Rate[last]
		asked := fold.Ask(c, books, r)
		if len(asked) == 0 {
			return ""
		}
		fold.Confirm(r, asked)
		return asked[0].Field + " " + asked[0].Text + " | " + r.Confirmed
	}
	for _, x := range []struct{ got, want string }{
		{ask("182 uSv/h"), ""},
		{ask("301.0 uSv/h"), "before.rate 301.0 uSv/h does not fit what the readings of this dose give: usual here is 131.9 ± 7.9 µSv/h per GBq (40 doses), by which it would be about 2.3 GBq: is it so? | rate: 301.0 uSv/h does not fit"},
		{ask("0.2 uSv/h"), "before.rate 0.2 uSv/h is not above its background of 0.2 uSv/h, as of an empty vial: is it so? | rate: 0.2 uSv/h is not above"},
		{ask("310 uSv/h", "290 uSv/h"), "before.rate the mean of 2 directions, 300 uSv/h, does not fit"},
	} {
		if strings.Contains(x.got, "1.38") || strings.Contains(x.got, "218") {
			t.Errorf("the question gives the first figure away: %q", x.got)
		}
		if x.want == "" && x.got != "" || !strings.HasPrefix(x.got, x.want) {
			t.Errorf("asked %q, want %q", x.got, x.want)
		}
	}
}

// TestPartsAskedTwice: residual parts of an order that another container holds as well are
// asked about, since both are added; a further reading of that container is not, nor the
// correction of its own entry.
func TestPartsAskedTwice(t *testing.T) {
	c := dispensing.Case{Book: ledger.New(time.Unix(0, 0), nuclide.HalfLife{Value: 64 * quantity.Hour}), HalfLife: nuclide.Y90.HalfLife(), Parts: []dispensing.Part{{Entry: 9, Of: "R1", For: "P1", Holds: "Line, catheter"}}}
	for _, x := range []struct {
		read  fact.Read
		asked bool
	}{
		{fact.Read{Of: "R2", For: "P1", Holds: "line"}, true},
		{fact.Read{Of: "R2", For: "P1", Holds: "swabs and catheters"}, true},
		{fact.Read{Of: "R2", For: "P1", Holds: "swabs"}, false},
		{fact.Read{Of: "R1", For: "P1", Holds: "line, catheter"}, false},
		{fact.Read{Of: "R2", For: "P2", Holds: "line"}, false},
	} {
		for f, asked := range map[fact.Fact]bool{&x.read: x.asked, &fact.Correct{Entry: 9, With: &x.read}: false, &fact.Correct{Entry: 8, With: &x.read}: x.asked} {
			got := slices.ContainsFunc(fold.Ask(c, dispensing.Result{}, f), func(a fold.Asked) bool { return strings.HasSuffix(a.Field, "holds") })
			if got != asked {
				t.Errorf("%s with %s of %s in %T: asked is %v", x.read.Of, x.read.Holds, x.read.For, f, got)
			}
		}
	}
}

// TestPlannedTimeAsked: an infusion that is a month and more away, or was long ago, is
// asked about before the order is recorded, since no finding of the order tells a slip
// of the month or of the year; what is planned days ahead, and what is entered late
// from paper, is not.
func TestPlannedTimeAsked(t *testing.T) {
	now := time.Date(2027, 3, 4, 8, 0, 0, 0, time.UTC)
	for days, want := range map[int]string{
		0: "", 14: "", 27: "", -6: "",
		31: "the infusion would be 31 d ahead", 365: "the infusion would be 365 d ahead", 28: "the infusion would be 28 d ahead",
		-31: "the infusion would have been 31 d ago", -365: "the infusion would have been 365 d ago",
	} {
		o := &fact.Order{ID: "P1", At: now.AddDate(0, 0, days)}
		asked := fold.Ask(dispensing.Case{}, dispensing.Result{At: now}, o)
		fold.Confirm(o, asked)
		if (len(asked) > 0) != (want != "") || !strings.Contains(o.Confirmed, want) || want != "" && asked[0].Field != "at" {
			t.Errorf("%d days: asked %v, confirmed %q, want %q", days, asked, o.Confirmed, want)
		}
	}
}

// TestDoseAsked: a report above the limit of a year, 500 mSv for the hands and 50 mSv elsewhere
// (Directive 2013/59/Euratom, article 9), is asked about before it is recorded.
func TestDoseAsked(t *testing.T) {
	for _, c := range []struct {
		worn         fact.Worn
		dose, offers string
	}{
		{fact.WornRing, "500 mSv", ""},
		{fact.WornTip, "420 Sv", "420 mSv"},
		{fact.WornBody, "50 mSv", ""},
		{fact.WornLens, "51 mSv", "51 uSv"},
	} {
		d := &fact.DoseReport{Worn: c.worn}
		d.Dose, _ = quantity.Parse[quantity.DoseEquivalent](c.dose)
		asked := fold.Ask(dispensing.Case{}, dispensing.Result{}, d)
		if c.offers == "" {
			if len(asked) > 0 {
				t.Errorf("%s of a %s is asked about: %+v", c.dose, c.worn, asked)
			}
		} else if len(asked) != 1 || asked[0].Field != "measured" || !slices.Contains(asked[0].Meant, c.offers) {
			t.Errorf("%s of a %s: %+v", c.dose, c.worn, asked)
		}
	}
}

// TestSurveyAsked: a dose rate of a place is held against its background, 0.2 uSv/h; the
// surface of a package may read hundreds of times that.
func TestSurveyAsked(t *testing.T) {
	for _, c := range []struct{ place, rate, says string }{
		{"suite", "0.2 uSv/h", ""},
		{"suite", "0.1 uSv/h", ""},
		{"suite", "20 uSv/h", ""},
		{"suite", "0.02 uSv/h", "0.02 uSv/h is less than half of the background of 0.2 uSv/h: is it so?"},
		{"suite", "250 uSv/h", "250 uSv/h is more than 100 times the background of 0.2 uSv/h: is it so?"},
		{"package", "250 uSv/h", ""},
	} {
		s := &fact.Survey{Place: c.place}
		s.Rate, _ = quantity.Parse[quantity.DoseRate](c.rate)
		s.Background, _ = quantity.Parse[quantity.DoseRate]("0.2 uSv/h")
		says := ""
		for _, q := range fold.Ask(dispensing.Case{}, dispensing.Result{}, s) {
			says += q.Text
		}
		if says != c.says {
			t.Errorf("%s of %s: %q, want %q", c.rate, c.place, says, c.says)
		}
	}
}

// TestSettingsAsked: what a site sets is asked about where a share was typed for a
// percentage, or a percentage for a factor, since every plan from then on rests on it.
func TestSettingsAsked(t *testing.T) {
	share := func(text string) (s quantity.Stated[quantity.Fraction]) {
		if text != "" {
			s, _ = quantity.Parse[quantity.Fraction](text)
		}
		return s
	}
	for _, c := range []struct{ tolerance, confidence, factor, says string }{
		{"", "", "", ""},
		{"10 %", "95 %", "0.95", ""},
		{"20 %", "99.9 %", "1.6", ""},
		{"0.1 %", "", "", "tolerance: 0.1 % is outside the usual 1 to 50 %: is it 10 %?"},
		{"", "0.95 %", "", "confidence: 0.95 % is outside the usual 50 to 99.99 %: is it 95 %?"},
		{"", "", "95", "geometry.syringe.0.factor: a factor of 95 would have the meter show 95 times the activity: is it so?"},
		{"", "", "0.095", "geometry.syringe.0.factor: a factor of 0.095 would have the meter show 1/11 of the activity: is it so?"},
	} {
		says := ""
		m := &fact.Meter{Geometry: &fact.Geometries{}}
		if c.factor != "" {
			v, _ := strconv.ParseFloat(c.factor, 64)
			m.Geometry.Syringe = []fact.Geometry{{Factor: fact.Number{Value: v, Text: c.factor}}}
		}
		for _, f := range []fact.Fact{&fact.Policy{Tolerance: share(c.tolerance), Confidence: share(c.confidence)}, m} {
			for _, q := range fold.Ask(dispensing.Case{}, dispensing.Result{}, f) {
				says += q.Field + ": " + q.Text
			}
		}
		if says != c.says {
			t.Errorf("%+v: %q", c, says)
		}
	}
}

// TestDeliveriesAsked: a reference time of another month makes a vial of 3 GBq one of
// terabecquerels, and a slip of a unit a parcel or a contamination that nobody has seen;
// what a site may well have is not asked about.
func TestDeliveriesAsked(t *testing.T) {
	at := func(day string) time.Time {
		t, err := time.Parse("2006-01-02 15:04", "2027-"+day)
		if err != nil {
			panic(err)
		}
		return t
	}
	usual := said[quantity.Activity](t, "3.0 GBq")
	survey := func(surface, metre, counted, area string) *fact.ParcelSurvey {
		return &fact.ParcelSurvey{
			Surface: said[quantity.DoseRate](t, surface), Metre: said[quantity.DoseRate](t, metre),
			Swab: &fact.Counted{Time: said[quantity.Span](t, counted), BlankTime: said[quantity.Span](t, "60 s"), Area: said[quantity.Area](t, area)},
		}
	}
	skin := func(level, area string) *fact.Contaminated {
		return &fact.Contaminated{Level: said[quantity.Contamination](t, level), Area: said[quantity.Area](t, area)}
	}
	for _, c := range []struct {
		fact fact.Fact
		says string
	}{
		{&fact.Receive{Labelled: usual, Volume: said[quantity.Volume](t, "5 mL"), Reference: at("03-04 18:00"), At: at("03-01 09:00")}, ""},
		{&fact.Receive{Labelled: usual, Volume: said[quantity.Volume](t, "5 mL"), Reference: at("03-04 18:00")}, ""},
		{
			&fact.Receive{Labelled: usual, Volume: said[quantity.Volume](t, "5 mL"), Reference: at("04-04 18:00"), At: at("03-04 09:00")},
			"reference: the reference time would be 31 d 9 h after the vial comes: is it so?",
		},
		{&fact.Parcel{Vials: 2, Labelled: usual, Reference: at("03-04 18:00"), At: at("03-04 09:00")}, ""},
		{
			&fact.Parcel{Vials: 300, Labelled: said[quantity.Activity](t, "3000 GBq"), Reference: at("02-04 18:00"), At: at("03-04 09:00")},
			"vials: 300 vials would be in one parcel: is it so?" +
				"labelled: 3000 GBq is outside the usual 0.5 to 10 GBq of a shipping vial: is it 3000 MBq?" +
				"reference: the reference time would be 27 d 15 h before the vial comes: is it so?",
		},
		{&fact.ExpectParcel{Vials: 1, Labelled: usual, Reference: at("03-04 18:00"), Due: at("03-04 09:00")}, ""},
		{
			&fact.ExpectParcel{Vials: 1, Labelled: usual, Volume: said[quantity.Volume](t, "50 mL"), Reference: at("03-04 18:00"), Due: at("03-04 09:00")},
			"volume: 50 mL is outside the usual 1 to 25 mL: is it 5.0 mL?",
		},
		{
			&fact.Offer{Vials: 1, Labelled: usual, Volume: said[quantity.Volume](t, "5 mL"), Reference: at("04-04 18:00"), Due: at("03-04 09:00")},
			"reference: the reference time would be 31 d 9 h after the vial comes: is it so?",
		},
		{survey("120 uSv/h", "2 uSv/h", "60 s", "300 cm2"), ""},
		{
			survey("5000 mSv/h", "90 mSv/h", "60 h", "300 m2"),
			"surface: 5000 mSv/h is more than the usual 10 mSv/h: is it so?" +
				"metre: 90 mSv/h is more than the usual 10 mSv/h: is it so?" +
				"swab.time: 60 h is more than the usual 1 d: is it so?" +
				"swab.area: 300 m2 is more than the usual 2000 cm²: is it so?",
		},
		{skin("40000 Bq/cm2", "10 cm2"), ""},
		{
			skin("9e8 Bq/cm2", "2 m2"),
			"level: 9e8 Bq/cm2 is more than the usual 1000 kBq/cm²: is it so?area: 2 m2 is more than the usual 2000 cm²: is it so?",
		},
		{
			&fact.Meter{Geometry: &fact.Geometries{Syringe: []fact.Geometry{{Factor: fact.Number{Value: 1, Text: "1"}, U: said[quantity.Fraction](t, "0.01 %")}}}},
			"geometry.syringe.0.u: 0.01 % is outside the usual 0.1 to 20 %: is it 1 %?",
		},
		{&fact.Meter{Geometry: &fact.Geometries{Syringe: []fact.Geometry{{Factor: fact.Number{Value: 1, Text: "1"}, U: said[quantity.Fraction](t, "0 %")}}}}, ""},
	} {
		says := ""
		for _, q := range fold.Ask(dispensing.Case{}, dispensing.Result{}, c.fact) {
			says += q.Field + ": " + q.Text
		}
		if says != c.says {
			t.Errorf("%s: %q, want %q", fact.Word(c.fact), says, c.says)
		}
	}
}

func said[Q quantity.Kind](t *testing.T, text string) quantity.Stated[Q] {
	t.Helper()
	q, err := quantity.Parse[Q](text)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// TestGivingAsked: on the way to the patient and after it a slip is asked about before it
// is recorded: the vial that the label does not name, an infusion of no time, one of five
// directions without its last digit, the baseline once more for the residual, and parts that
// hold more than all of the residual. 6.4 uSv/h of 182 are 3.5 % of 1.38 GBq, 48 MBq.
func TestGivingAsked(t *testing.T) {
	const (
		label    = "  - label: {serial: WK99-VFTV-W544, for: P1, of: Y1, into: A1, size: administration-vial, copy: 1, at: 2027-03-04T11:19, printed: {activity: 1.34 GBq, reference: 2027-03-04T13:30, valid-from: 2027-03-04T11:00, valid-until: 2027-03-04T20:00, volume: 3.5 mL, dose: 1, doses: 1, half-life: 64.04 h, lot: L-0311}}\n"
		transfer = "  - transfer: {from: Y1, into: A1, at: 2027-03-04T11:20}\n"
		baseline = "  - residual: {for: P1, before: {at: 2027-03-04T11:30, rate: 182 uSv/h, background: 0.2 uSv/h}}\n"
		given    = "  - infuse: {for: P1, start: 2027-03-04T13:30, stop: 2027-03-04T13:50, reason: stasis}\n"
		left     = "  - residual: {for: P1, after: {at: 2027-03-04T15:12, rate: 6.4 uSv/h, background: 0.2 uSv/h}}\n"
	)
	drawn := strings.Replace(drawnCase[:strings.Index(drawnCase, "  - transfer")], "basis: label}}", "basis: label}, residual-parts: {factor: 1, u: 3 %, basis: label}}", 1)
	read := func(text string) (*casefile.File, dispensing.Case, dispensing.Result) {
		t.Helper()
		f, err := casefile.Decode([]byte(text), time.LoadLocation)
		if err != nil {
			t.Fatal(err)
		}
		c, err := fold.File(f)
		if err != nil {
			t.Fatal(err)
		}
		return f, c, dispensing.Reckon(c, time.Time{})
	}
	for _, x := range []struct{ before, last, want string }{
		{label, transfer, ""},
		{label, strings.Replace(transfer, "A1", "A2", 1), "into the label of the dose in Y1 names another vial than A2: is it A1?"},
		{transfer + baseline, given, ""},
		{transfer + baseline, strings.Replace(given, "13:50", "13:30", 1), "stop the infusion would have taken less than a minute: is it so?"},
		{transfer + baseline, strings.Replace(given, "13:50", "17:30", 1), "stop the infusion would have taken 4 h: is it so?"},
		{transfer, strings.Replace(baseline, "182 uSv/h", "[182 uSv/h, 18 uSv/h]", 1), "before.rate The dose rates of order P1 before its infusion differ from direction to direction by more than a factor of two (a rule of thumb: common practice, no source): is it so?"},
		// It is asked of those after too, where it was said of those before that they are so.
		{transfer + strings.Replace(baseline, "182 uSv/h", "[182 uSv/h, 184 uSv/h, 180 uSv/h, 80 uSv/h]", 1) + given, strings.Replace(left, "6.4 uSv/h", "[6.4 uSv/h, 6.2 uSv/h, 6.6 uSv/h, 2.9 uSv/h]", 1), "after.rate The dose rates of order P1 after its infusion differ from direction to direction by more than a factor of two (a rule of thumb: common practice, no source): is it so?"},
		{transfer + baseline + given, left, ""},
		{transfer + baseline + given, strings.Replace(left, "6.4", "170", 1), "after.rate By dose rate, the residual is 97 ± 19 % of the dose of order P1, and may be the whole dose: is it so?"},
		{transfer + baseline + given + left, "  - read: {of: R1, for: P1, holds: line, meter: M1, at: 2027-03-04T15:30, gross: 30 MBq, background: 0.2 MBq}\n", ""},
		{transfer + baseline + given + left, "  - read: {of: R1, for: P1, holds: line, meter: M1, at: 2027-03-04T15:30, gross: 300 MBq, background: 0.2 MBq}\n", "gross The parts of the residual of order P1 that were read hold more than all of it by dose rate: is it so?"},
	} {
		_, c, before := read(drawn + x.before)
		f, _, after := read(drawn + x.before + x.last)
		last := f.Facts[len(f.Facts)-1]
		got := ""
		for _, a := range slices.Concat(fold.Ask(c, before, last), fold.AskAfter(before, after, last)) {
			if a.Said == "" || strings.Contains(a.Text, "does not fit") {
				continue // the volume that is not said, the mean of what slipped
			}
			got += a.Field + " " + a.Text
		}
		if got != x.want {
			t.Errorf("%s\tasked %q,\n\twant  %q", x.last, got, x.want)
		}
	}
}

// TestManyConfirmed: what was said to be so of all factors of a meter that shows a tenth of the
// activity can be recorded, and so can what was said of one.
func TestManyConfirmed(t *testing.T) {
	for _, n := range []int{1, 12} {
		tenth := fact.Geometry{Factor: fact.Number{Value: 0.095, Text: "0.095"}, Basis: quantity.LabelBasis}
		m := &fact.Meter{ID: "M1", Geometry: &fact.Geometries{Syringe: slices.Repeat([]fact.Geometry{tenth}, n)}}
		asked := fold.Ask(dispensing.Case{}, dispensing.Result{}, m)
		fold.Confirm(m, asked)
		if len(asked) != n || utf8.RuneCountInString(m.Confirmed) > 500 || strings.Count(m.Confirmed, "; ") < min(n-1, 4) || strings.HasSuffix(m.Confirmed, "...") != (n > 1) {
			t.Errorf("%d questions, kept as %q", len(asked), m.Confirmed)
		}
	}
}

// TestWhatIsAskedIsKept: each kind that is asked about has a place for what was said to be so.
func TestWhatIsAskedIsKept(t *testing.T) {
	source, err := os.ReadFile("ask.go")
	if err != nil {
		t.Fatal(err)
	}
	every, err := os.ReadFile("../casefile/testdata/all-kinds.yaml")
	if err != nil {
		t.Fatal(err)
	}
	file, err := casefile.Decode(every, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	asked := 0
	for _, f := range file.Facts {
		name := strings.TrimPrefix(fmt.Sprintf("%T", f), "*fact.")
		if name == "Correct" || !strings.Contains(string(source), "case *fact."+name+":") {
			continue
		}
		if asked++; fact.ConfirmedAt(f) == nil {
			t.Errorf("%s is asked about, and has no field for what was confirmed", name)
		}
	}
	if asked < 12 {
		t.Errorf("%d kinds are asked about", asked)
	}
}
