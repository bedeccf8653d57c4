package preparation_test

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/instrument"
	"vialwright/quantity"
	"vialwright/web"
	"vialwright/web/documents"
	"vialwright/web/live"
	"vialwright/web/webtest"
	"vialwright/web/words"
)

const meterAddress = "tcp://198.51.100.7:4001"

// told is a story at a bench with two connected meters, M1 of the case and M9
// of none.
type told struct {
	*webtest.Story
	board *live.Board
}

// connected tells the story up to a step.
func connected(t *testing.T, until string) *told {
	t.Helper()
	board := live.NewBoard(&webtest.Counter{}, "M1", "M9")
	s := webtest.NewStory(webtest.New(t, func(c *web.Config) { c.Meters = board }).Hire()).Until(until)
	return &told{s, board}
}

// hear lets a meter say something now.
func (s *told) hear(id, text string, state instrument.State) {
	s.Helper()
	a, err := quantity.Parse[quantity.Activity](text)
	if err != nil {
		s.Fatal(err)
	}
	s.board.Hear(id, instrument.Event{
		Kind: instrument.Received, Source: meterAddress, At: s.Clock.Now(),
		Reading: instrument.Reading{Activity: a, State: state, Raw: "\x02A17 " + text},
	})
}

// token is that of the line that M1 shows.
func (s *told) token() string { return s.board.Now(live.Query{})[0].Token }

// last is the last fact of the case.
func (s *told) last() fact.Fact {
	f := webtest.Case(s.Story)
	return f.Records[len(f.Records)-1].Fact
}

// read is the last fact, which must be a reading.
func (s *told) read() *fact.Read {
	s.Helper()
	r, ok := s.last().(*fact.Read)
	if !ok {
		s.Fatalf("the last fact is %+v", s.last())
	}
	return r
}

// typedBackground is a background that was typed.
var typedBackground = []string{"p0.background", "0.2", "p0.background.unit", "MBq"}

func with(changes ...string) []string { return append(changes, typedBackground...) }

// What a meter shows stands beside the field, and what is taken is in the
// record with its source, its line and its time.
func TestReadingIsTaken(t *testing.T) {
	s := connected(t, "receipt")
	s.Clock.Set("11:00")
	s.hear("M1", "3.2412 GBq", instrument.Stable)
	gross := s.token()
	s.Clock.Add(3 * time.Second)
	at := webtest.Bench + "/step/assay"
	p := s.T1.Look(at).Says(200, "M1 shows", "3.2412 GBq, stable, 3 s ago.", "Take 3.2412 GBq")
	if strings.Contains(p.Body, "M9") {
		t.Error("a meter that the case does not have is shown")
	}
	if !strings.Contains(p.Body, `name="take" value="p0.gross `+gross+`"`) {
		t.Error("the button does not name the line")
	}
	s.Clock.Add(40 * time.Second)
	s.hear("M1", "0.201 MBq", instrument.Stable)
	background := s.token()
	s.Clock.Add(5 * time.Minute) // whatever else takes its time
	s.T1.Fill(at, "step", at, "p0.gross", "3.2412", "p0.gross.unit", "GBq", "p0.gross.line", gross,
		"p0.background", "0.201", "p0.background.unit", "MBq", "p0.background.line", background).Recorded()
	want := fact.Sources{Source: meterAddress, Line: `\x02A17 3.2412 GBq`, BackgroundSource: meterAddress, BackgroundLine: `\x02A17 0.201 MBq`}
	r := s.read()
	if r.Sources != want || r.At.Format("15:04:05") != "11:00:00" || r.Gross.Text != "3.2412 GBq" {
		t.Errorf("%+v", r)
	}
	s.T1.Look("/history").Says(200, "3.2412 GBq, from meter M1", "0.201 MBq, from meter M1", `\x02A17 3.2412 GBq`, meterAddress)
	if text := documents.Full(r, words.Zoned{}); !strings.Contains(text, "3.2412 GBq, from meter M1") || strings.Contains(text, "x02") {
		t.Errorf("the sheet says %q", text)
	}
}

