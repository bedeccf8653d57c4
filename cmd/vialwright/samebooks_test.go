package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
)

// oneLine is a text with its lines joined, as it is read.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// onScreen is what a person reads of a page.
func (a answer1) onScreen() string {
	text := regexp.MustCompile(`(?s)<(script|style)[^>]*>.*?</(script|style)>|<[^>]*>`).ReplaceAllString(a.body, " ")
	return oneLine(html.UnescapeString(text))
}

// papers are the same books as each place says them.
type papers struct {
	reckon, bench, day, sheet, label string
	json                             map[string]any
}

// command runs the program on an input at a moment.
func command(t testing.TB, in string, now time.Time, args ...string) string {
	t.Helper()
	out, errs := &bytes.Buffer{}, &bytes.Buffer{}
	if status := run(args, &edge{in: strings.NewReader(in), out: out, err: errs, now: func() time.Time { return now }}); status > 1 {
		t.Fatalf("%v: %d %s", args, status, errs)
	}
	return out.String()
}

func (l *lab) papers() papers {
	l.Helper()
	command := func(in string, args ...string) string { return command(l, in, l.now, args...) }
	file, at := command("", "export", "P1", "--journal", l.journal), l.now.Format(time.RFC3339)
	p := papers{
		reckon: oneLine(command(file, "reckon", "-", "--at", at)), bench: l.get("NT1", atBench).onScreen(), day: l.get("NT1", "/day").onScreen(),
		sheet: l.pdfText("/sheet/P1.pdf"),
	}
	if l.serial != "" {
		p.label = l.pdfText("/labels/" + l.serial + ".pdf")
	}
	if err := json.Unmarshal([]byte(command(file, "reckon", "-", "--json", "--at", at)), &p.json); err != nil {
		l.Fatal(err)
	}
	for _, f := range p.list("findings") { // the code stands beside the text, in its middle
		code := f.text("code")
		if !strings.Contains(p.sheet, code) || !strings.Contains(p.reckon, "["+code+"]") {
			l.Errorf("the code %s is not on the sheet and in reckon", code)
		}
		p.sheet = strings.ReplaceAll(p.sheet, " "+code+" ", " ")
	}
	return p
}

// record is one item of a list of the answer.
type record map[string]any

func (p papers) list(key string) (out []record) {
	list, _ := p.json[key].([]any)
	for _, x := range list {
		if m, ok := x.(map[string]any); ok {
			out = append(out, m)
		}
	}
	return out
}

func (r record) number(key string) (float64, bool) { x, ok := r[key].(float64); return x, ok }
func (r record) text(key string) string            { s, _ := r[key].(string); return s }

// activity is a figure of the answer as it is printed, and its 95 % interval.
func (r record) activity(key, u string) (said, interval string, ok bool) {
	y, ok := r.number(key)
	s, _ := r.number(u)
	value, spread := quantity.Activity(y)*quantity.MegaBecquerel, quantity.Activity(s)*quantity.MegaBecquerel
	return dispensing.Said(value, spread), quantity.Interval(value, spread), ok
}

// figure1 is a key figure as it must be printed, and where.
type figure1 struct{ name, text, where string }

// figures are the key figures of the answer: r stands for the page of reckon, b
// for the bench, d for the page of the day, s for the sheet, l for the label.
func (p papers) figures(zone *time.Location) (out []figure1) {
	add := func(name, where string, ok bool, texts ...string) {
		for _, text := range texts {
			if ok && text != "" {
				out = append(out, figure1{name, text, where})
			}
		}
	}
	for _, v := range p.list("vials") {
		said, interval, ok := v.activity("measured_MBq", "u_MBq")
		add("vial "+v.text("id"), "rds", ok, said, interval)
		ratio, ok := v.number("label_ratio")
		add("of the label", "rs", ok, dispensing.Share(ratio))
	}
	for _, k := range p.list("containers") {
		said, _, ok := k.activity("activity_MBq", "u_MBq")
		y, _ := k.number("activity_MBq")
		add("in "+k.text("id"), "rs", ok && y > 0, said)
		first, _, _ := strings.Cut(said, " (")
		add("in "+k.text("id"), "b", ok && y > 0 && k.text("kind") != "patient-territory", first)
	}
	for _, o := range p.list("orders") {
		p.order(o, zone, add)
	}
	for _, f := range p.list("findings") {
		add("finding", "rs", true, f.text("text"))
		add("finding", "bd", f.text("severity") != "note", f.text("text"))
	}
	return out
}

