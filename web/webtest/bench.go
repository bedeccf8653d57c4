package webtest

import (
	"fmt"
	"html"
	"math"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Doses are doses prepared and given at the bench in an invented morning, each entry by its
// form. What the meters read follows from what was drawn.
type Doses struct {
	*Lab
	// yield is what is drawn of the activity for each part of the volume.
	yield float64
	vials map[string]*shipped
	label map[string]string
	dose  map[string]drawn
}

// shipped is what is truly in a vial: activity in GBq at an instant, and its volume in mL.
type shipped struct {
	at               time.Time
	activity, volume float64
}

type drawn struct {
	at       time.Time
	activity float64
	from     string
}

// halfLife is that of Y-90 in hours, as the nuclide data of the program have it.
const halfLife = 64.0417

// NewDoses are those of a [Morning], out of its three vials.
func NewDoses(l *Lab) *Doses {
	d := &Doses{Lab: l, yield: 0.995, vials: map[string]*shipped{}, label: map[string]string{}, dose: map[string]drawn{}}
	for i := range 3 {
		read := time.Date(2027, 3, 4, 7, 55+i, 0, 0, time.FixedZone("", -3600))
		d.vials[fmt.Sprint("S", i+1)] = &shipped{at: read, activity: 3.3398, volume: 5}
	}
	return d
}

// decayed is what is left of an activity.
func decayed(a float64, from, to time.Time) float64 {
	return a * math.Exp2(-to.Sub(from).Hours()/halfLife)
}

// read is what a meter reads, with the background that is not taken off.
func read(a float64) string { return strconv.FormatFloat(a+0.0002, 'f', 4, 64) }

// step sends the form of a step of an order. A question is answered by its first answer,
// which goes on.
func (d *Doses) step(b *Browser, order, key string, changes ...string) {
	d.Helper()
	at := "/order/" + order + "/step/" + key
	d.sent(b, at, changes...)
}

func (d *Doses) sent(b *Browser, at string, changes ...string) {
	d.Helper()
	p := b.Fill(at, "step", at, changes...)
	for range 3 { // questions one behind the other
		all := answers.FindAllStringSubmatch(p.Body, -1)
		if p.Status != http.StatusUnprocessableEntity || len(all) == 0 {
			break
		}
		v := p.Form("step")
		for _, m := range slices.Backward(all) { // the first stays
			v.Set(m[1], html.UnescapeString(m[2]))
		}
		if v.Has("pin") {
			v.Set("pin", PIN)
		}
		for i := 0; i+1 < len(changes); i += 2 {
			v.Set(changes[i], changes[i+1])
		}
		p = b.Post(at, v)
	}
	if p.Status != http.StatusSeeOther {
		d.Fatalf("%s: %d %v %s", at, p.Status, errors.FindAllString(p.Body, -1), p.Text())
	}
}

var (
	answers = regexp.MustCompile(`name="([^"]+\.answer)" value="([^"]*)"`)
	errors  = regexp.MustCompile(`class="error">[^<]*`)
)

// Prepare prepares the dose of an order by the bench, up to its release: so much of a vial
// from an hour of the morning on. The second check is made by MP1.
func (d *Doses) Prepare(order, vial, volume, from string) {
	d.Helper()
	t1 := d.As("T1")
	hour, minute, _ := strings.Cut(from, ":")
	h, _ := strconv.Atoi(hour)
	begin, _ := strconv.Atoi(minute)
	at := func(n int) { d.Clock.Set(fmt.Sprintf("%02d:%02d", h+(begin+n)/60, (begin+n)%60)) }
	at(0)
	if d.label["ready"] == "" {
		var all []string
		for n := range 6 {
			all = append(all, fmt.Sprintf("p%d.result", n), "pass")
		}
		d.step(t1, order, "readiness", all...)
		d.label["ready"] = "today"
	}
	t1.Fill("/order/"+order, "resuspend", "/order/"+order+"/step/resuspend", "p0.of", vial).Recorded()
	into := "Y-" + order
	d.step(t1, order, "draw", "p0.volume", volume, "p0.from", vial, "p0.into", into, "p0.scanned", vial)
	now := d.Clock.Now()
	s, v := d.vials[vial], number(volume)
	s.activity, s.at = decayed(s.activity, s.at, now), now
	x := drawn{now, s.activity * d.yield * v / s.volume, vial}
	s.activity -= x.activity
	s.volume -= v
	d.dose[order] = x
	at(4)
	d.step(t1, order, "remainder", "p0.gross", d.gross(vial), "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq")
	at(6)
	d.step(t1, order, "make-up", "p0.volume", strconv.FormatFloat(3.5-v, 'f', 1, 64), "p0.diluent", "water for injection", "p0.lot", "W-77")
	at(8)
	d.step(t1, order, "transfer")
	at(10)
	d.Baseline(order)
	at(12)
	d.Check(order)
	at(14)
	d.Release(order)
}

// gross is what the meter reads of a vial now.
func (d *Doses) gross(vial string) string {
	s := d.vials[vial]
	return read(decayed(s.activity, s.at, d.Clock.Now()))
}

// Baseline reads the dose rate of the full container of an order.
func (d *Doses) Baseline(order string) {
	d.Helper()
	d.step(d.As("T1"), order, "baseline", "p0.before.rate", "182 180 184 181", "p0.before.background", "0.2")
}

// Check makes the second check of an order by another reading of the remainder.
func (d *Doses) Check(order string) {
	d.Helper()
	x := d.dose[order]
	d.sent(d.As("MP1"), "/order/"+order+"/check", "p0.gross", d.gross(x.from), "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq",
		"p0.activity", strconv.FormatFloat(decayed(x.activity, x.at, planned(order)), 'f', 3, 64), "p0.activity.unit", "GBq")
}

// planned is when an order of a [Morning] is infused by its physician's word.
func planned(order string) time.Time {
	return time.Date(2027, 3, 4, 9+int(order[1]-'0'), 0, 0, 0, time.FixedZone("", -3600))
}

// Release labels the dose of an order and releases it.
func (d *Doses) Release(order string) {
	d.Helper()
	t1 := d.As("T1")
	d.step(t1, order, "label")
	m := LabelLink.FindStringSubmatch(t1.Look("/order/" + order).Body)
	if m == nil {
		d.Fatalf("no label of %s", order)
	}
	d.label[order] = m[1]
	d.Clock.Add(time.Minute)
	d.step(d.As("RP1"), order, "release", "p0.serial", m[1])
}

// Reassign gives the dose of a cancelled order to another.
func (d *Doses) Reassign(from, to string) {
	d.Helper()
	d.As("RP1").Fill("/order/"+from, "reassign", "/order/"+from+"/step/reassign", "p0.to", to).Recorded()
	d.GivenAway(from, to)
}

// GivenAway notes that a dose was given to another order.
func (d *Doses) GivenAway(from, to string) { d.dose[to] = d.dose[from] }

// Cancel cancels the preparation of an order.
func (d *Doses) Cancel(order, reason string) {
	d.Helper()
	d.As("T1").Fill("/order/"+order, "cancel", "/order/"+order+"/step/cancel", "p0.reason", reason).Recorded()
}

// HandOver hands the dose of an order over, with the time-out in the suite at a full hour.
func (d *Doses) HandOver(order string, hour int) {
	d.Helper()
	d.step(d.As("RP1"), order, "hand-over", "p0.serial", d.label[order], "p0.to", "SN1", "p0.place", "suite 1", "pin2", PIN)
	d.Clock.Set(fmt.Sprintf("%02d:00", hour))
	x := d.dose[order]
	d.sent(d.As("SN1"), "/order/"+order+"/time-out", "p0.patient", "DEMO-"+order[1:], "p0.territory", "right lobe",
		"p0.activity", strconv.FormatFloat(decayed(x.activity, x.at, planned(order)), 'f', 3, 64), "p0.activity.unit", "GBq", "p0.with", "DR1", "pin2", PIN)
}

// Give infuses the dose of an order in an hour.
func (d *Doses) Give(order string, hour int) {
	d.Helper()
	d.Clock.Set(fmt.Sprintf("%02d:40", hour))
	when := func(m int) string { return fmt.Sprintf("2027-03-04T%02d:%02d", hour, m) }
	d.step(d.As("SN1"), order, "infusion", "p0.start", when(2), "p0.stop", when(35), "p0.reason", "complete")
}

func number(text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(err)
	}
	return x
}
