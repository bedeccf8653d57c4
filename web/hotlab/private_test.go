package hotlab_test

import (
	"archive/zip"
	"bytes"
	"io"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"vialwright/hotlab"
)

// A declared pregnancy is on the pages of the person and of those who have to act on it,
// and on no page, event and export of anybody else.
func TestPregnancyIsPrivate(t *testing.T) {
	now := day(t, "2027-04-02 09:00")
	l := withQuarter(t, &now, hotlab.FetusDose)
	reveals := regexp.MustCompile(`(?i)pregnan|fetus|unborn|declar`)
	mp := l.As("MP1")
	enter := func(kind, who string, values ...string) {
		t.Helper()
		mp.Fill("/hot-lab/enter/"+kind, kind, "/hot-lab/enter/"+kind, append(values, "p0.who", who)...).Recorded()
	}
	enter("pregnancy", "T1")
	enter("wears", "T1", "p0.worn", "fetus", "p0.from", "2027-02-01T00:00")
	enter("dose-report", "T1", "p0.dosemeter", "D-9", "p0.worn", "fetus", "p0.from", "2027-03-01T00:00", "p0.to", "2027-04-01T00:00", "p0.measured", "6.0", "p0.measured.unit", "mSv")
	for _, who := range []string{"MP1", "T1"} {
		p := l.AsElsewhere(who)
		p.Look("/persons").Says(http.StatusOK, ", pregnancy", "declared for", "fetus 6")
		p.Look("/history").Says(http.StatusOK, "pregnancy declared")
	}
	for _, who := range []string{"RP1", "T2", "DR1", "SN1", "OB1"} {
		p := l.AsElsewhere(who)
		for _, path := range []string{"/", "/history", "/persons", "/doses", "/inventory", "/parcels", "/surveys", "/bins", "/experience", "/export"} {
			// The link to the form is on the page of everybody who may enter one.
			body := strings.NewReplacer("/hot-lab/enter/pregnancy", "", "Enter a declared pregnancy", "").Replace(p.Look(path).Body)
			if found := reveals.FindStringIndex(body); found != nil {
				t.Errorf("%s reads on %s: %s", who, path, body[max(0, found[0]-100):min(len(body), found[1]+100)])
			}
		}
	}
	rp := l.AsElsewhere("RP1")
	rp.Look("/history").Says(http.StatusOK, "withheld")
	rp.Look("/entry/212/correct").Says(http.StatusForbidden, "private to a person")
	got := rp.Post("/export/days", url.Values{"from": {"2027-01-01"}, "to": {"2027-04-30"}})
	z, err := zip.NewReader(bytes.NewReader([]byte(got.Body)), int64(len(got.Body)))
	if err != nil {
		t.Fatalf("the archive: %v %.200s", err, got.Body)
	}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if f.Name == "records.txt" && !bytes.Contains(data, []byte("point-reading")) {
			t.Error("the records are not there")
		}
		if found := reveals.Find(data); found != nil {
			t.Errorf("%s says %s", f.Name, found)
		}
		if f.Name == "README.txt" && !bytes.Contains(data, []byte("is withheld")) {
			t.Error("the archive does not say that it withholds")
		}
	}
}
