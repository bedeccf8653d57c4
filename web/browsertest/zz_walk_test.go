package browsertest

import (
	"os"
	"path/filepath"
	"testing"
)

func TestZZWalk(t *testing.T) {
	y := begin(t, keys{})
	dir := "/tmp/walk"
	take := func(d *desk, name string) {
		_ = os.WriteFile(filepath.Join(dir, name+".png"), d.shot(), 0o644)
	}
	out := sit(t, y.base, "nobody", keys{})
	out.goTo("/sign-in")
	take(out, "00-sign-in")
	for i, s := range theDay {
		who := y.worker()
		switch s.key {
		case "second-check":
			who = y.checker()
		case "release", "close":
			who = y.releaser()
		case "time-out", "infusion":
			who = y.nurse()
		}
		who.goTo(y.bench)
		take(who, string(rune('a'+i))+"-"+s.key)
		if s.key == "second-check" {
			who.goTo(y.bench + "/check")
			take(who, string(rune('a'+i))+"-check2")
		}
		if s.key == "time-out" {
			who.goTo(y.bench + "/timeout")
			take(who, string(rune('a'+i))+"-timeout2")
		}
		s.do(y)
	}
	for _, p := range []string{"/", y.case_, y.case_ + "/history", "/waste", "/doses", "/health", y.case_ + "/settings", y.case_ + "/paper", "/learned", "/charts", "/me"} {
		y.releaser().goTo(p)
		take(y.releaser(), "z"+filepath.Base(p))
	}
}
