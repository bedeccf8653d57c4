package browsertest

import (
	"path/filepath"
	"testing"

	"vialwright/store/postgres/pgtest"
)

// TestFailover: the database server is lost under an open page, and the standby takes
// its place. The page says that it has no connection, and goes on by itself once there
// is a server: what was typed before, and meanwhile, stands there and is recorded.
func TestFailover(t *testing.T) {
	needsBrowser(t)
	primary, standby := pgtest.StartPair(t)
	primary.Database(t) // from here on the standby is there
	y := begin(t, keys{}, "--journal", primary.Either(standby, "postgres"), "--key", filepath.Join(t.TempDir(), "site.key"))
	y.readiness()
	d := y.worker()
	y.at(d, "Assay of vial")
	d.fill("step", "p0.gross", "3.17")
	d.pick("step", "p0.gross.unit", "GBq")
	primary.Kill(t)
	d.wait("it says so", `!!document.getElementById("live-notice")?.textContent.includes("No connection")`)
	d.fill("step", "p0.background", "0.2")
	d.pick("step", "p0.background.unit", "MBq")
	standby.Promote(t)
	d.wait("it is connected again", `!document.getElementById("live-notice")`)
	for name, want := range map[string]string{"p0.gross": "3.17", "p0.gross.unit": "GBq", "p0.background": "0.2", "p0.background.unit": "MBq"} {
		if got := d.value("step", name); got != want {
			t.Errorf("%s was %q, and is %q", name, want, got)
		}
	}
	y.sent(d)
	d.goTo("/history")
	d.says("main", "3.17 GBq")
}
