package preparation_test

import (
	"context"
	"net/http"
	"strings"
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/replica"
	"vialwright/web/kit"
	"vialwright/web/webtest"
	"vialwright/web/words"
)

// An order is signed by the physician alone, and a dose whose order is not
// signed as it is does not leave.
func TestOrderSignature(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("label")
	s.RP.Look(webtest.Bench).Says(200, "Order signed", "DR1")
	order := webtest.Entry(1)
	s.RP.Fill(order, "correct", order, "p0.reason", "another lobe", "p0.with.order.version", "2").Recorded()
	s.RP.Look(webtest.Bench).Says(200, "Not signed", "the order changed after it was signed")
	for _, who := range []*webtest.Browser{s.RP, s.T1, s.MP, s.Nurse} {
		if p := who.Look(webtest.Bench); strings.Contains(p.Body, `id="sign-order"`) {
			t.Errorf("%s is offered the signature", who.ID)
		}
	}
	// The order was changed, so that the dose is checked and labelled again; the
	// release waits for the signature all the same.
	s.Go("second-check", "label")
	s.Clock.Set("11:50")
	refused := s.RP.Look(webtest.Bench + "/step/release")
	refused.Says(200, "the order changed after it was signed", "the authorised physician signs the present version")
	if strings.Contains(refused.Body, `name="p0.serial"`) {
		t.Error("the release of an order that is not signed has a form")
	}
	wrong := s.DR.Fill(webtest.Bench, "sign-order", webtest.Bench+"/step/sign-order", "pin", "1357")
	wrong.Says(http.StatusUnprocessableEntity, "that is not right")
	s.Sign()
	signs := s.Facts("sign-order")
	if x, _ := signs[len(signs)-1].(*fact.SignOrder); len(signs) != 2 || x.Version != "2" || x.For != "P1" {
		t.Errorf("signatures %+v", signs)
	}
	s.DR.Look(webtest.Bench).Says(200, "Order signed", "DR1")
	s.Go("release")
	s.RP.Look("/history").Says(200, "order signed", "I prescribe this")
}

// Anyone who takes a dose over signs for it: on the form of the hand-over, or in
// a session of their own; until then the bench says so.
func TestTakeOver(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("release")
	s.Clock.Set("12:30")
	give := func(changes ...string) *webtest.Page {
		return s.Step(s.RP, "hand-over", append([]string{"p0.serial", s.Serial, "p0.to", "SN1", "p0.place", "suite 2"}, changes...)...)
	}
	give("pin2", "1357").Says(http.StatusUnprocessableEntity, "the PIN of SN1: that is not right")
	give("p0.to", "RP1", "pin2", webtest.PIN).Says(http.StatusUnprocessableEntity, "that is you")
	give("p0.to", "OB1", "pin2", webtest.PIN).Says(http.StatusUnprocessableEntity, "may not take a dose over")
	give("p0.to", "nobody", "pin2", webtest.PIN).Says(http.StatusUnprocessableEntity, "there is no account nobody")
	give("p0.to", "sn1").Recorded()
	s.RP.Look(webtest.Bench).Says(200, "Not taken over", "handed over to SN1")
	for who, first := range map[*webtest.Browser]string{s.Nurse: `href="#take-over"`, s.RP: ""} {
		_, foot, _ := strings.Cut(who.Look(webtest.Bench).Body, `<div class="foot">`)
		foot, _, _ = strings.Cut(foot, "</div>")
		if strings.Contains(foot, "/time-out") || !strings.Contains(foot, first) {
			t.Errorf("before it is taken over the bench leads to %s", foot)
		}
	}
	s.Nurse.Look(webtest.Bench+"/time-out").Says(200, "Not taken over")
	if strings.Contains(s.RP.Look(webtest.Bench).Body, `id="take-over"`) {
		t.Error("who handed it over is offered to take it over")
	}
	s.Nurse.Fill(webtest.Bench, "take-over", webtest.Bench+"/step/take-over", "pin", "1357").Says(http.StatusUnprocessableEntity, "that is not right")
	s.Nurse.Fill(webtest.Bench, "take-over", webtest.Bench+"/step/take-over").Recorded()
	if p := s.RP.Look(webtest.Bench); strings.Contains(p.Text(), "Not taken over") {
		t.Error("taken over, and the bench still says it is not")
	}
	s.Go("time-out")
}

// Both signatures of a form are in the record, in the history and on the
// sheet.
func TestCountersigned(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("time-out")
	h, _ := s.Facts("hand-over")[0].(*fact.HandOver)
	x, _ := s.Facts("time-out")[0].(*fact.TimeOut)
	if h.Countersigned != "SN1" || x.Countersigned != "DR1" {
		t.Errorf("countersigned by %q and %q", h.Countersigned, x.Countersigned)
	}
	s.RP.Look("/history").Says(200, "Countersigned by DR1", "Countersigned by SN1")
	var got []string
	for _, r := range webtest.Case(s).Records {
		who, acts := words.Signatures(r)
		for i := range who {
			got = append(got, who[i]+" "+string(acts[i]))
		}
	}
	want := "DR1 sign-order, MP1 second-check, RP1 release, RP1 hand-over, SN1 take-over, SN1 time-out, DR1 time-out"
	if strings.Join(got, ", ") != want {
		t.Errorf("signatures %s, want %s", strings.Join(got, ", "), want)
	}
	for _, f := range webtest.Case(s).Records {
		if strings.Contains(strings.Join(texts(f.Fact), " "), webtest.PIN) {
			t.Errorf("a PIN stands in the record: %s", fact.Word(f.Fact))
		}
	}
}

