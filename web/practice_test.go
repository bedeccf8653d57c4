package web

import (
	"context"
	"encoding/csv"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/drill"
	"vialwright/fact"
)

// practiceLab is the invented laboratory of the drills.
func practiceLab(tb testing.TB) *lab1 {
	tb.Helper()
	f, err := casefile.Decode([]byte(drill.Laboratory()+"entries: []\n"), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return newLab1(tb, func(c *Config) { c.Practice, c.Site = true, f.Facts[1:] }).hire()
}

// play starts a drill and gives the page of it.
func (b *browser) play(name string) (at string, prefix string) {
	b.Helper()
	p := b.fill("/practice", "drill-"+name, "/practice/drill").recorded()
	n := strings.TrimPrefix(p.location, "/practice/drill/")
	return p.location, "D" + n + "-"
}

// answers sends an answer to a drill: the number of an entry of its file, and a
// kind of accident.
func (b *browser) answers(at string, entry int, accident string) *page {
	b.Helper()
	n, err := strconv.Atoi(strings.TrimPrefix(at, "/practice/drill/"))
	if err != nil {
		b.Fatal(err)
	}
	return b.fill(at, "answer", at, "entry", strconv.Itoa(n+entry), "accident", accident)
}

// The clock of a practice laboratory is put forward and what the board says goes
// with it; nobody is signed out by it, and a restart goes on from there.
func TestPracticeClock(t *testing.T) {
	l := practiceLab(t)
	b := l.as("T1")
	_, prefix := b.play("small-dose")
	b.get("/").says(http.StatusOK, PracticeMark)
	before := b.get("/order/" + prefix + "P1").text()
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
		p := b.fill("/practice", "clock", "/practice/clock", "to", x.to)
		if p.status != x.status || !strings.Contains(strings.ToLower(p.text()), strings.ToLower(x.says)) {
			t.Errorf("%s: %d %s", x.to, p.status, p.text())
		}
	}
	const ahead = PracticeMark + ", clock +5 h 30 min"
	for _, path := range []string{"/", "/practice", "/order/" + prefix + "P1", "/history", "/nowhere"} {
		if text := b.get(path).text(); strings.Count(text, ahead) < 2 { // and on its pictures
			t.Errorf("%s is not marked above and below: %s", path, text)
		}
	}
	// The infusion was planned for 14:30, four and a half hours behind the start.
	b.get("/").says(http.StatusOK, "The infusion time of order "+prefix+"P1 has passed")
	paper := strings.ToUpper(PracticeMark) + ", clock +5 h 30 min"
	for _, path := range []string{"/blank.pdf", "/sheet/" + prefix + "P1.pdf"} {
		if text := b.printed(path); strings.Count(text, paper) != strings.Count(text, "\f") {
			t.Errorf("%s: not every page is marked %q: %s", path, paper, text)
		}
	}
	again, err := New(context.Background(), l.cfg)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if got := again.Clock().Sub(l.clock.now()); got != 5*time.Hour+30*time.Minute {
		t.Errorf("after a restart the clock is %s ahead", got)
	}
}

// A form that comes twice puts the clock forward once; one that was opened
// before somebody else put it forward may not put it back.
func TestPracticeClockOnce(t *testing.T) {
	l := practiceLab(t)
	b, other := l.as("T1"), l.as("RP1")
	form := b.look("/practice").form("clock")
	form.Set("to", "11:00")
	b.post("/practice/clock", form).recorded()
	b.post("/practice/clock", form).recorded()
	if got := l.srv.PracticeClock.Ahead(); got != time.Hour {
		t.Errorf("%s ahead", got)
	}
	old := other.look("/practice").form("clock")
	b.fill("/practice", "clock", "/practice/clock", "to", "12:00").recorded()
	old.Set("to", "11:30")
	other.post("/practice/clock", old).says(http.StatusUnprocessableEntity, "never put back")
}

