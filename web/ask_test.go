package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/fold"
)

// unfolded is the form of a page with everything around it that folds it away.
var unfolded = regexp.MustCompile(`(?s)<details([^>]*)><summary>[^<]*</summary><form method="post" action="([^"]*)"`)

// folded tells whether the form with an action is folded away.
func (p *page) folded(action string) bool {
	p.tb.Helper()
	for _, m := range unfolded.FindAllStringSubmatch(p.body, -1) {
		if m[2] == action {
			return !strings.Contains(m[1], " open")
		}
	}
	if !strings.Contains(p.body, `action="`+action+`"`) {
		p.tb.Errorf("no form for %s", action)
	}
	return false // on a page of its own
}

// TestEveryFaultAtOnce: a form that is refused is open, each fault stands
// beside its field, all are told at once, and every word typed is still there.
func TestEveryFaultAtOnce(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("order")
	at := "/day"
	for id, c := range map[string]struct {
		typed []string
		wrong map[string]string // control: what is said
	}{
		"receive": {
			[]string{"p0.vial", "S 1", "p0.lot", "L-0311", "p0.labelled", "3.0.1", "p0.labelled.unit", "GBq", "p0.reference", "tomorrow", "p0.volume", ""},
			map[string]string{"p0.vial": "is no id", "p0.labelled": "more than one decimal point", "p0.reference": "tomorrow", "p0.volume": "it is empty"},
		},
		"order": {
			[]string{"p0.id", "P 9", "p0.patient", "DEMO-1", "p0.prescribed", "1.3", "p0.at", "half past one", "p0.by", "", "p0.residual", "2,5,1"},
			map[string]string{"p0.id": "is no id", "p0.prescribed": "there is no unit", "p0.at": "half past one", "p0.by": "it is empty", "p0.residual": "commas"},
		},
	} {
		person := s.t1
		if id == "order" {
			person = s.as("DR1")
		}
		action := at + "/enter/" + id
		p := person.fill(action, id, action, c.typed...).says(http.StatusUnprocessableEntity)
		if p.folded(action) {
			t.Errorf("the refused form %s is folded away", id)
		}
		if strings.Contains(p.text(), "entries[") {
			t.Errorf("%s speaks of a path: %s", id, p.text())
		}
		form := p.form(id)
		for i := 0; i+1 < len(c.typed); i += 2 {
			if got := form.Get(c.typed[i]); got != c.typed[i+1] {
				t.Errorf("%s: %s became %q, was %q", id, c.typed[i], got, c.typed[i+1])
			}
		}
		for name, says := range c.wrong {
			if got := p.faultOf(id, name); !strings.Contains(got, says) {
				t.Errorf("%s: beside %s stands %q, want %q", id, name, got, says)
			}
		}
	}
}

// faultOf is what stands beside a control.
func (p *page) faultOf(id, name string) string {
	_, rest, _ := strings.Cut(p.body, `id="`+id+"-"+strings.ReplaceAll(name, ".", "-")+`-says"`)
	rest, _, _ = strings.Cut(rest, "</p>")
	return (&page{body: "<p" + rest}).text()
}

// TestDecimalCommaInAForm: a decimal comma is read, recorded with a point, and
// said; what may be two numbers is asked about, and nothing is recorded before
// the answer.
func TestDecimalCommaInAForm(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	s.clock.set("11:00")
	at := theBench + "/step/assay"
	before := mustCase(s).Newest
	typed := []string{"p0.gross", "3,240", "p0.gross.unit", "GBq", "p0.background", "0,2", "p0.background.unit", "MBq"}
	p := s.t1.fill(at, "step", at, typed...).says(http.StatusUnprocessableEntity, "3.240 GBq or 3240 GBq?", "Nothing is recorded before the answer")
	if got := mustCase(s).Newest; got != before {
		t.Fatalf("%d records before the answer", got-before)
	}
	if !strings.Contains(p.body, `name="p0.gross.answer" value="3,240 GBq=3.240 GBq"`) {
		t.Error("no answer is offered")
	}
	v := p.form("step")
	// An answer to another number than the one that stands there counts for nothing.
	v.Set("p0.gross.answer", "3,250 GBq=3.250 GBq")
	v = s.t1.post(at, v).says(http.StatusUnprocessableEntity, "3.240 GBq or 3240 GBq?").form("step")
	v.Set("p0.gross.answer", "3,240 GBq=3.240 GBq")
	s.t1.post(at, v).recorded()
	s.t1.get(theBench).says(200, "3,240 GBq is taken as 3.240 GBq.")
	if got := mustCase(s).Newest; got != before+1 {
		t.Errorf("%d records", got-before)
	}
	if text := s.t1.look("/history").text(); !strings.Contains(text, "3.240 GBq") || !strings.Contains(text, "0.2 MBq") {
		t.Errorf("recorded is %s", text)
	}
}