func texts(f fact.Fact) []string {
	var out []string
	for _, l := range words.Held(f) {
		out = append(out, l.Text)
	}
	return out
}

// The second PIN has the lock-out of the one whose it is, and says whose it
// is; who types it for others is slowed down, no matter who the others are.
func TestSecondPINLocks(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("hand-over")
	s.Clock.Set("13:25")
	hold := func(digits string) *webtest.Page {
		return s.Nurse.Fill(webtest.Bench+"/time-out", "step", webtest.Bench+"/time-out", "p0.patient", "DEMO-0042", "p0.territory", "right lobe",
			"p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "DR1", "pin2", digits)
	}
	for range 5 {
		hold("1357").Says(http.StatusUnprocessableEntity, "the PIN of DR1")
		s.Clock.Add(11 * time.Second)
	}
	locked := hold(webtest.PIN)
	locked.Says(http.StatusUnprocessableEntity, "the PIN of DR1: it was wrong too often", "DR1 signs in with the password once")
	if v := locked.Form("step"); v.Get("pin2") != "" || v.Get("p0.patient") != "DEMO-0042" {
		t.Errorf("the PIN is shown, or what was typed is gone: %v", v)
	}
	if d := s.Draft("SN1", webtest.Bench+"/time-out"); d == "" || strings.Contains(d, "pin") {
		t.Errorf("a PIN lies among the drafts, or nothing does: %q", d)
	}
	s.AsElsewhere("DR1")
	hold(webtest.PIN).Recorded()

	s = webtest.NewStory(webtest.New(t, nil).Hire()).Until("hand-over")
	s.Clock.Set("13:25")
	last := ""
	for range 12 {
		last = hold("1357").Text()
	}
	if !strings.Contains(last, "it was wrong several times") {
		t.Errorf("twelve tries at once are not slowed down: %s", last)
	}
}

// Who has no PIN cannot countersign, and is told where to get one.
func TestSecondPINMissing(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("hand-over")
	s.Clock.Set("13:25")
	admit(s.Lab, people.Person{ID: "DR2", Name: "E. Example", Roles: []people.Role{people.Physician}, Active: true}, "")
	s.Nurse.Fill(webtest.Bench+"/time-out", "step", webtest.Bench+"/time-out", "p0.patient", "DEMO-0042", "p0.territory", "right lobe",
		"p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "DR2", "pin2", webtest.PIN).Says(http.StatusUnprocessableEntity, "DR2 has no PIN yet")
}

// A time-out at which something else is read out is refused, each time with
// what differs, before the PIN of the other person is compared.
func TestTimeOutDiffers(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("hand-over")
	s.Clock.Set("13:25")
	s.Nurse.Fill(webtest.Bench+"/time-out", "step", webtest.Bench+"/time-out", "p0.patient", "DEMO-0024", "p0.territory", "left lobe", "p0.activity", "1.33", "p0.activity.unit", "mCi",
		"p0.with", "DR1", "pin2", "1357").Says(http.StatusForbidden, "The identifier, the territory and the activity read out are not those of the order")
	for _, c := range []struct {
		field, value string
		status       int
		says         string
	}{
		{"p0.patient", "DEMO-0024", http.StatusForbidden, "identifier"},
		{"p0.territory", "left lobe", http.StatusForbidden, "territory"},
		{"p0.activity", "1.36", http.StatusForbidden, "activity"},
		{"p0.with", "T1", http.StatusForbidden, "No authorised physician"},
		{"p0.with", "ZZ", http.StatusUnprocessableEntity, "no account"},
		{"p0.with", "SN1", http.StatusUnprocessableEntity, "that is you"},
		{"p0.with", "OB1", http.StatusUnprocessableEntity, "may not take part in a time-out"},
		{"pin2", "", http.StatusUnprocessableEntity, "The other person types their own PIN"},
		{"pin2", "1357", http.StatusUnprocessableEntity, "the PIN of DR1: that is not right"},
	} {
		right := []string{
			"p0.patient", "DEMO-0042", "p0.territory", "right lobe", "p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "DR1", "pin2", webtest.PIN, c.field, c.value,
		}
		s.Nurse.Fill(webtest.Bench+"/time-out", "step", webtest.Bench+"/time-out", right...).Says(c.status, c.says)
	}
	s.Go("time-out")
}

// Who countersigns is found by their id in any letter case, as at the sign-in, and stands
// in the record as their account has it.
func TestCountersignInLowerCase(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("hand-over")
	s.Clock.Set("13:25")
	s.Nurse.Fill(webtest.Bench+"/time-out", "step", webtest.Bench+"/time-out", "p0.patient", "DEMO-0042", "p0.territory", "right lobe",
		"p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "dr1", "pin2", webtest.PIN).Recorded()
	if x, _ := s.Facts("time-out")[0].(*fact.TimeOut); x.With != "DR1" || x.Countersigned != "DR1" {
		t.Errorf("held with %q, countersigned by %q", x.With, x.Countersigned)
	}
}

// admit puts one more person into the record, with the password of everybody and a PIN;
// none where it is empty.
func admit(l *webtest.Lab, p people.Person, pin string) {
	l.Helper()
	at := l.Clock.Now()
	err := l.Server.Lab.Append(context.Background(), replica.Entry{Site: true, Class: fact.Observation, Decide: func(*kit.File, int) ([]journal.Record, error) {
		return []journal.Record{{Recorded: at, By: webtest.Staff[0].ID, Fact: fact.PersonFact(p, at)}}, nil
	}})
	if err == nil {
		err = l.Server.Kept.Enrol(context.Background(), p.ID, webtest.Password, pin)
	}
	if err != nil {
		l.Fatal(err)
	}
}