// In a laboratory for patients there is no practice: no page, no clock, no
// drill, and no entry of it can be in its books.
func TestNoPracticeForPatients(t *testing.T) {
	l := newLab1(t, nil).hire()
	b := l.as("T1")
	for _, r := range l.srv.routeTable() {
		path := strings.Replace(r.Path, "{run}", "1", 1)
		if !strings.HasPrefix(path, "/practice") {
			continue
		}
		p := b.get(path)
		if r.Method == http.MethodPost {
			p = b.post(path, url.Values{"nonce": {"x"}, "to": {"23:00"}, "drill": {"slipped-digit"}})
		}
		p.says(http.StatusNotFound, "this laboratory is for patients")
	}
	if strings.Contains(b.get("/").body, `href="/practice`) || l.srv.lab.Report().Records != 3 {
		t.Error("there is practice in a laboratory for patients")
	}
	c := l.cfg
	c.PracticeClock = NewPracticeClock(l.clock.now)
	if _, err := New(context.Background(), c); err == nil {
		t.Error("a practice clock was taken for a laboratory for patients")
	}
}

// A drill is played at the bench, answered, corrected or stopped, and what each
// person did is the record of practice.
func TestDrillIsPlayed(t *testing.T) {
	l := practiceLab(t)
	b, other := l.as("T1"), l.as("RP1")

	at, prefix := b.play("slipped-digit")
	b.get(at).says(http.StatusOK, "Four readings before lunch", "Which entry is wrong")
	b.get("/order/"+prefix+"P1").says(http.StatusOK, "1.39 GBq")
	if text := b.get(at).text(); strings.Contains(text, "two digits swapped") || strings.Contains(text, "Modelled on") {
		t.Errorf("the page gives the answer away: %s", text)
	}
	other.get(at).says(http.StatusOK, "This drill is played by T. Example")
	b.answers(at, 4, "slipped digit").recorded()
	b.get(at).says(http.StatusOK, "Not caught")
	l.clock.add(90 * time.Second)
	b.answers(at, 6, "slipped digit").recorded()
	b.get(at).says(http.StatusOK, "Caught", "two digits swapped", "event notification 44461")

	// RP1 mends a reading in a drill of their own, and stops another one.
	at2, prefix2 := other.play("gbq-for-mci")
	n, _ := strconv.Atoi(strings.TrimPrefix(at2, "/practice/drill/"))
	wrong := "/entry/" + strconv.Itoa(n+6) + "/correct"
	other.fill(wrong, "correct", wrong, "p0.with.read.gross", "50.3 mCi", "p0.reason", "the meter showed mCi").recorded()
	other.get(at2).says(http.StatusOK, "Caught", "Corrected entry "+strconv.Itoa(n+6))
	if text := other.get("/order/" + prefix2 + "P1").text(); strings.Contains(text, "50.3 GBq") {
		t.Errorf("the bench still goes by the slip: %s", text)
	}
	at3, _ := other.play("undrawn-vial")
	other.answers(at3, 0, notFound).recorded()
	other.get(at3).says(http.StatusOK, "Not caught", "I do not find it", "undrawn vial")

	b.get("/practice").says(http.StatusOK, "T. Example (T1)", "R. Example (RP1)", "1 min 30 s")
	rows, err := csv.NewReader(strings.NewReader(b.get("/practice/record.csv").body)).ReadAll()
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

// Every drill can be started by whoever prepares, and meets what it says it does
// in the books of the laboratory, also beside others.
func TestEveryDrillIsPlayedInTheBooks(t *testing.T) {
	l := practiceLab(t)
	b := l.as("T1")
	drills, err := drill.All(time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range drills {
		at, prefix := b.play(d.Name)
		b.get(at).says(http.StatusOK, d.Title)
		st, err := l.srv.reckonFor(l.srv.openFile(l.clock.now()), l.clock.now(), "")
		if err != nil {
			t.Fatal(err)
		}
		found := map[string]bool{}
		for _, x := range st.Result.Findings {
			e, _ := st.file.Entry(x.Entry)
			for _, s := range fact.Subjects(e.Fact) {
				found[string(x.Code)] = found[string(x.Code)] || strings.HasPrefix(s.ID, prefix)
			}
		}
		for _, code := range d.Met {
			if !found[code] {
				t.Errorf("%s: %s is not found in the books", d.Name, code)
			}
		}
		b.get("/order/"+prefix+"P1").says(http.StatusOK, PracticeMark)
	}
	b.get("/").says(http.StatusOK)
}