// TestInfusionTimes: a start that is still to come is not taken for yesterday,
// and no fault speaks of a path of the file.
func TestInfusionTimes(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("time-out")
	s.clock.set("13:20")
	at := theBench + "/step/infusion"
	nurse := s.as("DR1")
	p := nurse.look(at)
	form := p.form("step")
	if !strings.Contains(p.text(), "such as 13:20") {
		t.Errorf("the hint is no time of now: %s", p.text())
	}
	form.Set("p0.start", "13:30")
	form.Set("p0.stop", "13:3o")
	form.Set("p0.reason", "complete")
	form.Set("pin", pin)
	p = nurse.post(at, form).says(http.StatusUnprocessableEntity, "13:30 is still to come")
	if got := p.form("step"); got.Get("p0.start") != "13:30" || got.Get("p0.stop") != "13:3o" || p.faultOf("step", "p0.stop") == "" {
		t.Errorf("start %q, stop %q: %q", got.Get("p0.start"), got.Get("p0.stop"), p.faultOf("step", "p0.stop"))
	}
}

// TestAnswered takes an answer only for what stands there, and says what was
// understood.
func TestAnswered(t *testing.T) {
	parts := []part{{inputs: []input{{name: "gross", kind: "amount", units: activityUnits}}}}
	for _, c := range []struct{ typed, unit, answer, number, takenUnit, says string }{
		{"1.3", "GBq", "", "1.3", "GBq", ""},
		{"1,3", "GBq", "", "1.3", "GBq", "1,3 GBq is taken as 1.3 GBq."},
		{"81", "GBq", "81 GBq=81 mCi", "81", "mCi", "81 GBq is taken as 81 mCi."},
		{"82", "GBq", "81 GBq=81 mCi", "82", "GBq", ""},
		{"81", "GBq", "81 GBq=81 GBq", "81", "GBq", ""},
		{"1,300", "MBq", "1,300 MBq=1300 MBq", "1300", "MBq", "1,300 MBq is taken as 1300 MBq."},
		{"1,300kBq", "", "1,300kBq=1300kBq", "1300kBq", "", "1,300kBq is taken as 1300kBq."},
	} {
		v := url.Values{"p0.gross": {c.typed}, "p0.gross.unit": {c.unit}, "p0.gross.answer": {c.answer}}
		says := strings.Join(answered(parts, v), " ")
		if v.Get("p0.gross") != c.number || v.Get("p0.gross.unit") != c.takenUnit || says != c.says {
			t.Errorf("%+v: %v, %q", c, v, says)
		}
	}
}

// A nonce that comes back with other content, and a form without one, are
// refused in words that never say "recorded" of it; what is refused leaves
// nothing behind, and only the journal is called recorded.
func TestNothingIsCalledRecordedThatIsNot(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	note := "/day/enter/note"
	v := s.t1.look("/day/enter/note").form("note")
	v.Set("p0.text", "hello")
	s.t1.post(note, v).recorded()
	before := mustCase(s).Newest
	v.Set("p0.text", "goodbye")
	s.t1.post(note, v).says(http.StatusConflict, "Not recorded", "with other content", "what was sent now is not recorded")
	v.Del("nonce")
	s.t1.post(note, v).says(http.StatusBadRequest, "Not recorded", "nothing was recorded")
	v.Set("p0.text", "hello")
	s.t1.post(note, v).says(http.StatusBadRequest, "Not recorded")
	if got := mustCase(s).Newest; got != before {
		t.Errorf("%d records of refused forms", got-before)
	}
	// What is typed in the form may come in after the form itself.
	v = s.t1.look("/day/enter/note").form("note")
	v.Set("p0.text", "third")
	s.t1.post(note, v).recorded()
	s.t1.post(keeper(note), v)
	p := s.t1.look("/day/enter/note")
	if got := p.form("note").Get("p0.text"); got != "" || strings.Contains(p.text(), "It is not recorded yet") {
		t.Errorf("a recorded note comes back as %q", got)
	}
	// A touch rests on no head, and is one entry after a restart as well.
	s.touch(s.t1, "again").recorded()
	s.srv.nonces = newNonces()
	s.touch(s.t1, "again").recorded()
	if n := s.shakings(); n != 1 {
		t.Errorf("%d shakings of one touch", n)
	}
}