// Typed is typed: without a line, with a number changed afterwards, and with a
// line that nobody sent.
func TestReadingIsTyped(t *testing.T) {
	for _, c := range []struct {
		name, gross, unit, token string
		source, says             string
	}{
		{"typed", "3.2412", "GBq", "", fact.Typed, "Record"},
		{"taken", "3.2412", "GBq", "line", meterAddress, "Record"},
		{"taken with its unit", "3.2412 GBq", "MBq", "line", meterAddress, "Record"},
		{"changed afterwards", "3.2413", "GBq", "line", fact.Typed, "marked as typed"},
		{"a digit less", "3.241", "GBq", "line", fact.Typed, "marked as typed"},
		{"another unit", "88", "mCi", "line", fact.Typed, "marked as typed"},
		{"the same in another unit", "3241.2", "MBq", "line", fact.Typed, "marked as typed"},
		{"a forged line", "3.2412", "GBq", strings.Repeat("0", 24), fact.Typed, "marked as typed"},
		{"a line that had not settled", "2.9", "GBq", "moving", fact.Typed, "Record"},
	} {
		s := connected(t, "receipt")
		s.Clock.Set("11:00")
		s.hear("M1", "3.2412 GBq", instrument.Stable)
		token := map[string]string{"line": s.token(), "": ""}[c.token]
		if c.token != "line" {
			token = c.token
		}
		if c.token == "moving" {
			s.hear("M1", "2.9 GBq", instrument.Unstable)
			token = s.token()
		}
		at := webtest.Bench + "/step/assay"
		s.T1.Fill(at, "step", at, with("p0.gross", c.gross, "p0.gross.unit", c.unit, "p0.gross.line", token)...).Recorded()
		r := s.read()
		if r.Source != c.source || (r.Line != "") != (c.source == meterAddress) || r.BackgroundSource != fact.Typed || r.BackgroundLine != "" {
			t.Errorf("%s: %+v", c.name, r.Sources)
		}
		s.T1.Look(webtest.Bench).Says(200, c.says)
	}
}

// No source can be claimed by naming it.
func TestSourceCannotBeClaimed(t *testing.T) {
	s := connected(t, "receipt")
	s.Clock.Set("11:00")
	at := webtest.Bench + "/step/assay"
	typed := with("p0.gross", "3.24", "p0.gross.unit", "GBq")
	for _, claim := range []string{"p0.source", "p0.line", "p0.background-source"} {
		s.T1.Fill(at, "step", at, append(typed, claim, meterAddress)...).Says(http.StatusUnprocessableEntity, "no longer asks for", meterAddress)
	}
	s.T1.Fill(at, "step", at, typed...).Recorded()
	if r := s.read(); r.Sources != (fact.Sources{Source: fact.Typed, BackgroundSource: fact.Typed}) {
		t.Errorf("%+v", r.Sources)
	}
}

// take presses the button of a field as a browser without a script does.
func (s *told) take(b *webtest.Browser, form, field, token string) *webtest.Page {
	s.Helper()
	return b.Post(webtest.Bench+"/take/"+form, url.Values{"take": {field + " " + token}})
}

// Without a script the button keeps the reading in the form, with what was
// typed there before.
func TestTakenWithoutAScript(t *testing.T) {
	s := connected(t, "receipt")
	s.Clock.Set("11:00")
	s.hear("M1", "3.2412 GBq", instrument.Stable)
	at := webtest.Bench + "/step/assay"
	s.T1.Look(at)
	s.T1.Post("/draft?for="+at, url.Values{"p0.background": {"0.3"}, "p0.background.unit": {"MBq"}, "p0.at": {"2027-03-04T09:00"}})
	p := s.take(s.T1, "assay", "p0.gross", s.token()).Recorded()
	if p.Location != at {
		t.Errorf("it leads to %s", p.Location)
	}
	s.Clock.Add(4 * time.Minute)
	p = s.T1.Look(at).Says(200, "Taken from M1 at 11:00.")
	v := p.Form("step")
	for name, want := range map[string]string{
		"p0.gross": "3.2412", "p0.gross.unit": "GBq", "p0.meter": "M1", "p0.background": "0.3", "p0.background.unit": "MBq", "p0.at": "2027-03-04T11:00:00-01:00",
	} {
		if v.Get(name) != want {
			t.Errorf("%s is %q, want %q", name, v.Get(name), want)
		}
	}
	s.T1.Post(at, v).Recorded()
	if r := s.read(); r.Source != meterAddress || r.BackgroundSource != fact.Typed || r.At.Format("15:04:05") != "11:00:00" {
		t.Errorf("%+v", r)
	}
}

