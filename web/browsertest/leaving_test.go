package browsertest

import (
	"strings"
	"testing"
	"time"
)

// TestLeaving walks the forms by which what is left of a vial leaves or stays: it is kept for
// another day, added to waste, sent back as an empty package, handed on, or lost, and only for an
// empty package readings are asked. Waste bins then asks for it no more, and the inventory says
// where it is. That the rest of a vial goes to another order on another day, and a dose to another
// order, is walked in TestTwoDays.
func TestLeaving(t *testing.T) {
	d := signedIn(t, open(t, "--past", "20"), "NT1", touch{})
	const day = 24 * time.Hour
	in := func(x time.Duration) string { return time.Now().Add(x).UTC().Format("2006-01-02T15:04Z07:00") }
	for _, vial := range []string{"S70", "S71", "S72"} {
		d.goTo("/day/enter/receive")
		for _, f := range [][2]string{{"vial", vial}, {"lot", "L-" + vial}, {"labelled", "3.0"}, {"reference", in(day)}, {"volume", "5.0"}} {
			d.fill("receive", "p0."+f[0], f[1])
		}
		d.pick("receive", "p0.labelled.unit", "GBq")
		if r := d.send("receive"); r.Status != 200 {
			t.Fatalf("%s is not received: %d\n%s", vial, r.Status, d.text("main"))
		}
	}
	d.goTo("/bins")
	d.tells("The records of all orders of S17 are closed, and nobody said where it is")
	wipe := [][2]string{{"gross", "110"}, {"time", "60"}, {"blank", "100"}, {"blank-time", "60"}, {"efficiency", "40"}, {"removed", "10"}, {"area", "100"}}
	for _, c := range []struct {
		form, vial, field string
		fill, pick        [][2]string
		measured          bool
		where             string
	}{
		{"keep-stock", "S17", "of", [][2]string{{"store", "safe 2"}, {"until", in(7 * day)}}, nil, false, "S17vial"},
		{"left-site", "S17", "of", [][2]string{{"surface", "0.3"}, {"reason", "not needed"}}, [][2]string{{"surface.unit", "uSv/h"}, {"old-labels", "yes"}, {"empty-label", "yes"}}, true, "S17sent back"},
		{"handed-on", "S70", "of", [][2]string{{"to", "an invented laboratory"}, {"reason", "they use it up"}}, nil, false, "S70handed on"},
		{"lost", "S71", "of", [][2]string{{"reason", "not found"}}, nil, false, "S71lost"},
		{"discard", "S72", "from", nil, nil, false, ""}, // into the item that is proposed
	} {
		at := "/hot-lab/enter/" + c.form
		if c.form == "discard" {
			at = "/day/enter/discard"
		}
		d.goTo(at)
		if got := strings.Contains(d.text("main"), "Wipe of the inside"); got != c.measured {
			t.Errorf("%s: readings are asked: %v", c.form, got)
		}
		d.pick(c.form, "p0."+c.field, c.vial)
		fill := c.fill
		if c.measured {
			for _, f := range wipe {
				fill = append(fill, [2]string{"inside." + f[0], f[1]})
			}
			c.pick = append(c.pick, [2]string{"inside.time.unit", "s"}, [2]string{"inside.blank-time.unit", "s"})
		}
		for _, f := range fill {
			d.fill(c.form, "p0."+f[0], f[1])
		}
		for _, f := range c.pick {
			d.pick(c.form, "p0."+f[0], f[1])
		}
		if c.form == "discard" {
			c.where = d.value(c.form, "p0.into") + "waste bin"
		}
		d.atEachSize("leaving-"+c.form, crooked)
		if r := d.send(c.form); r.Status != 200 {
			t.Fatalf("%s: %d\n%s", c.form, r.Status, d.text("main"))
		}
		d.says("#notices", "recorded")
		d.goTo("/bins")
		if text := ask[string](d, `document.querySelector("main").textContent`); strings.Contains(text, "The records of all orders of "+c.vial) {
			t.Errorf("after %s Waste bins still asks for %s", c.form, c.vial)
		}
		d.goTo("/inventory")
		d.tells(c.where)
	}
}
