package plan_test

import (
	"bytes"
	"context"
	"log/slog"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-ical"

	"vialwright/store/vault"
	"vialwright/web"
	"vialwright/web/webtest"
)

// kept is a vault that notes what is put into it.
type kept struct {
	vault.Vault
	all bytes.Buffer
}

func (k *kept) Put(ctx context.Context, now time.Time, shelf vault.Shelf, key string, item vault.Item) (int64, error) {
	k.all.WriteString(key + "\n" + string(item.Value) + "\n")
	return k.Vault.Put(ctx, now, shelf, key, item)
}

var calendarAddress = regexp.MustCompile(`https?://[^/ ]+(/calendar/[A-Z0-9]+/([A-Za-z0-9_-]{43})\.ics)`)

// address makes an address for a person; path and token.
func address(t *testing.T, b *webtest.Browser) (path, token string) {
	t.Helper()
	b.Look("/plan/calendar")
	m := calendarAddress.FindStringSubmatch(b.Post("/plan/calendar", url.Values{}).Says(http.StatusOK, "The address is shown this once.").Text())
	if m == nil {
		t.Fatal("no address")
	}
	return m[1], m[2]
}

// TestCalendar reads the feed with another library than the one that wrote it: draws and
// infusions of the plan that was taken, the parcel that is due, the test that is due, and
// no patient.
func TestCalendar(t *testing.T) {
	m := newMorning(t)
	m.take("/plan")
	m.Tell(
		"expect-parcel: {parcel: PC9, vials: 1, labelled: 3 GBq, reference: 2027-03-06T18:00-01:00, due: 2027-03-05T09:30, at: 2027-03-04T08:10}",
		"calibration: {of: M1, container: syringe, factor: 1, u: 1 %, basis: label, low: 100 MBq, high: 3 GBq, due: 2027-03-20T08:00, from: 2027-03-01T08:00}",
		"instrument: {id: M1, what: activity-meter, state: in-use, model: invented, serial: \"1\", calibrated: 2027-03-01T08:00, due: 2027-03-19T08:00, at: 2027-03-01T08:00}",
		"order: {id: P7, patient: DEMO-7, prescribed: 1 GBq, at: 2027-03-05T10:00}",
		offer("OF1", "04T19:00", "06", ""), offer("PC9", "04T19:00", "05", ""), // the second is ordered
		"cancel: {for: P6, reason: patient unwell, at: 2027-03-04T08:20}",
	)
	m.Clock.Set("08:30")
	path, _ := address(t, m.t1)
	page := m.Browser().Get(path) // nobody is signed in
	if page.Status != http.StatusOK || strings.Contains(page.Body, "DEMO") {
		t.Fatalf("%d %s", page.Status, page.Body)
	}
	cal, err := ical.NewDecoder(strings.NewReader(page.Body)).Decode()
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, e := range cal.Events() {
		name, _ := e.Props.Text(ical.PropSummary)
		at, err := e.DateTimeStart(time.UTC)
		if err != nil {
			t.Error(err)
		}
		got[strings.TrimPrefix(name, "PRACTICE: ")] = at.Format("01-02T15:04")
	}
	plan := m.plans()[0]
	want := map[string]string{ // the site is an hour behind UTC
		"Infusion of P7":                        "03-05T11:00",
		"Delivery of parcel PC9":                "03-05T10:30",
		"Order by: offer OF1":                   "03-04T10:00",
		"Test due: calibration of M1":           "03-19T09:00",
		"Test due: " + syringeFactor + " of M1": "03-20T09:00",
	}
	for _, r := range plan.Rows {
		if r.Order != "P6" {
			want["Draw for "+r.Order+" from "+r.Source] = r.Draw.UTC().Format("01-02T15:04")
			want["Infusion of "+r.Order] = r.Infuse.UTC().Format("01-02T15:04")
		}
	}
	for name, at := range want {
		if got[name] != at {
			t.Errorf("%s at %q, want %s", name, got[name], at)
		}
	}
	for name := range got {
		if want[name] == "" {
			t.Errorf("%s at %s is not wanted", name, got[name])
		}
	}
}

const syringeFactor = "calibration for the syringe"

// TestCalendarToken: an address opens the feed for as long as its owner wants and is let,
// and no other address does; which part of one is wrong cannot be told. The token is in
// neither vault nor log.
func TestCalendarToken(t *testing.T) {
	var log bytes.Buffer
	spy := &kept{}
	l := webtest.Morning(webtest.New(t, func(c *web.Config) {
		webtest.InPractice(c)
		spy.Vault = c.Vault
		c.Vault, c.Logger = spy, slog.New(slog.NewTextHandler(&log, nil))
	}).Hire())
	t1, nobody := l.As("T1"), l.Browser()
	open := func(path string) bool { return nobody.Get(path).Status == http.StatusOK }
	path, token := address(t, t1)
	if !open(path) {
		t.Fatal("the address does not open the feed")
	}
	if strings.Contains(spy.all.String(), token) || strings.Contains(log.String(), token) {
		t.Error("the token is kept, or in the log")
	}
	if !strings.Contains(spy.all.String(), "calendar\nT1") {
		t.Error("nothing of it is kept: the check of the vault looks in the wrong place")
	}
	none := nobody.Get("/calendar/T1/x.ics")
	other := "A"
	if token[:1] == other {
		other = "B"
	}
	for _, wrong := range []string{
		"/calendar/T1/" + other + token[1:] + ".ics", "/calendar/T1/" + token[:42] + ".ics", "/calendar/T1/" + token, "/calendar/T1/.ics",
		"/calendar/T2/" + token + ".ics", "/calendar/NOBODY/" + token + ".ics", "/calendar/T1/" + strings.Repeat("A", 43) + ".ics",
	} {
		if p := nobody.Get(wrong); p.Status != http.StatusNotFound || p.Text() != none.Text() {
			t.Errorf("%s: %d %s", wrong, p.Status, p.Text())
		}
	}
	if text := t1.Look("/plan/calendar").Text(); strings.Contains(text, token) {
		t.Error("the address is shown a second time")
	}
	second, again := address(t, t1)
	if open(path) || !open(second) || again == token {
		t.Error("the address before is still good, or the new one is not")
	}
	t1.Post("/plan/calendar/withdraw", url.Values{}).Recorded()
	if open(second) {
		t.Error("an address that was withdrawn is good")
	}
	third, _ := address(t, t1)
	t1.Post("/me/password", url.Values{"old": {webtest.Password}, "password": {"four unrelated invented words"}}).Recorded()
	if open(third) {
		t.Error("an address outlives the password")
	}
	fourth, _ := address(t, l.AsElsewhere("T2"))
	l.Clock.Add(364 * 24 * time.Hour)
	if !open(fourth) {
		t.Error("an address ends within a year")
	}
	l.Clock.Add(2 * 24 * time.Hour)
	if open(fourth) {
		t.Error("an address is good after a year")
	}
}

// TestCalendarOfWhoLeft: an account that is switched off has no calendar.
func TestCalendarOfWhoLeft(t *testing.T) {
	l := webtest.Morning(webtest.New(t, webtest.InPractice).Hire())
	path, _ := address(t, l.As("T2"))
	l.AsElsewhere("AD1").Fill("/people/T2", "change", "/people/T2", "active", "no").Recorded()
	if p := l.Browser().Get(path); p.Status != http.StatusNotFound {
		t.Errorf("%d", p.Status)
	}
}