func (p papers) order(o record, zone *time.Location, add func(name, where string, ok bool, texts ...string)) {
	mbq := func(x float64) quantity.Activity { return quantity.Activity(x) * quantity.MegaBecquerel }
	wanted, ok := o.number("wanted_MBq")
	add("wanted", "rs", ok, quantity.Show(mbq(wanted), 0).String())
	if plan, ok := o["plan"].(map[string]any); ok {
		draw, _ := record(plan).number("draw_mL")
		chance, _ := record(plan).number("predicted_conformance")
		add("plan", "rs", true, quantity.Show(quantity.Volume(draw), 0).String(), dispensing.Chance(chance))
	}
	said, interval, ok := o.activity("dispensed_MBq", "u_MBq")
	add("dispensed", "rbs", ok, said, interval, o.text("verdict"))
	chance, _ := o.number("conformance")
	add("probability", "rbs", ok, dispensing.Chance(chance))
	y, _ := o.number("dispensed_MBq")
	first, other := quantity.BothDigits(mbq(y), 3, "GBq", "mCi")
	add("dispensed", "l", ok, first, other)
	for _, key := range []string{"valid_from", "valid_until"} {
		t, err := time.Parse(time.RFC3339, o.text(key))
		add(key, "rs", err == nil, quantity.ShowTime(t.In(zone)))
		wall := "15:04" // the bench tells the day where it is not that of the work
		if t.In(zone).Format(time.DateOnly) != "2027-03-04" {
			wall = "Mon 2 Jan 15:04"
		}
		add(key, "b", err == nil, t.In(zone).Format(wall))
		if key == "valid_from" { // a label has whole minutes, rounded into the window
			t = t.Add(59 * time.Second)
		}
		add(key, "l", err == nil, t.In(zone).Format("2006-01-02 15:04"))
	}
	said, interval, ok = o.activity("delivered_MBq", "delivered_u_MBq")
	add("delivered", "rbs", ok, said, interval)
	d, _ := o.number("delivered_MBq")
	share := dispensing.Share(d / 1300) // of nothing no share is said
	add("of the prescription", "rbs", ok && !strings.HasPrefix(said, "nothing"), share)
}

// says tells whether a text has a figure; a sheet has its two units apart.
func says(text, figure string) bool {
	if first, other, two := strings.Cut(strings.TrimSuffix(figure, ")"), " ("); two && strings.HasSuffix(other, "mCi") {
		return strings.Contains(text, figure) || strings.Contains(text, first+" "+other)
	}
	return strings.Contains(text, figure)
}

// missing are the figures that do not stand where they must.
func (p papers) missing(figures []figure1) (out []string) {
	for _, f := range figures {
		for where, text := range map[string]string{"r": p.reckon, "b": p.bench, "d": p.day, "s": p.sheet, "l": p.label} {
			if strings.Contains(f.where, where) && !says(text, f.text) {
				out = append(out, fmt.Sprintf("%s %q is not in %s", f.name, f.text, map[string]string{"r": "reckon", "b": "the bench", "d": "the day", "s": "the sheet", "l": "the label"}[where]))
			}
		}
	}
	return out
}

// given takes the dose from the second check to its residual.
func (l *lab) given(reason, rates string) {
	l.Helper()
	l.step("11:50", "RP1", "release", "p0.serial", l.serial)
	l.step("12:30", "RP1", "hand-over", "p0.serial", l.serial, "p0.to", "NU1", "p0.place", "suite 2", "pin2", practicePIN)
	l.step("13:25", "NU1", "time-out", "p0.patient", "DEMO-0042", "p0.territory", "right lobe", "p0.activity", "1.34", "p0.activity.unit", "GBq", "p0.with", "PH1", "pin2", practicePIN)
	l.step("14:10", "NU1", "infusion", "p0.start", "2027-03-04T13:30", "p0.stop", "2027-03-04T14:05", "p0.reason", reason)
	l.step("15:12", "NT1", "residual", "p0.after.rate", rates, "p0.after.background", "0.2")
}

