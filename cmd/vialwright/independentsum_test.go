package main

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/inventory"
	"vialwright/web/books"
)

// The second inventory: it reads the raw lines that the program exports, and nothing
// else of the program. It knows of a vial that is read before a draw and after it, of a
// dose whose residual is read by dose rate, of bins and of parcels, and sums by hand what
// each holds.

// exportedLine is the record of a raw line.
type exportedLine struct {
	utc  string
	Kind string `json:"kind"`
	Fact struct {
		Vial, Of, From, Into, For, Parcel, Bin, How, Route string
		Labelled, Gross, Background, Volume, Reference, At string
		Start, Stop, Due                                   string
		Vials                                              int
		HalfLife                                           string `json:"half-life"`
		Before, After                                      *struct {
			At, Background string
			Rate           []string
		}
	} `json:"fact"`
}

// figureOf is the number of a quantity in its base unit: Bq, mL, uSv/h, h.
func figureOf(text string) float64 {
	number, unit, _ := strings.Cut(text, " ")
	x, err := strconv.ParseFloat(number, 64)
	scale := map[string]float64{"GBq": 1e9, "MBq": 1e6, "mL": 1, "uSv/h": 1, "h": 1, "%": 0.01}[unit]
	if err != nil || scale == 0 {
		panic("no figure: " + text)
	}
	return x * scale
}

func when(text string) time.Time {
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		panic(err)
	}
	return t
}

// secondBooks are the raw lines, oldest first, with what rests on all of them: all activities
// are carried to zero.
type secondBooks struct {
	all             []exportedLine
	halfLife        float64
	label, residual map[string]float64
	drawn           map[string]string
	reads           map[string][]exportedLine
}

const zero = "2027-01-01T00:00:00Z"

func (b *secondBooks) decay(from, to string) float64 {
	return math.Exp2(-when(to).Sub(when(from)).Hours() / b.halfLife)
}

func readSecond(raw string) *secondBooks {
	b := &secondBooks{label: map[string]float64{}, residual: map[string]float64{}, drawn: map[string]string{}, reads: map[string][]exportedLine{}}
	for line := range strings.Lines(raw) {
		var x exportedLine
		if err := json.Unmarshal([]byte(line[strings.Index(line, "{"):]), &x); err != nil {
			panic(err)
		}
		if x.Kind == "site" {
			b.halfLife = figureOf(x.Fact.HalfLife)
		}
		x.utc = utc(x)
		b.all = append(b.all, x)
	}
	for _, x := range b.all {
		switch x.Kind {
		case "receive":
			b.label[x.Fact.Vial] = figureOf(x.Fact.Labelled) * b.decay(x.Fact.Reference, zero)
		case "read":
			b.reads[x.Fact.Of] = append(b.reads[x.Fact.Of], x)
		case "draw":
			b.drawn[x.Fact.From] = x.Fact.At
		case "residual":
			f, a := x.Fact.Before, x.Fact.After
			b.residual[x.Fact.For] = (figureOf(a.Rate[0]) - figureOf(a.Background)) / (figureOf(f.Rate[0]) - figureOf(f.Background)) / b.decay(f.At, a.At)
		}
	}
	slices.SortStableFunc(b.all, func(a, b exportedLine) int { return strings.Compare(a.utc, b.utc) })
	return b
}

// read is what a vial held by its reading before or after the draw, at zero.
func (b *secondBooks) read(vial string, after bool) float64 {
	for _, x := range b.reads[vial] {
		if when(x.Fact.At).After(when(b.drawn[vial])) == after {
			return (figureOf(x.Fact.Gross) - figureOf(x.Fact.Background)) * b.decay(x.Fact.At, zero)
		}
	}
	return b.label[vial]
}

// sum sums at an instant, by what things are in.
func (b *secondBooks) sum(at time.Time) map[string]float64 {
	holds, of, in := map[string]float64{}, map[string]string{}, map[string]int{}
	placed := map[string]string{} // what a container is, or how it left
	parcels, ordered := map[string]exportedLine{}, map[string]exportedLine{}
	now := at.UTC().Format(time.RFC3339)
	for _, x := range b.all {
		f := x.Fact
		if x.Kind == "expect-parcel" {
			ordered[f.Parcel] = x
		}
		if x.utc == "" || x.utc > now {
			continue
		}
		move := func(from, into string, share float64, place string) {
			part := holds[from] * share
			holds[from] -= part
			holds[into] += part
			placed[into] = place
		}
		switch x.Kind {
		case "receive":
			holds[f.Vial], placed[f.Vial] = b.read(f.Vial, false), "vial"
			in[f.Parcel]++
		case "draw":
			part := b.read(f.From, false) - b.read(f.From, true)
			holds[f.From] -= part
			holds[f.Into], placed[f.Into] = part, "syringe"
		case "transfer":
			move(f.From, f.Into, 1, "dose")
			of["P"+f.Into[1:]] = f.Into
		case "infuse":
			move(of[f.For], f.For, 1-b.residual[f.For], "patient")
		case "discard":
			move(f.From, f.Into, 1, "waste bin")
		case "left-site":
			placed[f.Of] = map[string]string{"returned": "sent back", "lost": "lost"}[f.How]
		case "release-bin":
			placed[f.Bin] = map[string]string{"trash": "released to trash", "return": "sent back", "transfer": "handed on"}[f.Route]
		case "parcel":
			parcels[f.Parcel] = x
		}
	}
	out := map[string]float64{}
	for id, x := range holds {
		out[placed[id]] += x * b.decay(zero, now)
	}
	for id, x := range parcels {
		out["parcel"] += float64(x.Fact.Vials-in[id]) * figureOf(x.Fact.Labelled) * b.decay(x.Fact.Reference, now)
	}
	for _, x := range b.all {
		if x.Kind == "parcel" {
			delete(ordered, x.Fact.Parcel)
		}
	}
	for _, x := range ordered {
		if when(x.Fact.Due).Compare(at) <= 0 {
			out["parcel expected"] += float64(x.Fact.Vials) * figureOf(x.Fact.Labelled) * b.decay(x.Fact.Reference, now)
		}
	}
	return out
}

