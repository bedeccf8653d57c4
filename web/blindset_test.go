package web_test

import (
	"net/http"
	"net/url"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/quantity"
	"vialwright/web/webtest"
)

// spellings are a figure in the units and roundings in which pages show activities.
func spellings(a quantity.Activity) (out []string) {
	for _, unit := range []string{"GBq", "MBq", "mCi"} {
		for digits := 3; digits <= 5; digits++ {
			number, _, _ := strings.Cut(quantity.FormatDigits(a, digits, unit), " ")
			out = append(out, number)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// withheld are the figures that the person who is to check may not see yet: the doses,
// what is in the vial, and the readings after the one before the draw.
func withheld(s *webtest.Story, orders ...string) map[string]string {
	out := map[string]string{}
	add := func(what string, a quantity.Activity) {
		for _, text := range spellings(a) {
			out[text] = what
		}
	}
	st := s.Reckoned(s.Server.Lab.File("S1", "P1", "P2"))
	for i, o := range st.Case.Orders {
		if d := st.Result.Orders[i].Dispensed; d != nil && slices.Contains(orders, o.ID) {
			add("the dose of "+o.ID, d.Activity)
		}
	}
	for _, k := range st.Result.Containers {
		if k.Container.ID == "S1" {
			add("what is left in S1", k.Activity)
		}
	}
	readings := st.Case.Readings[1:] // the first is the one before the first draw
	if !slices.Contains(orders, "P1") {
		readings = readings[1:] // and the second, the one before the second draw
	}
	for _, r := range readings {
		if r.Of == "S1" {
			add("a reading of S1", r.Gross)
			add("a reading of S1 less its background", r.Gross-r.Background)
		}
	}
	return out
}

// everyPage is what the program sends a person, byte by byte: of every address that
// gives a page or a file, for both orders, the vial and the entries.
func everyPage(s *webtest.Story, b *webtest.Browser) map[string]string {
	out := looks(s, b)
	out["the archive of the day"] = b.Post("/export/days", url.Values{"from": {"2027-03-04"}, "to": {"2027-03-04"}}).Body
	out["a scan of the vial"] = b.Post("/scan", url.Values{"raw": {"S1"}}).Body
	return out
}

// looks is what everyPage has without sending anything.
func looks(s *webtest.Story, b *webtest.Browser) map[string]string {
	out := map[string]string{}
	b.Look("/").Says(200, "Board", "Sign out")
	for _, r := range s.Server.Routes {
		if r.Method != http.MethodGet || r.Path == "/events" {
			continue
		}
		for _, order := range []string{"P1", "P2"} {
			for _, key := range []string{"draw", "remainder", "second-check", "release"} {
				for n := 1; n <= int(webtest.Case(s).Newest)-webtest.Settings; n++ {
					entry := strings.Split(webtest.Entry(n), "/")[2]
					at := strings.NewReplacer("{$}", "", "{order}", order, "{key}", key, "{form}", "note", "{entry}", entry, "{id}", "T2", "/export/{file}", "/export/case.yaml",
						"/sheet/{file}", "/sheet/"+order+".pdf", "{file}", "x").Replace(r.Path)
					if _, seen := out[at]; !seen {
						out[at] = b.Get(at).Body
					}
				}
			}
		}
	}
	for _, at := range []string{"/history?of=S1", "/history?of=P1", "/history?of=P2", "/order/P1#reading", "/curve?of=S1", "/instruments/of/M1", "/inventory?at=2027-03-04T12:00"} {
		out[at] = b.Get(at).Body
	}
	return out
}

// printed is what a person reads on a page of paper; nothing where there is no program
// to read it with.
func printed(t *testing.T, pdf string) string {
	t.Helper()
	c := exec.Command("pdftotext", "-raw", "-", "-")
	c.Stdin = strings.NewReader(pdf)
	out, err := c.Output()
	if err != nil {
		t.Logf("peer missing: pdftotext, Debian poppler-utils: a page of paper is not searched (%v)", err)
	}
	return string(out)
}

func showsNone(t *testing.T, when string, pages map[string]string, figures map[string]string) {
	t.Helper()
	for at, body := range pages {
		if strings.HasPrefix(body, "%PDF") {
			pages[at] = printed(t, body)
		}
	}
	for text, what := range figures {
		number := regexp.MustCompile(`(^|[^0-9.,])` + regexp.QuoteMeta(text) + `($|[^0-9.]|\.[^0-9])`)
		for at, body := range pages {
			if m := number.FindStringIndex(body); m != nil {
				t.Errorf("%s: %s shows %s, %s: ...%s...", when, at, text, what, body[max(0, m[0]-60):min(len(body), m[1]+40)])
			}
		}
	}
}

// TestBlindWithTwoOrdersOnOneVial walks two orders on one vial, the remainder after the
// first of which gives its dose away: who may check is sent neither figure, by no
// page, sheet, export, history or form, before their own check of that order.
func TestBlindWithTwoOrdersOnOneVial(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P2", "p0.patient", "DEMO-0043", "p0.territory", "left lobe", "p0.prescribed", "0.55", "p0.prescribed.unit", "GBq",
		"p0.at", "2027-03-04T14:30", "p0.residual", "2", "p0.by", "D. Example").Recorded()
	s.DR.Fill("/order/P2", "sign-order", "/order/P2/step/sign-order").Recorded()
	showsNone(t, "one drawn", everyPage(s, s.MP), withheld(s, "P1"))
	s.Clock.Set("11:20")
	s.T1.Fill("/order/P2/step/draw", "step", "/order/P2/step/draw", "p0.volume", "0.9").Recorded()
	s.Clock.Set("11:24")
	s.T1.Fill("/order/P2/step/remainder", "step", "/order/P2/step/remainder", "p0.of", "S1", "p0.gross", "1.27", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
	if figures := withheld(s, "P1", "P2"); len(figures) < 30 {
		t.Fatalf("only %d figures are withheld: %v", len(figures), figures)
	}
	showsNone(t, "two drawn", everyPage(s, s.MP), withheld(s, "P1", "P2"))
	for text := range withheld(s, "P1") {
		if strings.Contains(s.T1.Get(webtest.Bench).Text(), text) {
			break // who prepared it sees its figures
		}
	}
	for order, volume := range map[string]string{"P1": "1.3", "P2": "2.6"} {
		at := "/order/" + order + "/step/make-up"
		s.T1.Fill(at, "step", at, "p0.volume", volume, "p0.diluent", "water for injection", "p0.lot", "W-77").Recorded()
	}
	s.MP.Look("/order/P2/check").Says(200, "gives the dose of P1 away", "Check P1")
	s.MP.Post("/order/P2/check", url.Values{"nonce": {"n"}, "p0.gross": {"1.2"}}).Says(http.StatusForbidden, "gives the dose of P1 away")
	s.MP.Look("/order/P1/check").Says(200, "Read it yourself")
	showsNone(t, "ready to be checked", everyPage(s, s.MP), withheld(s, "P1", "P2"))

	t.Run("another who would go on is told first", func(t *testing.T) {
		other := s.AsElsewhere("T2")
		other.Look("/order/P2").Says(200, "will not be able to check P1, P2")
		other.Fill("/order/P2", "see-figures", "/order/P2/step/see-figures").Recorded()
		seen := map[string]bool{}
		for _, r := range webtest.Case(s).Records {
			if r.By == "T2" && fact.Word(r.Fact) == "see-figures" {
				for _, f := range factFields(r.Fact) {
					seen[f] = true
				}
			}
		}
		if !seen["P1"] || !seen["P2"] {
			t.Errorf("the choice is recorded for %v", seen)
		}
	})
	checkInTurn(t, s)
}

// checkInTurn goes on with two orders of which P1 is checked first. Its checker knows
// their own figures of it, and is sent nothing that gives P2 away, also after P1 was
// released and given, until they have checked P2. Then they see both.
func checkInTurn(t *testing.T, s *webtest.Story) {
	s.Clock.Set("11:40")
	s.MP.Fill("/order/P1/check", "step", "/order/P1/check", "p0.gross", "1.29", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", "1.33", "p0.activity.unit", "GBq").Recorded()
	showsNone(t, "P1 checked", everyPage(s, s.MP), withheld(s, "P2"))
	s.Go("label")
	s.Step(s.T1, "transfer").Recorded()
	s.Step(s.T1, "baseline", "p0.before.rate", "182 180 184 181", "p0.before.background", "0.2").Recorded()
	s.RP.Look("/order/P1").Says(200, "The dose of P2 follows from the figures of this order")
	s.RP.Fill("/order/P1", "see-figures", "/order/P1/step/see-figures").Recorded() // who releases P1 does not check P2
	s.Go("release")
	showsNone(t, "P1 released", everyPage(s, s.MP), withheld(s, "P2"))
	s.Go("hand-over", "time-out", "infusion")
	showsNone(t, "P1 given", everyPage(s, s.MP), withheld(s, "P2"))
	s.Clock.Set("14:15")
	s.MP.Look("/order/P2/check").Says(200, "Read it yourself", "before the draw", "1.87 GBq")
	s.MP.Fill("/order/P2/check", "step", "/order/P2/check", "p0.gross", "1.23", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", "0.577", "p0.activity.unit", "GBq").Recorded()
	shown := map[string]bool{}
	pages := everyPage(s, s.MP)
	for text, what := range withheld(s, "P1", "P2") {
		for _, body := range pages {
			shown[what] = shown[what] || strings.Contains(body, text)
		}
	}
	for _, what := range []string{"the dose of P1", "the dose of P2", "what is left in S1", "a reading of S1 less its background"} {
		if !shown[what] {
			t.Errorf("both are checked, and no page shows %s", what)
		}
	}
}

// factFields are the texts of the fields of a fact.
func factFields(f fact.Fact) (out []string) {
	for _, x := range fact.Fields(f) {
		out = append(out, x.Text)
	}
	return out
}