func TestTakeIsRefused(t *testing.T) {
	s := connected(t, "receipt")
	s.Clock.Set("11:00")
	at := webtest.Bench + "/step/assay"
	s.T1.Look(at).Says(200, "It cannot be taken: nothing has come from the meter yet.")
	s.hear("M1", "1.1 GBq", instrument.Unstable)
	p := s.T1.Look(at).Says(200, "1.1 GBq, not stable", "It cannot be taken: the display is not stable.")
	if !regexp.MustCompile(`<button class="take"[^>]* aria-disabled="true">`).MatchString(p.Body) {
		t.Error("the button is not disabled")
	}
	s.take(s.T1, "assay", "p0.gross", s.token()).Says(http.StatusConflict, "It was not taken")
	s.hear("M1", "3.2412 GBq", instrument.Stable)
	token := s.token()
	s.Clock.Add(live.Fresh + time.Second)
	s.T1.Look(at).Says(200, "It cannot be taken: the line is 11 s old.")
	s.take(s.T1, "assay", "p0.gross", token).Says(http.StatusConflict, "The line is 11 s old")
	s.take(s.T1, "assay", "p0.gross", "forged").Says(http.StatusConflict, "The meter did not send this")
	s.hear("M1", "3.2412 GBq", instrument.Stable)
	s.take(s.T1, "assay", "p0.activity", s.token()).Says(http.StatusNotFound)
	s.take(s.T1, "draw", "p0.volume", s.token()).Says(http.StatusNotFound)
	s.take(s.AsElsewhere("OB1"), "assay", "p0.gross", s.token()).Says(http.StatusForbidden)
	s.board.Hear("M1", instrument.Event{Kind: instrument.Lost, Err: &instrument.Error{Msg: "the connection was closed at the other end"}})
	s.T1.Look(at).Says(200, "It cannot be taken: the meter cannot be heard: the connection was closed at the other end.")
	if v := s.T1.Look(at).Form("step"); v.Get("p0.gross") != "" || v.Get("p0.gross.line") != "" {
		t.Errorf("%v", v)
	}
}

// What a line says and what the form says must go together.
func TestLineAndFormDisagree(t *testing.T) {
	for _, c := range []struct {
		name    string
		changes []string
		says    string
	}{
		{"another meter", []string{"p0.meter", "M2"}, "the figures were taken from M1"},
		{"another time", []string{"p0.at", "2027-03-04T10:50"}, "the meter sent this reading at 2027-03-04 11:00"},
		{"the sample as background", []string{"p0.background", "3.2412", "p0.background.unit", "GBq", "p0.background.line", "same"}, "the well was not empty: 3.2412 GBq"},
		{"a sample as background", []string{"p0.background", "3.2433", "p0.background.unit", "GBq", "p0.background.line", "next"}, "the well was not empty: 3.2433 GBq"},
	} {
		s := connected(t, "receipt")
		s.Clock.Set("11:00")
		s.hear("M1", "3.2412 GBq", instrument.Stable)
		first := s.token()
		s.hear("M1", "3.2433 GBq", instrument.Stable)
		changes := with("p0.gross", "3.2412", "p0.gross.unit", "GBq", "p0.gross.line", first)
		for _, x := range c.changes {
			x = map[string]string{"same": first, "next": s.token()}[x] + strings.NewReplacer("same", "", "next", "").Replace(x)
			changes = append(changes, x)
		}
		at := webtest.Bench + "/step/assay"
		s.T1.Fill(at, "step", at, changes...).Says(http.StatusUnprocessableEntity, c.says)
		if _, ok := s.last().(*fact.Read); ok {
			t.Errorf("%s: recorded", c.name)
		}
	}
}