// The same books say the same in reckon, at the bench, on the sheet and on the
// label: a normal preparation, before and after it is given; one whose infusion
// was stopped, and one of which nothing can be told to have been given.
func TestSameBooksSayTheSame(t *testing.T) {
	if testing.Short() {
		t.Skip("serves whole laboratories, and reads their PDF with poppler")
	}
	for _, book := range []struct{ name, reason, rates string }{
		{"normal", "complete", "6.4 6.2 6.6 6.4"},
		{"stopped", "stasis", "64 62 66 64"},
		{"nothing given", "stasis", "174 174.2 174.3"},
	} {
		t.Run(book.name, func(t *testing.T) {
			l := labOf(t, "11:30", doseCase)
			l.step("11:31", "PH1", "sign-order")
			l.step("11:32", "NT1", "baseline", "p0.before.rate", "182 180 184 181", "p0.before.background", "0.2")
			l.step("11:40", "RP2", "second-check", "p0.gross", "1.86", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", "1.33", "p0.activity.unit", "GBq")
			l.step("11:45", "NT1", "label")
			l.serial = serialOf.FindStringSubmatch(l.get("NT1", atBench).body)[1]
			for _, given := range []bool{false, true} {
				if given {
					l.given(book.reason, book.rates)
				}
				p := l.papers()
				figures := p.figures(l.now.Location())
				if least := map[bool]int{false: 23, true: 28}[given]; len(figures) < least {
					t.Errorf("given %v: only %d figures were compared: %v", given, len(figures), figures)
				}
				for _, m := range p.missing(figures) {
					t.Errorf("given %v: %s", given, m)
				}
				if strings.Contains(randomOf.ReplaceAllString(l.get("NT1", atBench).body, ""), "NaN") {
					t.Errorf("given %v: the picture has a volume that is no number", given)
				}
			}
		})
	}
}

// Of books with a slipped entry every place says the same stop, and none says
// a figure that is withheld: those of the same books without the slip.
func TestWithheldNowhere(t *testing.T) {
	if testing.Short() {
		t.Skip("serves whole laboratories, and reads their PDF with poppler")
	}
	l := labOf(t, "11:31", strings.Replace(doseCase, "gross: 1.31 GBq", "gross: 13.1 GBq", 1))
	l.step("11:31", "PH1", "sign-order")
	p := l.papers()
	for _, m := range p.missing(p.figures(l.now.Location())) {
		t.Error(m)
	}
	for _, want := range []string{"13.1 GBq is probably 1.31 GBq (point moved)", "withheld"} {
		for where, text := range map[string]string{"reckon": p.reckon, "bench": p.bench, "day": p.day, "sheet": p.sheet} {
			if !strings.Contains(text, want) {
				t.Errorf("%s does not say %q", where, want)
			}
		}
	}
	honest, secret := papers{}, 0
	if err := json.Unmarshal([]byte(command(t, doseCase, l.now, "reckon", "-", "--json", "--at", l.now.Format(time.RFC3339))), &honest.json); err != nil {
		t.Fatal(err)
	}
	for _, f := range honest.figures(l.now.Location()) {
		if !slices.Contains([]string{"vial S1", "in S1", "in A1", "dispensed", "probability", "valid_until"}, f.name) {
			continue
		}
		secret++
		for where, text := range map[string]string{"reckon": p.reckon, "bench": p.bench, "day": p.day, "sheet": p.sheet, "form of the label": l.get("NT1", atBench+"/step/label").onScreen()} {
			if strings.Contains(text, f.text) {
				t.Errorf("%s says %s %q, which is withheld", where, f.name, f.text)
			}
		}
	}
	if secret < 12 {
		t.Errorf("only %d withheld figures were looked for", secret)
	}
	if _, ok := l.get("NT1", atBench+"/step/label").form("step"); ok {
		t.Error("a label can be printed of books that contradict one another")
	}
	if a := l.get("NT1", atBench); !strings.Contains(a.onScreen(), "Read again, without looking at the first figure A1") {
		t.Error("what is to be read again is not what holds the dose now")
	}
}

// randomOf is the number of a form, whose letters may spell anything.
var randomOf = regexp.MustCompile(`name="nonce" value="[^"]*"`)
