package main

import (
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// The second inventory: it reads the raw lines that the program exports, and nothing
// else of the program. It knows of a vial that is read before a draw and after it, of a
// dose whose residual is read by dose rate, of bins and of parcels, and sums by hand what
// each holds.

// exportedLine is the record of a raw line.
type exportedLine struct {
	Kind string `json:"kind"`
	Fact struct {
		Vial, Of, From, Into, For, Parcel, Bin, How, Route string
		Labelled, Gross, Background, Volume, Reference, At string
		Start, Due                                         string
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

// secondSum sums raw lines at an instant, by what things are in.
func secondSum(raw string, at time.Time) map[string]float64 {
	var all []exportedLine
	halfLife := 0.0
	for line := range strings.Lines(raw) {
		var x exportedLine
		if err := json.Unmarshal([]byte(line[strings.Index(line, "{"):]), &x); err != nil {
			panic(err)
		}
		if x.Kind == "site" {
			halfLife = figureOf(x.Fact.HalfLife)
		}
		all = append(all, x)
	}
	decay := func(from, to string) float64 { return math.Exp2(-when(to).Sub(when(from)).Hours() / halfLife) }
	zero := "2027-01-01T00:00:00Z" // all activities are carried there
	label, reads := map[string]float64{}, map[string][]exportedLine{}
	drawn, residual := map[string]string{}, map[string]float64{}
	for _, x := range all {
		switch x.Kind {
		case "receive":
			label[x.Fact.Vial] = figureOf(x.Fact.Labelled) * decay(x.Fact.Reference, zero)
		case "read":
			reads[x.Fact.Of] = append(reads[x.Fact.Of], x)
		case "draw":
			drawn[x.Fact.From] = x.Fact.At
		case "residual":
			b, a := x.Fact.Before, x.Fact.After
			residual[x.Fact.For] = (figureOf(a.Rate[0]) - figureOf(a.Background)) / (figureOf(b.Rate[0]) - figureOf(b.Background)) / decay(b.At, a.At)
		}
	}
	read := func(vial string, after bool) float64 {
		for _, x := range reads[vial] {
			if when(x.Fact.At).After(when(drawn[vial])) == after {
				return (figureOf(x.Fact.Gross) - figureOf(x.Fact.Background)) * decay(x.Fact.At, zero)
			}
		}
		return label[vial]
	}
	holds, of, in := map[string]float64{}, map[string]string{}, map[string]int{}
	placed := map[string]string{} // what a container is, or how it left
	parcels := map[string]exportedLine{}
	slices.SortStableFunc(all, func(a, b exportedLine) int { return strings.Compare(utc(a), utc(b)) })
	for _, x := range all {
		f := x.Fact
		if t := utc(x); t == "" || t > at.UTC().Format(time.RFC3339) {
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
			holds[f.Vial], placed[f.Vial] = read(f.Vial, false), "vial"
			in[f.Parcel]++
		case "draw":
			part := read(f.From, false) - read(f.From, true)
			holds[f.From] -= part
			holds[f.Into], placed[f.Into] = part, "syringe"
		case "transfer":
			move(f.From, f.Into, 1, "dose")
			of["P"+f.Into[1:]] = f.Into
		case "infuse":
			move(of[f.For], f.For, 1-residual[f.For], "patient")
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
	now := at.UTC().Format(time.RFC3339)
	for id, x := range holds {
		out[placed[id]] += x * decay(zero, now)
	}
	for id, x := range parcels {
		out["parcel"] += float64(x.Fact.Vials-in[id]) * figureOf(x.Fact.Labelled) * decay(x.Fact.Reference, now)
	}
	for _, x := range all {
		due := x.Kind == "expect-parcel" && when(x.Fact.Due).Compare(at) <= 0
		if _, here := parcels[x.Fact.Parcel]; due && !here && !slices.ContainsFunc(all, func(y exportedLine) bool { return y.Kind == "parcel" && y.Fact.Parcel == x.Fact.Parcel }) {
			out["parcel expected"] += float64(x.Fact.Vials) * figureOf(x.Fact.Labelled) * decay(x.Fact.Reference, now)
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

// TestInventoryEqualsASecondSum: at many minutes of three invented months, with all faults
// in them, what the program says is in vials, doses, patients, bins and parcels, and what
// left, is what the second sum says, to the becquerel.
func TestInventoryEqualsASecondSum(t *testing.T) {
	journal := quarterJournal(t)
	raw, _ := answered(t, "export", "--raw", "--journal", journal)
	begin, tried, most := when("2027-01-04T12:00:00Z"), 0, 0.0
	for at := begin; at.Before(when("2027-04-20T00:00:00Z")); at = at.Add(61*time.Hour + 37*time.Minute) {
		text, _ := answered(t, "inventory", "--json", "--journal", journal, "--at", at.Format(time.RFC3339))
		var got struct {
			Items []struct {
				Where    string
				Activity float64 `json:"activity_MBq"`
			}
			Difference float64 `json:"difference_MBq"`
		}
		if err := json.Unmarshal([]byte(text), &got); err != nil {
			t.Fatalf("%v: %s", err, text)
		}
		sums := map[string]float64{}
		for _, i := range got.Items {
			sums[i.Where] += i.Activity * 1e6
		}
		want := secondSum(raw, at)
		for _, place := range []string{"vial", "syringe", "dose", "patient", "waste bin", "parcel", "parcel expected", "released to trash", "sent back", "lost"} {
			if math.Abs(sums[place]-want[place]) > 0.5 {
				t.Errorf("%v: %.1f Bq in %s, the second sum says %.1f", at, sums[place], place, want[place])
			}
			most = max(most, want[place])
		}
		if math.Abs(got.Difference*1e6) > 0.5 {
			t.Errorf("%v: %g MBq are nowhere", at, got.Difference)
		}
		tried++
	}
	if tried < 40 || most < 1e9 {
		t.Errorf("only %d instants, and never more than %g Bq", tried, most)
	}
}