// Two readings need two lines of the meter; the background may be that of
// before.
func TestLineIsReadOnce(t *testing.T) {
	s := connected(t, "receipt")
	s.Clock.Set("11:00")
	s.hear("M1", "0.201 MBq", instrument.Stable)
	background := s.token()
	s.Clock.Add(5 * time.Second)
	s.hear("M1", "3.2412 GBq", instrument.Stable)
	changes := []string{
		"p0.gross", "3.2412", "p0.gross.unit", "GBq", "p0.gross.line", s.token(),
		"p0.background", "0.201", "p0.background.unit", "MBq", "p0.background.line", background,
	}
	at := webtest.Bench + "/step/assay"
	s.T1.Fill(at, "step", at, changes...).Recorded()
	s.T1.Fill(at, "step", at, changes...).Says(http.StatusUnprocessableEntity, "this line of the meter is recorded already")
	s.Clock.Add(5 * time.Second)
	s.hear("M1", "3.2412 GBq", instrument.Stable)
	changes[5] = s.token()
	s.T1.Fill(at, "step", at, changes...).Recorded()
	if r := s.read(); r.Source != meterAddress || r.BackgroundSource != meterAddress {
		t.Errorf("%+v", r)
	}
}

// Two people take the same line at once: the first is recorded; the second is
// told, and told again that the line is used up.
func TestTwoPeopleTakeOneLine(t *testing.T) {
	s := connected(t, "receipt")
	s.Clock.Set("11:00")
	s.hear("M1", "3.2412 GBq", instrument.Stable)
	at := webtest.Bench + "/step/assay"
	changes := with("p0.gross", "3.2412", "p0.gross.unit", "GBq", "p0.gross.line", s.token())
	second := s.AsElsewhere("T2")
	late := second.Look(at).Form("step")
	s.T1.Fill(at, "step", at, changes...).Recorded()
	for i := 0; i < len(changes); i += 2 {
		late.Set(changes[i], changes[i+1])
	}
	p := second.Post(at, late)
	if p.Status == http.StatusSeeOther {
		t.Fatal("the same line is recorded twice")
	}
	reads := 0
	f := webtest.Case(s.Story)
	for _, r := range f.Records {
		if fact.Word(r.Fact) == "read" {
			reads++
		}
	}
	if reads != 1 {
		t.Errorf("%d readings", reads)
	}
	again := p.Form("step")
	if again.Get("p0.gross") != "3.2412" || again.Get("p0.background") != "0.2" {
		t.Errorf("what was typed is gone: %v", again)
	}
	s.Clock.Add(time.Second)
	s.hear("M1", "3.2410 GBq", instrument.Stable)
	again.Set("p0.gross", "3.2410")
	again.Set("p0.gross.line", s.token())
	again.Set("p0.at", "")
	second.Post(at, again).Recorded()
	if r := s.read(); r.Source != meterAddress || r.Gross.Text != "3.2410 GBq" {
		t.Errorf("%+v", r)
	}
}

// The checker's own reading may come from a meter; of the first reader's
// nothing is shown, neither the value nor that it was taken.
func TestCheckerTakesAReading(t *testing.T) {
	s := connected(t, "transfer")
	s.Clock.Set("11:22")
	s.hear("M1", "1.8679 GBq", instrument.Stable)
	s.take(s.T1, "reading", "p0.gross", s.token()).Recorded()
	s.T1.Look(webtest.Bench).Says(200, "Take 1.8679 GBq")
	s.Go("baseline")
	s.Clock.Set("11:35")
	s.hear("M1", "1.8601 GBq", instrument.Stable)
	if p := s.MP.Look(webtest.Bench); strings.Contains(p.Body, "1.8679") || strings.Contains(p.Body, "Take ") {
		t.Error("the bench shows the checker what was taken, or lets take a reading beside the check")
	}
	at := webtest.Bench + "/check"
	p := s.MP.Look(at).Says(200, "Take 1.8601 GBq")
	if strings.Contains(p.Body, "1.8679") || strings.Contains(p.Body, "Taken from") {
		t.Error("the check shows what the first reader took")
	}
	if p := s.take(s.MP, "second-check", "p0.gross", s.token()).Recorded(); p.Location != at {
		t.Errorf("it leads to %s", p.Location)
	}
	s.MP.Fill(at, "step", at, with("p0.activity", "1.33", "p0.activity.unit", "GBq")...).Recorded()
	v, ok := s.last().(*fact.SecondCheck)
	if !ok || v.Source != meterAddress || v.Line != `\x02A17 1.8601 GBq` || v.BackgroundSource != fact.Typed || v.At.Format("15:04") != "11:35" {
		t.Errorf("%+v", s.last())
	}
}

