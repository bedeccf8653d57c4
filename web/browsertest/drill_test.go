package browsertest

import (
	"strconv"
	"strings"
	"testing"
)

// A trainee starts a drill, sees at the bench what the program finds, says which
// entry is wrong, reads what it was, and puts the clock forward to see the dose
// too old: by keys on a screen, and by touch on a phone.
func TestDrillIsWalked(t *testing.T) {
	for _, h := range []hand{keys{}, touch{}} {
		base := open(t)
		d := signedIn(t, base, "NT1", h)
		d.look = marked
		d.goTo("/practice")
		d.says("main", "Two lobes, one patient")
		d.send("drill-territories-swapped")
		at := d.location()
		started, err := strconv.Atoi(strings.TrimPrefix(at, "/practice/drill/"))
		if err != nil {
			t.Fatalf("the drill led to %s", at)
		}
		d.goTo("/order/D" + strconv.Itoa(started) + "-P1")
		d.says("main", "-30.4 % from the prescribed")
		d.goTo(at)
		d.pick("answer", "entry", strconv.Itoa(started+7))
		d.pick("answer", "accident", "territories swapped")
		d.send("answer")
		d.says("main", "Caught")
		d.says("main", "no published report")
		d.goTo("/practice")
		d.says("main", "Nuno Invented (NT1)")
		d.fill("clock", "to", "00:00")
		d.send("clock")
		d.says("#clock", "never put back")
	}
}
