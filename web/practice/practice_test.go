package practice_test

import (
	"context"
	"encoding/csv"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/drill"
	"vialwright/fact"
	"vialwright/web"
	"vialwright/web/kit"
	"vialwright/web/webtest"
)

// practiceLab is the invented laboratory of the drills.
func practiceLab(tb testing.TB) *webtest.Lab {
	tb.Helper()
	f, err := casefile.Decode([]byte(drill.Laboratory()+"entries: []\n"), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return webtest.New(tb, func(c *web.Config) { c.Practice, c.Site = true, f.Facts[1:] }).Hire()
}

// play starts a drill and gives the page of it.
func play(b *webtest.Browser, name string) (at string, prefix string) {
	b.Helper()
	p := b.Fill("/practice", "drill-"+name, "/practice/drill").Recorded()
	n := strings.TrimPrefix(p.Location, "/practice/drill/")
	return p.Location, "D" + n + "-"
}

// answers sends an answer to a drill: the number of an entry of its file, and a
// kind of accident.
func answers(b *webtest.Browser, at string, entry int, accident string) *webtest.Page {
	b.Helper()
	n, err := strconv.Atoi(strings.TrimPrefix(at, "/practice/drill/"))
	if err != nil {
		b.Fatal(err)
	}
	return b.Fill(at, "answer", at, "entry", strconv.Itoa(n+entry), "accident", accident)
}

// The clock of a practice laboratory is put forward and what the board says goes
// with it; nobody is signed out by it, and a restart goes on from there.
func TestPracticeClock(t *testing.T) {
	l := practiceLab(t)
	b := l.As("T1")
	_, prefix := play(b, "small-dose")
	b.Get("/").Says(http.StatusOK, kit.PracticeMark)
	before := b.Get("/order/" + prefix + "P1").Text()
	if strings.Contains(before, "clock +") {
		t.Error("the clock is said to be ahead, and is not")
	}
	for _, x := range []struct {
		to     string
		status int
		says   string
	}{
		{"09:59", http.StatusUnprocessableEntity, "The clock is never put back"},
		{"2027-03-03T12:00", http.StatusUnprocessableEntity, "The clock is never put back"},
		{"2028-03-04T12:00", http.StatusUnprocessableEntity, "more than 30 days ahead"},
		{"noon", http.StatusUnprocessableEntity, "write it like 13:30"},
		{"15:30", http.StatusSeeOther, ""},
	} {
		p := b.Fill("/practice", "clock", "/practice/clock", "to", x.to)
		if p.Status != x.status || !strings.Contains(strings.ToLower(p.Text()), strings.ToLower(x.says)) {
			t.Errorf("%s: %d %s", x.to, p.Status, p.Text())
		}
	}
	const ahead = kit.PracticeMark + ", clock +5 h 30 min"
	for _, path := range []string{"/", "/practice", "/order/" + prefix + "P1", "/history", "/nowhere"} {
		if text := b.Get(path).Text(); strings.Count(text, ahead) < 2 { // and on its pictures
			t.Errorf("%s is not marked above and below: %s", path, text)
		}
	}
	// The infusion was planned for 14:30, four and a half hours behind the start.
	p := b.Get("/order/"+prefix+"P1").Says(http.StatusOK, "The infusion time of order "+prefix+"P1 has passed")
	if strings.Contains(p.Text(), "To draw ") {
		t.Errorf("a volume to draw stands beside the stop: %s", p.Text())
	}
	paper := strings.ToUpper(kit.PracticeMark) + ", clock +5 h 30 min"
	for _, path := range []string{"/blank.pdf", "/sheet/" + prefix + "P1.pdf"} {
		if text := b.Printed(path); strings.Count(text, paper) != strings.Count(text, "\f") {
			t.Errorf("%s: not every page is marked %q: %s", path, paper, text)
		}
	}
	again, err := web.New(context.Background(), l.Config)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if got := again.Clock().Sub(l.Clock.Now()); got != 5*time.Hour+30*time.Minute {
		t.Errorf("after a restart the clock is %s ahead", got)
	}
}

// A form that comes twice puts the clock forward once; one that was opened
// before somebody else put it forward may not put it back.
func TestPracticeClockOnce(t *testing.T) {
	l := practiceLab(t)
	b, other := l.As("T1"), l.As("RP1")
	form := b.Look("/practice").Form("clock")
	form.Set("to", "11:00")
	b.Post("/practice/clock", form).Recorded()
	b.Post("/practice/clock", form).Recorded()
	if got := l.Server.PracticeClock.Ahead(); got != time.Hour {
		t.Errorf("%s ahead", got)
	}
	old := other.Look("/practice").Form("clock")
	b.Fill("/practice", "clock", "/practice/clock", "to", "12:00").Recorded()
	old.Set("to", "11:30")
	other.Post("/practice/clock", old).Says(http.StatusUnprocessableEntity, "never put back")
}

// In a laboratory for patients there is no practice: no page, no clock, no
// drill, and no entry of it can be in its books.
func TestNoPracticeForPatients(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	b := l.As("T1")
	for _, r := range l.Server.Routes {
		path := strings.Replace(r.Path, "{run}", "1", 1)
		if !strings.HasPrefix(path, "/practice") {
			continue
		}
		p := b.Get(path)
		if r.Method == http.MethodPost {
			p = b.Post(path, url.Values{"nonce": {"x"}, "to": {"23:00"}, "drill": {"slipped-digit"}})
		}
		p.Says(http.StatusNotFound, "This laboratory is for patients")
	}
	if strings.Contains(b.Get("/").Body, `href="/practice`) || l.Server.Lab.Report().Records != webtest.Settings {
		t.Error("there is practice in a laboratory for patients")
	}
	c := l.Config
	c.PracticeClock = kit.NewPracticeClock(l.Clock.Now)
	if _, err := web.New(context.Background(), c); err == nil {
		t.Error("a practice clock was taken for a laboratory for patients")
	}
}

// A drill is played at the bench, answered, corrected or stopped, and what each
// person did is the record of practice.
func TestDrillIsPlayed(t *testing.T) {
	l := practiceLab(t)
	b, other := l.As("T1"), l.As("RP1")

	at, prefix := play(b, "slipped-digit")
	b.Get(at).Says(http.StatusOK, "Four readings before lunch", "Which entry is wrong")
	b.Get("/order/"+prefix+"P1").Says(http.StatusOK, "1.39 GBq", "Check that everything is ready, then read again "+prefix+"S1", "again once everything is ready")
	if text := b.Get(at).Text(); strings.Contains(text, "two digits swapped") || strings.Contains(text, "Modelled on") {
		t.Errorf("the page gives the answer away: %s", text)
	}
	other.Get(at).Says(http.StatusOK, "This drill is played by T. Example")
	if regexp.MustCompile(`name="entry"[^>]*required`).MatchString(b.Get(at).Body) {
		t.Error("who cannot find the fault has to name an entry all the same")
	}
	goesOn := `href="` + at + `">Go on with this drill`
	if !strings.Contains(b.Get("/practice").Body, goesOn) || strings.Contains(other.Get("/practice").Body, goesOn) {
		t.Error("the page of practice does not lead back to the drill that T1, and T1 alone, has begun")
	}
	answers(b, at, 4, "slipped digit").Recorded()
	b.Get(at).Says(http.StatusOK, "Not caught")
	l.Clock.Add(90 * time.Second)
	answers(b, at, 6, "slipped digit").Recorded()
	if text := b.Get(at).Says(http.StatusOK, "Caught", "two digits swapped", "event notification 44461").Text(); strings.Contains(text, "reading-disagrees") {
		t.Errorf("the page says the code of a finding: %s", text)
	}
	if strings.Contains(b.Get("/practice").Body, goesOn) {
		t.Error("the page of practice leads to a drill that is over as to one to go on with")
	}

	// RP1 mends a reading in a drill of their own, and stops another one.
	at2, prefix2 := play(other, "gbq-for-mci")
	n, _ := strconv.Atoi(strings.TrimPrefix(at2, "/practice/drill/"))
	wrong := "/entry/" + strconv.Itoa(n+6) + "/correct"
	other.Fill(wrong, "correct", wrong, "p0.with.read.gross", "50.3 mCi", "p0.reason", "the meter showed mCi").Recorded()
	other.Get(at2).Says(http.StatusOK, "Caught", "Corrected entry "+strconv.Itoa(n+6))
	if text := other.Get("/order/" + prefix2 + "P1").Text(); strings.Contains(text, "50.3 GBq") {
		t.Errorf("the bench still goes by the slip: %s", text)
	}
	at3, _ := play(other, "undrawn-vial")
	answers(other, at3, 0, "not found").Recorded()
	other.Get(at3).Says(http.StatusOK, "Not caught", "I cannot find it", "undrawn vial")

	b.Get("/practice").Says(http.StatusOK, "T. Example (T1)", "R. Example (RP1)", "1 min 30 s")
	rows, err := csv.NewReader(strings.NewReader(b.Get("/practice/record.csv").Body)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, r := range rows[1:] {
		got = append(got, r[0]+" "+r[2]+" "+r[9])
	}
	want := "RP1 gbq-for-mci Caught\nRP1 undrawn-vial Not caught\nT1 slipped-digit Not caught\nT1 slipped-digit Caught"
	if strings.Join(got, "\n") != want {
		t.Errorf("the record is\n%s\nwant\n%s", strings.Join(got, "\n"), want)
	}
	if rows[3][7] != "0" || rows[4][7] != "90" {
		t.Errorf("after %s and %s seconds", rows[3][7], rows[4][7])
	}
}

// The list of entries tells when each happened, and for when the dose is ordered: where the
// fault is a time, it is found nowhere else.
func TestDrillTellsItsTimes(t *testing.T) {
	l := practiceLab(t)
	b := l.As("T1")
	at, _ := play(b, "too-early")
	now := l.Clock.Now().In(time.FixedZone("", -3600)) // the drill ends now, at its 14:10
	b.Get(at).Says(http.StatusOK, ", planned infusion "+now.Add(23*time.Hour+20*time.Minute).Format("2006-01-02 15:04"),
		", "+now.Add(-175*time.Minute).Format("15:04")+": drawn, from ")
}

// Every drill can be started by anyone who prepares, and meets what it says it does
// in the books of the laboratory, also beside others.
func TestEveryDrillIsPlayedInTheBooks(t *testing.T) {
	l := practiceLab(t)
	b := l.As("T1")
	drills, err := drill.All(time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range drills {
		at, prefix := play(b, d.Name)
		b.Get(at).Says(http.StatusOK, d.Title)
		f, _ := l.Server.Lab.OrderFile(prefix+"P1", nil)
		st := l.Reckoned(f)
		found := map[string]bool{}
		for _, x := range st.Result.Findings {
			e, _ := st.File.Entry(x.Entry)
			for _, s := range fact.Subjects(e.Fact) {
				found[string(x.Code)] = found[string(x.Code)] || strings.HasPrefix(s.ID, prefix)
			}
		}
		for _, code := range d.Met {
			if !found[code] {
				t.Errorf("%s: %s is not found in the books", d.Name, code)
			}
		}
		b.Get("/order/"+prefix+"P1").Says(http.StatusOK, kit.PracticeMark)
	}
	b.Get("/").Says(http.StatusOK)
}

// The vials and orders of a drill stay with it: no order of the laboratory is planned from
// them, and neither the board, nor the plan, nor the inventory has them.
func TestDrillStaysApart(t *testing.T) {
	l := practiceLab(t)
	b, rp := l.As("T1"), l.As("RP1")
	rp.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P2", "p0.patient", "DEMO-2", "p0.territory", "right lobe",
		"p0.prescribed", "1", "p0.prescribed.unit", "GBq", "p0.at", l.Clock.Now().Add(3*time.Hour).Format("2006-01-02T15:04"), "p0.by", "D. Example").Recorded()
	at, prefix := play(b, "small-dose")
	for _, path := range []string{"/", "/order/P2", "/plan", "/day", "/inventory", "/waste"} {
		if text := rp.Get(path).Says(http.StatusOK).Text(); strings.Contains(text, prefix) {
			t.Errorf("%s has what is of the drill: %s", path, text)
		}
	}
	b.Get("/order/"+prefix+"P1").Says(http.StatusOK, prefix+"S1")
	b.Get(at).Says(http.StatusOK, prefix+"P1")
	if text := b.Get("/order/" + prefix + "P1").Text(); strings.Contains(text, "order P2") {
		t.Errorf("the drill has an order of the laboratory: %s", text)
	}
}