// A correction keeps the source of what it leaves, and marks what it changes as
// typed; the source itself is not typed.
func TestCorrectedReadingIsTyped(t *testing.T) {
	s := connected(t, "receipt")
	s.Clock.Set("11:00")
	s.hear("M1", "0.201 MBq", instrument.Stable)
	background := s.token()
	s.Clock.Add(time.Second)
	s.hear("M1", "3.2412 GBq", instrument.Stable)
	at := webtest.Bench + "/step/assay"
	s.T1.Fill(at, "step", at, "p0.gross", "3.2412", "p0.gross.unit", "GBq", "p0.gross.line", s.token(),
		"p0.background", "0.201", "p0.background.unit", "MBq", "p0.background.line", background).Recorded()
	f := webtest.Case(s.Story)
	at = "/entry/" + webtest.Decimal(f.Newest) + "/correct"
	v := s.T1.Look(at).Form("correct")
	for name := range v {
		if strings.HasSuffix(name, "source") || strings.HasSuffix(name, "line") {
			t.Errorf("the form asks for %s", name)
		}
	}
	typed := []string{"p0.reason", "misread", "p0.with.read.gross", "3.2512 GBq"}
	s.T1.Fill(at, "correct", at, append(typed, "p0.with.read.source", meterAddress)...).Says(http.StatusUnprocessableEntity, "no longer asks for source: "+meterAddress)
	s.T1.Fill(at, "correct", at, typed...).Recorded()
	with, ok := s.last().(*fact.Correct).With.(*fact.Read)
	if !ok || with.Source != fact.Typed || with.Line != "" || with.BackgroundSource != meterAddress || with.BackgroundLine == "" {
		t.Errorf("%+v", with)
	}
	s.T1.Look("/history").Says(200, "3.2512 GBq, typed")
}

// Without a meter nothing is offered, and what is typed is marked so.
func TestWithoutMeters(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	if p := s.T1.Look(webtest.Bench + "/step/assay"); strings.Contains(p.Body, "Take ") {
		t.Error("there is something to take")
	}
	s.Go("assay")
	s.T1.Look("/history").Says(200, "3.24 GBq, typed", "0.2 MBq, typed")
	s.T1.Post(webtest.Bench+"/take/assay", url.Values{"take": {"p0.gross x"}}).Says(http.StatusNotFound)
}

// How the meter was set is taken from its line and is not asked again, also where it is
// spelled in another way than in the calibration.
func TestLineSaysHowTheMeterIsSet(t *testing.T) {
	s := connected(t, "receipt")
	s.Tell("instrument: {id: M1, what: activity-meter, at: 2027-03-01T08:00}",
		"check-source: {id: CS1, nuclide: Cs-137, activity: 7.4 MBq, u: 1.5 %, reference: 2023-09-03T08:00, at: 2027-03-01T08:00}",
		"meter-test: {of: M1, test: background, readings: [{gross: 0.2 MBq}], at: 2027-03-04T08:00}",
		"meter-test: {of: M1, test: constancy, with: CS1, setting: Cs-137, readings: [{gross: 6.83 MBq}], at: 2027-03-04T08:00}",
		"calibration: {of: M1, container: shipping-vial, setting: Y-90, insert: dipper, factor: 1, u: 0.5 %, basis: label, from: 2027-03-01T08:00}")
	s.Clock.Set("11:00")
	at := webtest.Bench + "/step/assay"
	reading := with("p0.gross", "3.2412", "p0.gross.unit", "GBq")
	s.T1.Fill(at, "step", at, reading...).Says(422, "Setting of the meter")
	activity, err := quantity.Parse[quantity.Activity]("3.2412 GBq")
	if err != nil {
		t.Fatal(err)
	}
	s.board.Hear("M1", instrument.Event{
		Kind: instrument.Received, Source: meterAddress, At: s.Clock.Now(),
		Reading: instrument.Reading{Activity: activity, State: instrument.Stable, Nuclide: "Y90", Insert: "dipper", Raw: "A17 Y90 dipper 3.2412 GBq"},
	})
	s.T1.Fill(at, "step", at, append(reading, "p0.gross.line", s.token())...).Recorded()
	if r := s.read(); r.Setting != "Y90" || r.Insert != "dipper" {
		t.Errorf("%+v", r.SetUp)
	}
	if text := s.T1.Look(webtest.Bench).Text(); strings.Contains(text, "The setting was") {
		t.Errorf("another spelling is taken for another setting: %s", text)
	}
}
