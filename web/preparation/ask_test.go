package preparation_test

import (
	"cmp"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/web/webtest"
)

// unfolded is the form of a page with everything around it that folds it away.
var unfolded = regexp.MustCompile(`(?s)<details([^>]*)><summary>[^<]*</summary><form method="post" action="([^"]*)"`)

// folded tells whether the form with an action is folded away.
func folded(p *webtest.Page, action string) bool {
	p.Tb.Helper()
	for _, m := range unfolded.FindAllStringSubmatch(p.Body, -1) {
		if m[2] == action {
			return !strings.Contains(m[1], " open")
		}
	}
	if !strings.Contains(p.Body, `action="`+action+`"`) {
		p.Tb.Errorf("no form for %s", action)
	}
	return false // on a page of its own
}

// TestEveryFaultAtOnce: a form that is refused is open, each fault stands
// beside its field, all are told at once, and every word typed is still there.
func TestEveryFaultAtOnce(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("order")
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
		person := s.T1
		if id == "order" {
			person = s.As("DR1")
		}
		action := at + "/enter/" + id
		p := person.Fill(action, id, action, c.typed...).Says(http.StatusUnprocessableEntity)
		if folded(p, action) {
			t.Errorf("the refused form %s is folded away", id)
		}
		if strings.Contains(p.Text(), "entries[") {
			t.Errorf("%s speaks of a path: %s", id, p.Text())
		}
		form := p.Form(id)
		for i := 0; i+1 < len(c.typed); i += 2 {
			if got := form.Get(c.typed[i]); got != c.typed[i+1] {
				t.Errorf("%s: %s became %q, was %q", id, c.typed[i], got, c.typed[i+1])
			}
		}
		for name, says := range c.wrong {
			if got := faultOf(p, id, name); !strings.Contains(got, says) {
				t.Errorf("%s: beside %s stands %q, want %q", id, name, got, says)
			}
		}
	}
}

// faultOf is what stands beside a control.
func faultOf(p *webtest.Page, id, name string) string {
	_, rest, _ := strings.Cut(p.Body, `id="`+id+"-"+strings.ReplaceAll(name, ".", "-")+`-says"`)
	rest, _, _ = strings.Cut(rest, "</p>")
	return (&webtest.Page{Body: "<p" + rest}).Text()
}

// TestDecimalCommaInAForm: a decimal comma is read, recorded with a point, and
// said; what may be two numbers is asked about, and nothing is recorded before
// the answer.
func TestDecimalCommaInAForm(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.Clock.Set("11:00")
	at := webtest.Bench + "/step/assay"
	before := webtest.Case(s).Newest
	typed := []string{"p0.gross", "3,240", "p0.gross.unit", "GBq", "p0.background", "0,2", "p0.background.unit", "MBq"}
	p := s.T1.Fill(at, "step", at, typed...).Says(http.StatusUnprocessableEntity, "3.240 GBq or 3240 GBq?", "Nothing is recorded before the answer")
	if got := webtest.Case(s).Newest; got != before {
		t.Fatalf("%d records before the answer", got-before)
	}
	if !strings.Contains(p.Body, `name="p0.gross.answer" value="3,240 GBq=3.240 GBq"`) {
		t.Error("no answer is offered")
	}
	v := p.Form("step")
	// An answer to another number than the one that stands there counts for nothing.
	v.Set("p0.gross.answer", "3,250 GBq=3.250 GBq")
	v = s.T1.Post(at, v).Says(http.StatusUnprocessableEntity, "3.240 GBq or 3240 GBq?").Form("step")
	v.Set("p0.gross.answer", "3,240 GBq=3.240 GBq")
	s.T1.Post(at, v).Recorded()
	s.T1.Get(webtest.Bench).Says(200, "3,240 GBq is taken as 3.240 GBq.")
	if got := webtest.Case(s).Newest; got != before+1 {
		t.Errorf("%d records", got-before)
	}
	if text := s.T1.Look("/history").Text(); !strings.Contains(text, "3.240 GBq") || !strings.Contains(text, "0.2 MBq") {
		t.Errorf("recorded is %s", text)
	}
}