// utc is the time of a record, as texts that sort.
func utc(x exportedLine) string {
	for _, t := range []string{x.Fact.At, x.Fact.Start} {
		if t != "" {
			return when(t).UTC().Format(time.RFC3339)
		}
	}
	return ""
}

// changes are the instants at which anything changes by the raw lines, and those at which
// something is due or stops.
func (b *secondBooks) changes() (out []time.Time) {
	for _, x := range b.all {
		for _, t := range []string{x.Fact.At, x.Fact.Start, x.Fact.Stop, x.Fact.Due} {
			if t != "" {
				out = append(out, when(t))
			}
		}
	}
	slices.SortFunc(out, time.Time.Compare)
	return slices.CompactFunc(out, time.Time.Equal)
}

// places are the words that the second sum knows.
var places = []string{"vial", "syringe", "dose", "patient", "waste bin", "parcel", "parcel expected", "released to trash", "sent back", "handed on", "lost"}

// TestInventoryEqualsASecondSum: in three invented months, with all faults in them, what the
// program says is in vials, doses, patients, bins and parcels, and what left, is what the second
// sum says, to the becquerel: at each instant at which anything changes, a second before it and
// after it, and at three thousand minutes by lot.
func TestInventoryEqualsASecondSum(t *testing.T) {
	path := quarterJournal(t)
	raw, _ := answered(t, "export", "--raw", "--journal", path)
	second := readSecond(raw)
	lab, _, end, err := siteAt(path)
	if err != nil {
		t.Fatal(err)
	}
	defer end()
	read, err := books.Inventory(lab, time.Time{}, loadZone)
	if err != nil {
		t.Fatal(err)
	}
	begin, last := when("2027-01-01T00:00:00Z"), when("2027-04-20T00:00:00Z")
	fitted := inventory.Fit(read, last)
	var instants []time.Time
	changes := second.changes()
	for _, x := range changes {
		instants = append(instants, x.Add(-time.Second), x, x.Add(time.Second))
	}
	lot := rand.New(rand.NewPCG(20270101, 1))
	for range 3000 {
		instants = append(instants, begin.Add(time.Duration(lot.Int64N(int64(last.Sub(begin)/time.Minute)))*time.Minute))
	}
	most, ever := 0.0, map[string]bool{}
	for _, at := range instants {
		v := fitted.At(at)
		got, want := map[string]float64{}, second.sum(at)
		for _, i := range v.Items {
			got[string(i.Where)] += float64(i.Activity)
		}
		for _, place := range places {
			if math.Abs(got[place]-want[place]) > 0.5 {
				t.Errorf("%v: %.1f Bq in %s, the second sum says %.1f", at, got[place], place, want[place])
			}
			most, ever[place] = max(most, want[place]), ever[place] || want[place] > 1e6
			delete(got, place)
		}
		if math.Abs(float64(v.Difference())) > 0.5 || len(got) > 0 {
			t.Errorf("%v: %v are nowhere, and in places that the second sum does not know %v", at, v.Difference(), got)
		}
	}
	if len(changes) < 300 || most < 1e9 || len(ever) != len(places) {
		t.Errorf("only %d changes, never more than %g Bq, and activity in %v", len(changes), most, ever)
	}
	// The command says the same, with the cases reconciled for each instant by itself.
	for at := when("2027-01-04T12:00:00Z"); at.Before(last); at = at.Add(201*time.Hour + 37*time.Minute) {
		text, _ := answered(t, "inventory", "--json", "--journal", path, "--at", at.Format(time.RFC3339))
		var got struct {
			Items []struct {
				Where    string
				Activity float64 `json:"activity_MBq"`
			}
		}
		if err := json.Unmarshal([]byte(text), &got); err != nil {
			t.Fatalf("%v: %s", err, text)
		}
		sums := map[string]float64{}
		for _, i := range got.Items {
			sums[i.Where] += i.Activity * 1e6
		}
		want := second.sum(at)
		for _, place := range places {
			if math.Abs(sums[place]-want[place]) > 0.5 {
				t.Errorf("%v: the command says %.1f Bq in %s, the second sum %.1f", at, sums[place], place, want[place])
			}
		}
	}
}