// TestAskBeforeRecording: an amount that is odd beside the books is asked about
// beside its field, with the true cause first; nothing is recorded before the
// answer, and the answer that it is so stands in the entry.
func TestAskBeforeRecording(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	s.clock.set("11:00")
	at := theBench + "/step/assay"
	before := mustCase(s).Newest
	p := s.step(s.t1, "assay", "p0.gross", "87.5", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq")
	p.says(http.StatusUnprocessableEntity, "87.5 GBq is 27 times what labels and volumes say: is it 87.5 mCi?", "1 Yes, it is 87.5 mCi", "2 It is so: 87.5 GBq", "Nothing is recorded before the answer.")
	if got := mustCase(s).Newest; got != before {
		t.Fatalf("%d records before the answer", got-before)
	}
	v := p.form("step")
	v.Set("p0.gross.answer", "87.5 GBq=87.5 mCi")
	s.t1.post(at, v).recorded()
	s.t1.get(theBench).says(200, "Recorded", "87.5 GBq is taken as 87.5 mCi.")
	read, _ := lastFact(s).(*fact.Read)
	if read == nil || read.Gross.Text != "87.5 mCi" || read.Confirmed != "" {
		t.Errorf("recorded is %+v", read)
	}

	further := theBench + "/step/reading"
	typed := []string{"p0.of", "S1", "p0.gross", "0.9", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq"}
	v = s.t1.fill(theBench, "reading", further, typed...).says(http.StatusUnprocessableEntity, "is it so?", "1 It is so: 0.9 GBq").form("reading")
	v.Set("p0.gross.answer", "0.9 GBq=0.9 GBq")
	s.t1.post(further, v).recorded()
	read, _ = lastFact(s).(*fact.Read)
	if read == nil || read.Gross.Text != "0.9 GBq" || read.Confirmed != "gross: 0.9 GBq is 28 % of what labels and volumes say" {
		t.Errorf("recorded is %+v", read)
	}
	s.t1.look("/history").says(200, "confirmed", "28 % of what labels and volumes say")
}

// TestAskAboutOrderAndReceipt asks where nothing is in the books yet.
func TestAskAboutOrderAndReceipt(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("order")
	at := "/day"
	before := mustCase(s).Newest
	receive := []string{"p0.vial", "S1", "p0.lot", "L-0311", "p0.labelled", "81", "p0.labelled.unit", "GBq", "p0.reference", "2027-03-04T18:00", "p0.volume", "50"}
	p := s.t1.fill(at+"/enter/receive", "receive", at+"/enter/receive", receive...)
	p.says(http.StatusUnprocessableEntity, "81 GBq is outside the usual 0.1 to 10 GBq: is it 81 mCi?", "50 mL is outside the usual 1 to 25 mL: is it 5.0 mL?")
	if p.folded(at + "/enter/receive") {
		t.Error("the question is folded away")
	}
	order := []string{"p0.id", "P2", "p0.patient", "DEMO-0043", "p0.prescribed", "35", "p0.prescribed.unit", "GBq", "p0.at", "2027-03-04T15:00", "p0.by", "D. Example"}
	s.rp.fill(at+"/enter/order", "order", at+"/enter/order", order...).says(http.StatusUnprocessableEntity, "35 GBq is outside the usual 0.1 to 10 GBq: is it 35 mCi?", "3.5 GBq")
	if got := mustCase(s).Newest; got != before {
		t.Errorf("%d records before the answers", got-before)
	}
	v := p.form("receive")
	v.Set("p0.labelled.answer", "81 GBq=81 mCi")
	v.Set("p0.volume.answer", "50 mL=50 mL")
	s.t1.post(at+"/enter/receive", v).recorded()
	got, _ := lastFact(s).(*fact.Receive)
	if got == nil || got.Labelled.Text != "81 mCi" || got.Confirmed != "volume: 50 mL is outside the usual 1 to 25 mL" {
		t.Errorf("recorded is %+v", got)
	}
}

func lastFact(s *story) fact.Fact {
	all := mustCase(s).Records
	return all[len(all)-1].Fact
}

// TestAskAboutACorrection: what replaces an entry is asked about as the first
// entry is, and the answer is taken.
func TestAskAboutACorrection(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("remainder")
	n := ""
	for _, e := range fold.Entries(mustCase(s).Records) {
		if r, ok := e.Fact.(*fact.Read); ok && r.Gross.Text == "1.87 GBq" {
			n = strconv.Itoa(e.Number)
		}
	}
	at := "/entry/" + n + "/correct"
	p := s.t1.fill(at, "correct", at, "p0.reason", "misread", "p0.with.read.gross", "18.6 GBq", "pin", pin)
	v := p.says(http.StatusUnprocessableEntity, "18.6 GBq is 10 times what labels and volumes say: is it 1.86 GBq?", "Nothing is recorded before the answer").form("correct")
	v.Set("p0.with.read.gross.answer", "18.6 GBq=1.86 GBq")
	v.Set("pin", pin)
	s.t1.post(at, v).recorded()
	c, _ := lastFact(s).(*fact.Correct)
	if c == nil {
		t.Fatalf("recorded is %+v", lastFact(s))
	}
	if read, _ := c.With.(*fact.Read); read == nil || read.Gross.Text != "1.86 GBq" {
		t.Errorf("recorded is %+v", c.With)
	}
}