// TestNothingTypedIsLeftOut: what was typed into a control that the form of now does not
// have is said, and nothing is recorded without it; an empty one is nothing.
func TestNothingTypedIsLeftOut(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	at, before := webtest.Bench+"/step/assay", webtest.Case(s).Newest
	typed := []string{"p0.gross", "3.24", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq", "p1.diluent", "", "p1.volume.unit", "mL"}
	p := s.T1.Fill(at, "step", at, append(typed, "p1.lot", "W-77")...).
		Says(http.StatusUnprocessableEntity, "The form has changed since it was opened, and no longer asks for lot: W-77.", "Nothing was recorded")
	if got := webtest.Case(s).Newest; got != before {
		t.Fatalf("%d records", got-before)
	}
	v := p.Form("step")
	if v.Get("p0.gross") != "3.24" {
		t.Errorf("what was typed is lost: %v", v)
	}
	s.T1.Post(at, v).Recorded()
	s.Clock.Set("11:05")
	s.T1.Fill(webtest.Bench, "reading", webtest.Bench+"/step/reading", append(typed, "p0.of", "S1", "p0.gross", "3.23")...).Recorded()
}

// TestInfusionTimes: a start that is still to come is not taken for yesterday,
// and no fault speaks of a path of the file.
func TestInfusionTimes(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("time-out")
	s.Clock.Set("13:20")
	at := webtest.Bench + "/step/infusion"
	nurse := s.As("DR1")
	p := nurse.Look(at)
	form := p.Form("step")
	if !strings.Contains(p.Text(), "such as 13:20") {
		t.Errorf("the hint is no time of now: %s", p.Text())
	}
	for _, button := range []string{"Started now", "Stopped now"} {
		if !strings.Contains(p.Body, `data-zone="Atlantic/Azores" hidden>`+button+"<") || !strings.Contains(p.Body, `data-now="2027-03-04T14:20:00.000Z"`) {
			t.Errorf("there is no button %q that fills in the time of now", button)
		}
	}
	form.Set("p0.start", "13:30")
	form.Set("p0.stop", "13:3o")
	form.Set("p0.reason", "complete")
	form.Set("pin", webtest.PIN)
	p = nurse.Post(at, form).Says(http.StatusUnprocessableEntity, "13:30 is still to come")
	if got := p.Form("step"); got.Get("p0.start") != "13:30" || got.Get("p0.stop") != "13:3o" || faultOf(p, "step", "p0.stop") == "" {
		t.Errorf("start %q, stop %q: %q", got.Get("p0.start"), got.Get("p0.stop"), faultOf(p, "step", "p0.stop"))
	}
}

// TestTimeOfARefusedTry: a time that the page wrote in is that of the first try while the
// figures are those of the first try, and is taken again with new ones; one that a person
// typed stays.
func TestTimeOfARefusedTry(t *testing.T) {
	for _, x := range []struct{ at, gross, unit, want string }{
		{"", "3.24", "GBq", "11:00:13"},
		{"", "3.21", "GBq", "11:07:13"},
		{"", "3.21", "", "11:09:13"}, // refused twice
		{"10:58", "3.21", "GBq", "10:58:00"},
	} {
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
		s.Clock.Set("11:00")
		s.Clock.Add(13 * time.Second)
		at := webtest.Bench + "/step/assay"
		try := func(v url.Values, gross, unit string) *webtest.Page {
			v.Set("p0.gross", gross)
			v.Set("p0.background", "0.2")
			v.Set("p0.background.unit", "MBq")
			if unit != "" {
				v.Set("p0.gross.unit", unit)
			}
			return s.T1.Post(at, v)
		}
		v := s.T1.Look(at).Form("step")
		v.Set("p0.at", x.at)
		p := try(v, "3.24", "").Says(http.StatusUnprocessableEntity, "there is no unit")
		if got := p.Form("step").Get("p0.at"); got != cmp.Or(x.at, "11:00") {
			t.Errorf("%+v: after the first try there stands %q", x, got)
		}
		s.Clock.Add(7 * time.Minute)
		p = try(p.Form("step"), x.gross, x.unit)
		if x.unit == "" {
			s.Clock.Add(2 * time.Minute)
			p = try(p.Says(http.StatusUnprocessableEntity, "there is no unit").Form("step"), "3.23", "GBq")
		}
		p.Recorded()
		if got := s.Facts("read")[0].(*fact.Read).At.Format(time.TimeOnly); got != x.want {
			t.Errorf("%+v: recorded at %s", x, got)
		}
	}
}

// A nonce that comes back with other content, and a form without one, are
// refused in words that never say "recorded" of it; what is refused leaves
// nothing behind, and only the journal is called recorded.
func TestNothingIsCalledRecordedThatIsNot(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	note := "/day/enter/note"
	v := s.T1.Look("/day/enter/note").Form("note")
	v.Set("p0.text", "hello")
	s.T1.Post(note, v).Recorded()
	before := webtest.Case(s).Newest
	v.Set("p0.text", "goodbye")
	for range 2 { // as it stands in memory, and in the record after a restart
		p := s.T1.Post(note, v).Says(http.StatusConflict, "with other content", "This time nothing was recorded")
		if got := p.Form("note").Get("p0.text"); got != "goodbye" {
			t.Errorf("on the page of the refusal there stands %q", got)
		}
		if got := s.T1.Look(note).Says(200, "It is not recorded yet").Form("note").Get("p0.text"); got != "goodbye" {
			t.Errorf("what was refused comes back as %q", got)
		}
		s.Restart()
	}
	v.Del("nonce")
	s.T1.Post(note, v).Says(http.StatusBadRequest, "Not recorded", "nothing was recorded")
	v.Set("p0.text", "hello")
	s.T1.Post(note, v).Says(http.StatusBadRequest, "Not recorded")
	if got := webtest.Case(s).Newest; got != before {
		t.Errorf("%d records of refused forms", got-before)
	}
	// What is typed in the form may come in after the form itself.
	v = s.T1.Look("/day/enter/note").Form("note")
	v.Set("p0.text", "third")
	s.T1.Post(note, v).Recorded()
	s.T1.Post(webtest.Keeper(note), v)
	p := s.T1.Look("/day/enter/note")
	if got := p.Form("note").Get("p0.text"); got != "" || strings.Contains(p.Text(), "It is not recorded yet") {
		t.Errorf("a recorded note comes back as %q", got)
	}
	// A touch rests on no head, and is one entry after a restart as well.
	s.Touch(s.T1, "again").Recorded()
	s.Restart()
	s.Touch(s.T1, "again").Recorded()
	if n := len(s.Facts("agitate")); n != 1 {
		t.Errorf("%d shakings of one touch", n)
	}
}

// TestAskBeforeRecording: an amount that is odd beside the books is asked about
// beside its field, with the true cause first; nothing is recorded before the
// answer, and the answer that it is so stands in the entry.
func TestAskBeforeRecording(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.Clock.Set("11:00")
	at := webtest.Bench + "/step/assay"
	before := webtest.Case(s).Newest
	p := s.Step(s.T1, "assay", "p0.gross", "87.5", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq")
	p.Says(http.StatusUnprocessableEntity, "87.5 GBq is 27 times what labels and volumes say: is it 87.5 mCi?", "1 Change to 87.5 mCi", "2 Record 87.5 GBq as typed", "Nothing is recorded before the answer.")
	if got := webtest.Case(s).Newest; got != before {
		t.Fatalf("%d records before the answer", got-before)
	}
	v := p.Form("step")
	v.Set("p0.gross.answer", "87.5 GBq=87.5 mCi")
	s.T1.Post(at, v).Recorded()
	s.T1.Get(webtest.Bench).Says(200, "Recorded", "87.5 GBq is taken as 87.5 mCi.")
	read, _ := lastFact(s).(*fact.Read)
	if read == nil || read.Gross.Text != "87.5 mCi" || read.Confirmed != "" {
		t.Errorf("recorded is %+v", read)
	}

	further := webtest.Bench + "/step/reading"
	typed := []string{"p0.of", "S1", "p0.gross", "0.9", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq"}
	p = s.T1.Fill(webtest.Bench, "reading", further, typed...).Says(http.StatusUnprocessableEntity, "is it so?", "1 Record 0.9 GBq as typed")
	s.T1.Post(further, p.Answered("reading", "p0.gross", 0)).Recorded()
	read, _ = lastFact(s).(*fact.Read)
	if read == nil || read.Gross.Text != "0.9 GBq" || read.Confirmed != "gross: 0.9 GBq is 28 % of what labels and volumes say" {
		t.Errorf("recorded is %+v", read)
	}
	s.T1.Look("/history").Says(200, "confirmed", "28 % of what labels and volumes say")
}

// TestAskAboutOrderAndReceipt asks where nothing is in the books yet.
func TestAskAboutOrderAndReceipt(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("order")
	at := "/day"
	before := webtest.Case(s).Newest
	receive := []string{"p0.vial", "S1", "p0.lot", "L-0311", "p0.labelled", "81", "p0.labelled.unit", "GBq", "p0.reference", "2027-03-04T18:00", "p0.volume", "50"}
	p := s.T1.Fill(at+"/enter/receive", "receive", at+"/enter/receive", receive...)
	p.Says(http.StatusUnprocessableEntity, "81 GBq is outside the usual 0.5 to 10 GBq of a shipping vial: is it 81 mCi?", "50 mL is outside the usual 1 to 25 mL: is it 5.0 mL?")
	if folded(p, at+"/enter/receive") {
		t.Error("the question is folded away")
	}
	order := []string{"p0.id", "P2", "p0.patient", "DEMO-0043", "p0.prescribed", "35", "p0.prescribed.unit", "GBq", "p0.at", "2027-03-04T15:00", "p0.by", "D. Example"}
	s.RP.Fill(at+"/enter/order", "order", at+"/enter/order", order...).Says(http.StatusUnprocessableEntity, "35 GBq is outside the usual 0.1 to 10 GBq: is it 35 mCi?", "3.5 GBq")
	if got := webtest.Case(s).Newest; got != before {
		t.Errorf("%d records before the answers", got-before)
	}
	v := p.Form("receive")
	v.Set("p0.labelled.answer", "81 GBq=81 mCi")
	v.Set("p0.volume.answer", p.Choice("p0.volume.answer", 1)) // it is so
	s.T1.Post(at+"/enter/receive", v).Recorded()
	got, _ := lastFact(s).(*fact.Receive)
	if got == nil || got.Labelled.Text != "81 mCi" || got.Confirmed != "volume: 50 mL is outside the usual 1 to 25 mL" {
		t.Errorf("recorded is %+v", got)
	}
}

func lastFact(s *webtest.Story) fact.Fact {
	all := webtest.Case(s).Records
	return all[len(all)-1].Fact
}

// TestAskAboutACorrection: what replaces an entry is asked about as the first
// entry is, and the answer is taken.
func TestAskAboutACorrection(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
	n := ""
	for _, e := range fold.Entries(webtest.Case(s).Records) {
		if r, ok := e.Fact.(*fact.Read); ok && r.Gross.Text == "1.87 GBq" {
			n = strconv.Itoa(e.Number)
		}
	}
	at := "/entry/" + n + "/correct"
	p := s.T1.Fill(at, "correct", at, "p0.reason", "misread", "p0.with.read.gross", "18.6 GBq", "pin", webtest.PIN)
	v := p.Says(http.StatusUnprocessableEntity, "18.6 GBq is 10 times what labels and volumes say: is it 1.86 GBq?", "Nothing is recorded before the answer").Form("correct")
	v.Set("p0.with.read.gross.answer", "18.6 GBq=1.86 GBq")
	v.Set("pin", webtest.PIN)
	s.T1.Post(at, v).Recorded()
	c, _ := lastFact(s).(*fact.Correct)
	if c == nil {
		t.Fatalf("recorded is %+v", lastFact(s))
	}
	if read, _ := c.With.(*fact.Read); read == nil || read.Gross.Text != "1.86 GBq" {
		t.Errorf("recorded is %+v", c.With)
	}
}

// TestAskAboutAMakeUp: a volume of diluent that the syringe cannot take is asked
// about, and nothing is recorded before the answer.
func TestAskAboutAMakeUp(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
	before := webtest.Case(s).Newest
	p := s.Step(s.T1, "make-up", "p0.volume", "13", "p0.volume.unit", "mL", "p0.lot", "W-77", "p0.diluent", "water for injection")
	p.Says(http.StatusUnprocessableEntity, "13 mL added would make", "the site makes up to between", "Change to 1.3 mL", "Nothing is recorded before the answer.")
	if got := webtest.Case(s).Newest; got != before {
		t.Fatalf("%d records before the answer", got-before)
	}
	v := p.Form("step")
	v.Set("p0.volume.answer", "13 mL=1.3 mL")
	s.T1.Post(webtest.Bench+"/step/make-up", v).Recorded()
	if got, _ := lastFact(s).(*fact.MakeUp); got == nil || got.Volume.Text != "1.3 mL" || got.Confirmed != "" {
		t.Errorf("recorded is %+v", got)
	}
}

// TestEachQuestionHasItsAnswer: an answer confirms what was asked, and nothing else
// that is odd about the same field or another; no answer is asked for twice, also
// where the PIN has to be typed again.
func TestEachQuestionHasItsAnswer(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("draw")
	at := webtest.Bench + "/step/remainder"
	before := webtest.Case(s).Newest
	label, volume := "0.9 GBq is 50 % of what labels and volumes say: is it so?", "By this reading the draw took an activity far from that of its volume: is it so?"
	p := s.Step(s.T1, "remainder", "p0.gross", "0.9", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").
		Says(http.StatusUnprocessableEntity, label)
	p = s.T1.Post(at, p.Answered("step", "p0.gross", 0))
	if p.Says(http.StatusUnprocessableEntity, volume); strings.Contains(p.Text(), label) {
		t.Errorf("what was answered is asked again: %s", p.Text())
	}
	if got := webtest.Case(s).Newest; got != before {
		t.Fatalf("%d records before both answers", got-before)
	}
	s.T1.Post(at, p.Answered("step", "p0.gross", 0)).Recorded()
	read, _ := lastFact(s).(*fact.Read)
	if read == nil || read.Confirmed != "gross: 0.9 GBq is 50 % of what labels and volumes say; gross: By this reading the draw took an activity far from that of its volume" {
		t.Errorf("recorded is %+v", read)
	}
}

// TestTwoFieldsAsked: a form that is asked about as a whole and about an amount of it
// takes both answers, one after the other.
func TestTwoFieldsAsked(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	at := webtest.Bench + "/step/draw"
	p := s.T1.Fill(at, "step", at, "p0.volume", "0.21", "p0.from", "S1", "p0.at", "10:55").Says(http.StatusUnprocessableEntity, "A draw at 10:55 is before the first assay of S1")
	p = s.T1.Post(at, p.Answered("step", "p0.at", 0)).Says(http.StatusUnprocessableEntity, "0.21 mL is 1/10 of the planned volume: is it 2.1 mL?")
	s.T1.Post(at, p.Answered("step", "p0.volume", 0)).Recorded()
	if d, _ := lastFact(s).(*fact.Draw); d == nil || d.Volume.Text != "2.1 mL" {
		t.Errorf("recorded is %+v", lastFact(s))
	}
}

// TestAskAboutAnotherTerritory: an infusion into another territory than the ordered one is
// asked about, by whatever rules; the answer makes it a stop, and the record is not
// closed without a deviation.
func TestAskAboutAnotherTerritory(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("time-out")
	s.Clock.Set("14:10")
	at, n := webtest.Bench+"/step/infusion", len(s.Facts("infuse"))
	infused := func(treated string) *webtest.Page {
		return s.Step(s.Nurse, "infusion", "p0.start", "2027-03-04T13:30", "p0.stop", "2027-03-04T14:05", "p0.reason", "complete", "p0.treated", treated)
	}
	p := infused("left lobe").Says(http.StatusUnprocessableEntity, "Ordered is right lobe, and treated was left lobe: is it so?", "Nothing is recorded before the answer.")
	if len(s.Facts("infuse")) != n {
		t.Fatal("it is recorded before the answer")
	}
	s.Nurse.Post(at, p.Answered("step", "p0.treated", 0)).Recorded()
	s.Nurse.Look(webtest.Bench).Says(200, "Order P1 is for right lobe, and left lobe was treated")
	s.Go("residual", "survey")
	s.RP.Look("/")
	if p := s.RP.Look(webtest.Bench); strings.Contains(p.Body, `id="step"`) {
		t.Error("the record can be closed without a deviation")
	}
	s.RP.Fill(webtest.Bench, "deviation", webtest.Bench+"/step/deviation", "p0.text", "the catheter lay in the left artery").Recorded()
	s.Go("close")
	// The ordered territory, in whatever capitals, is no question.
	s = webtest.NewStory(webtest.New(t, nil).Hire()).Until("time-out")
	s.Clock.Set("14:10")
	infused("Right lobe ").Recorded()
	// A name that begins with numbers and a comma is no amount: it is recorded as it was typed.
	s = webtest.NewStory(webtest.New(t, nil).Hire()).Until("time-out")
	s.Clock.Set("14:10")
	p = infused("5,8 and 6").Says(http.StatusUnprocessableEntity, "treated was 5,8 and 6: is it so?")
	s.Nurse.Post(at, p.Answered("step", "p0.treated", 0)).Recorded()
	if x, _ := lastFact(s).(*fact.Infuse); x == nil || x.Treated != "5,8 and 6" {
		t.Errorf("recorded is %+v", lastFact(s))
	}
}

// TestAskAboutACopy: a reading that is sent twice, as from two pages, is asked about; one of
// another minute, or with another figure, is a reading of its own, and one that is corrected
// is no copy of itself.
func TestAskAboutACopy(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	at := webtest.Bench + "/step/reading"
	again := func(gross, when string) *webtest.Page {
		return s.T1.Fill(webtest.Bench, "reading", at, "p0.of", "S1", "p0.meter", "M1", "p0.at", when, "p0.gross", gross, "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq")
	}
	s.Clock.Set("11:05")
	first := s.Facts("read")[0].(*fact.Read)
	if first.Gross.Text != "3.24 GBq" || first.At.Minute() != 0 {
		t.Fatalf("the first reading is %+v", first)
	}
	again("3.24", "11:01").Recorded()
	again("3.25", "11:00").Recorded()
	n, asks := len(s.Facts("read")), "S1 has the same reading and background in entry"
	p := again("3.240", "11:00:20").Says(http.StatusUnprocessableEntity, asks, "of the same minute: was it read twice?", "If not, change what is typed, or leave the form unsent.")
	if got := len(s.Facts("read")); got != n {
		t.Fatalf("%d readings before the answer", got-n)
	}
	s.T1.Post(at, p.Answered("reading", "p0.gross", 0)).Recorded()
	if r, _ := lastFact(s).(*fact.Read); r == nil || !strings.HasPrefix(r.Confirmed, "gross: S1 has the same reading") {
		t.Errorf("recorded is %+v", lastFact(s))
	}
	entry := "/entry/" + webtest.Decimal(webtest.Case(s).Newest) + "/correct"
	s.Clock.Set("11:06")
	s.T1.Fill(entry, "correct", entry, "p0.reason", "the setting was left out", "p0.with.read.at", "2027-03-04T11:02", "p0.with.read.setting", "48").Recorded()
	if p := s.T1.Fill(entry, "correct", entry, "p0.reason", "another setting", "p0.with.read.setting", "49"); strings.Contains(p.Text(), asks) {
		t.Errorf("a corrected reading is a copy of itself: %s", p.Text())
	}
}

// TestAskInASentence: a question that begins with a word begins with a capital, and what
// is folded away beside it has its unit as it is printed.
func TestAskInASentence(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("transfer")
	s.Step(s.T1, "baseline", "p0.before.rate", "0.182 0.18", "p0.before.background", "0.2").
		Says(http.StatusUnprocessableEntity, "The mean of 2 directions, 0.181 µSv/h, is not above its background of 0.2 µSv/h, as of an empty vial: is it so?", "Background 0.2 µSv/h")
}

// TestNothingTypedMovesToAnotherLabel: another bench sets up a meter while the readiness is
// being filled in, so that the part that asked for the survey meter asks for the new meter.
func TestNothingTypedMovesToAnotherLabel(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("order")
	at := webtest.Bench + "/step/readiness"
	v := s.T1.Look(at).Form("step")
	v.Set("p2.result", "pass") // of the survey meter
	s.T1.Post(webtest.Keeper(at), v)
	s.MP.Fill("/meters", "meter", "/meters", "p0.id", "M2", "p0.calibration-u", "2", "p0.repeatability", "1", "p0.geometry.syringe.0.factor", "0.95",
		"p0.geometry.syringe.0.u", "1", "p0.geometry.syringe.0.basis", "label", "p0.reason", "a second one").Recorded()
	kept := func(what string, v url.Values) {
		t.Helper()
		if v.Get("p2.result") != "" || v.Get("p4.result") != "pass" {
			t.Errorf("%s: %v", what, v)
		}
	}
	kept("what was kept", s.T1.Look(at).Form("step"))
	before := webtest.Case(s).Newest
	p := s.T1.Post(at, v).Says(http.StatusUnprocessableEntity, "The form has changed since it was opened", "Meter M2: background", "Nothing was recorded")
	if got := webtest.Case(s).Newest; got != before {
		t.Fatalf("%d records", got-before)
	}
	kept("what was sent", p.Form("step"))
	s.T1.Post(at, p.Form("step")).Recorded()
	if checks := s.Facts("check"); len(checks) != 1 || checks[0].(*fact.Check).What != "survey-meter" {
		t.Errorf("recorded: %+v", checks)
	}
}
