package web_test

import (
	"net/http"
	"testing"
	"time"

	"vialwright/store"
	"vialwright/store/storetest"
	"vialwright/store/vault"
	"vialwright/store/vault/vaulttest"
	"vialwright/web/webtest"
)

// two are two benches on one journal, with what is done at the first while a page
// lies open at the second.
type two struct {
	*webtest.Story
	other *webtest.Lab
	t2    *webtest.Browser
}

func twoBenches(t *testing.T) *two {
	log, v := &storetest.Memory{}, &vaulttest.Memory{}
	open := engine(func(*testing.T) (store.Log, vault.Vault) { return log, v })
	here, there := open.bench(t, 0).Hire(), open.bench(t, 1)
	s := webtest.NewStory(here).Until("assay")
	for _, l := range []*webtest.Lab{here, there} {
		l.Clock.Set("11:10")
	}
	s.T1.Fill(webtest.Bench, "resuspend", webtest.Bench+"/step/resuspend").Recorded()
	return &two{s, there, there.As("T2")}
}

// What others do at the first bench.
func (s *two) note() {
	s.Helper()
	s.RP.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "the fridge is warm").Recorded()
	s.T1.Fill(webtest.Bench, "note", webtest.Bench+"/step/note", "p0.text", "a drop on the tray").Recorded()
}

func (s *two) shake() {
	s.Helper()
	s.T1.Fill(webtest.Bench, "resuspend", webtest.Bench+"/step/resuspend").Recorded()
}

func (s *two) read() {
	s.Helper()
	s.Clock.Add(time.Minute)
	s.Step(s.T1, "assay", "p0.gross", "3.25", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
}

func (s *two) decide() {
	s.Helper()
	s.RP.Fill("/settings", "policy", "/settings", "p0.tolerance", "8", "p0.reason", "by the committee").Recorded()
}

func (s *two) lobe() {
	s.Helper()
	s.RP.Fill(webtest.Entry(1), "correct", webtest.Entry(1), "p0.reason", "another lobe", "p0.with.order.territory", "left lobe").Recorded()
}

func (s *two) another() {
	s.Helper()
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P2", "p0.patient", "DEMO-0077", "p0.prescribed", "1.10", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T15:30", "p0.by", "D. Example").Recorded()
}

// count is how many entries of a kind there are.
func (s *two) count(kind string) int {
	s.Helper()
	if err := s.Server.Lab.CatchUp(s.Context()); err != nil {
		s.Fatal(err)
	}
	return len(s.Facts(kind))
}

// A page lies open at one bench while others work at another. A note, a shaking
// and another order are in nobody's way; a reading goes in whatever has moved;
// an act is shown what has moved and goes in when it is sent once more, again
// only if still more has moved; a consent is never carried over by what was seen:
// it is made on the page of now, and signed again. What was typed stays.
func TestSecondPress(t *testing.T) {
	type does = func(*two)
	draw := []string{webtest.Bench + "/step/draw", "step", "draw", "p0.volume", "2.0"}
	sign := []string{webtest.Bench + "/step/sign-order", "sign-order", "sign-order"}
	reads := []string{webtest.Bench + "/step/assay", "step", "read", "p0.gross", "3.26", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq"}
	for _, c := range []struct {
		name, who string
		form      []string
		// since are done after the page was made, each before one press: the number
		// of presses that are refused is one for each that shows.
		since []does
		says  []string
	}{
		{"an act behind notes, a shaking and another order", "T2", draw, []does{func(s *two) { s.note(); s.shake(); s.another() }}, []string{""}},
		{"an act behind a reading", "T2", draw, []does{(*two).read}, []string{"by T1, meter reading"}},
		{"an act behind two readings", "T2", draw, []does{(*two).read, (*two).read}, []string{"by T1, meter reading", "; entry"}},
		{"an act behind a setting", "T2", draw, []does{(*two).decide}, []string{"by RP1, site settings, tolerance of a dose 8 %"}},
		{"an observation behind a reading", "T2", reads, []does{(*two).read}, []string{""}},
		{"a consent behind notes, a shaking and another order", "DR1", sign, []does{func(s *two) { s.note(); s.shake(); s.another() }}, []string{""}},
		{"a consent behind a correction", "DR1", sign, []does{(*two).lobe}, []string{"territory left lobe"}},
		{"a consent behind two", "DR1", sign, []does{(*two).lobe, (*two).decide}, []string{"territory left lobe", "by RP1, site settings"}},
		{"a consent behind a setting", "DR1", sign, []does{(*two).decide}, []string{"by RP1, site settings"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := twoBenches(t)
			if c.who == "DR1" {
				s.lobe() // so that the order is to be signed again
			}
			b := s.other.As(c.who)
			at, id, kind, typed := c.form[0], c.form[1], c.form[2], c.form[3:]
			page := at
			if id != "step" {
				page = webtest.Bench
			}
			v := b.Look(page).Form(id)
			for i := 0; i+1 < len(typed); i += 2 {
				v.Set(typed[i], typed[i+1])
			}
			before := s.count(kind)
			for i, do := range c.since {
				do(s)
				if kind == "read" && c.says[i] == "" || kind != "read" {
					before = s.count(kind)
				}
				if v.Has("pin") {
					v.Set("pin", webtest.PIN)
				}
				if c.who == "DR1" {
					v.Set("seen", "999999") // it does not count for a consent
				}
				p := b.Post(at, v)
				if c.says[i] == "" {
					p.Recorded()
					continue
				}
				p.Says(http.StatusConflict, "Look again", "Recorded since this page was opened: entry", c.says[i], "Nothing of yours was recorded")
				v = p.Form(id)
				for k := 0; k+1 < len(typed); k += 2 {
					if v.Get(typed[k]) != typed[k+1] {
						t.Errorf("%s became %q", typed[k], v.Get(typed[k]))
					}
				}
				if act := c.who != "DR1"; v.Has("seen") && !act || v.Get("seen") == "" && act || v.Get("pin") != "" {
					t.Errorf("the form holds %v", v)
				}
			}
			if c.says[len(c.says)-1] != "" {
				if v.Has("pin") {
					b.Post(at, v).Says(http.StatusUnprocessableEntity)
					v.Set("pin", webtest.PIN)
					v.Set("nonce", "x"+v.Get("nonce"))
				}
				b.Post(at, v).Recorded()
			}
			if got := s.count(kind); got != before+1 {
				t.Errorf("%d entries more, want 1", got-before)
			}
		})
	}
}

// A form that is sent back for a slip still rests on the page on which it was
// filled in: what moved meanwhile is shown before it is recorded.
func TestSlipOnAnOldPage(t *testing.T) {
	s := twoBenches(t)
	at := webtest.Bench + "/step/draw"
	v := s.t2.Look(at).Form("step")
	v.Set("p0.volume", "two")
	s.read()
	p := s.t2.Post(at, v)
	p.Says(http.StatusUnprocessableEntity)
	v = p.Form("step")
	v.Set("p0.volume", "2.0")
	p = s.t2.Post(at, v)
	p.Says(http.StatusConflict, "Look again", "by T1, meter reading")
	s.t2.Post(at, p.Form("step")).Recorded()
	if n := s.count("draw"); n != 1 {
		t.Errorf("%d draws", n)
	}
}
