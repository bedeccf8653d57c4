package dispensing

import (
	"fmt"
	"math"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/uncertainty"
)

// JarUsual is what the site's survey meter has read of full doses in the site's
// geometry, for each gigabecquerel: a witness of the activity that is independent
// of the activity meter. The zero value is a site without a history.
type JarUsual struct {
	// PerGBq is the mean and SD the standard deviation of one dose, in base units
	// of Family for each GBq.
	PerGBq, SD float64
	Family     string
	// Cases are the doses it rests on.
	Cases int
}

// leastJars is from how many doses a history is one: below it the published
// order of magnitude stands in (common practice, no source).
const leastJars = 3

// JarUsualOf learns from net rates per GBq, all of one family. Fewer than three
// give no history, nor do some that scatter by their mean or more.
func JarUsualOf(perGBq []float64, family string) JarUsual {
	n := float64(len(perGBq))
	if len(perGBq) < leastJars {
		return JarUsual{}
	}
	var sum, squares float64
	for _, x := range perGBq {
		sum += x
	}
	for _, x := range perGBq {
		squares += sq(x - sum/n)
	}
	mean, sd := sum/n, math.Sqrt(squares/(n-1))
	if !(sd < mean) { // one of a few was read in another unit or place: nothing is usual
		return JarUsual{}
	}
	return JarUsual{mean, sd, family, len(perGBq)}
}

// within is how far the next dose of this site may lie from the mean: the
// interval that holds 99.73 % of them, by Student's t of a sample of that size
// (JCGM 100:2008, G.3), and at least a quarter of the mean, below which meters
// and jigs differ from day to day (common practice, no source).
func (j JarUsual) within() float64 {
	k, _ := uncertainty.New(0, 1, "", float64(j.Cases-1)).Coverage(0.9973)
	return max(k*j.SD*math.Sqrt(1+1/float64(j.Cases)), jarApart*j.PerGBq)
}

const jarApart = 0.25

// PerGBqAtContact is the mean dose rate at contact with a patient for each GBq, by the unit
// of the meter; it scatters by 23 uSv/h (Cournane et al., Phys Med 65 (2019) 121). For this
// order of magnitude a gray in air is a sievert, and 1 mR is 10 uSv (common practice, no
// source). A count rate has no such figure. A shielded vial at 30 cm reads as much, 0.1 mSv/h
// of 3.4 GBq (poster 181, aimn.meetingup.it).
var PerGBqAtContact = map[string]float64{"uSv/h": 29, "uGy/h": 29, "mR/h": 2.9}

// jarFar is the factor either way from which a geometry that the site has not used before
// is asked about: no more than the order of magnitude is known of it.
const jarFar = 30.0

// AskJar asks about the dose rate of a jar, syringe or vial that contradicts the
// activity it is said to hold:
//
//	c = (rate - background)/A,  held = (rate - background)/usual
//
// Nothing is asked where nothing is claimed, and across two families of units.
func AskJar(rate, background quantity.Stated[quantity.MeterRate], claimed quantity.Activity, usual JarUsual) *Question {
	net, family := float64(rate.Value-background.Value), quantity.Family(rate)
	gbq := float64(claimed / quantity.GigaBecquerel)
	if gbq <= 0 || family != quantity.Family(background) {
		return nil
	}
	c := net / gbq
	said := fmt.Sprintf("%s is %s %s per GBq of the %s claimed", quantity.Shown(rate.Text), digits(c, 3), quantity.Shown(family), quantity.FormatDigits(claimed, 3, "GBq"))
	if usual.Cases < leastJars || usual.Family != family {
		published, ok := PerGBqAtContact[family]
		if !ok || c > published/jarFar && c < published*jarFar {
			return nil
		}
		return ask(fmt.Sprintf("%s; this site has no history in this unit, and the published order of magnitude is %s %s per GBq of a shielded vial at 30 cm", said, digits(published, 2), quantity.Shown(family)))
	}
	if math.Abs(c-usual.PerGBq) <= usual.within() {
		return nil
	}
	return ask(fmt.Sprintf("%s, usual here is %s; by that the container holds about %s", said, usual, quantity.FormatDigits(usual.Holds(net), 2, "GBq")))
}

// Holds is the activity that a net rate speaks of, by the history.
func (j JarUsual) Holds(net float64) quantity.Activity {
	return quantity.Activity(max(0, net/j.PerGBq)) * quantity.GigaBecquerel
}

// String writes the history: "131.9 ± 7.9 µSv/h per GBq (41 doses)".
func (j JarUsual) String() string {
	return fmt.Sprintf("%s per GBq (%s)", quantity.Round(quantity.MeterRate(j.PerGBq), quantity.MeterRate(j.SD), j.Family), Plural(j.Cases, "dose"))
}

// digits writes a number without a unit to so many significant digits.
func digits(x float64, n int) string {
	if x == 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return fmt.Sprint(x)
	}
	place := n - 1 - int(math.Floor(math.Log10(math.Abs(x))))
	step := math.Pow(10, float64(place))
	return fmt.Sprintf("%.*f", max(0, place), math.Round(x*step)/step)
}

// JarPerGBq is what the full dose of an order read for each GBq of it, in the unit of
// its family at the time of that reading; 0 where either is not known.
func (c Case) JarPerGBq(p Past) (perGBq float64, family string) {
	if p.Dispensed == nil || p.Dispensed.Activity <= 0 {
		return 0, ""
	}
	for _, r := range c.Residuals {
		if r.For != p.Order.ID || len(r.Before.Rates) == 0 {
			continue
		}
		net, _ := r.Before.Mean()
		at := p.Dispensed.Activity * quantity.Activity(nuclide.Factor(c.HalfLife.Value, nuclide.Elapsed(p.Dispensed.At, r.Before.At)))
		return max(0, float64(net)/float64(at/quantity.GigaBecquerel)), r.Before.Family
	}
	return 0, ""
}

// AskBaseline asks about the dose rate of the full dose of an order that is not above
// its background, or contradicts what its readings say is in it, by what the site's
// finished doses have read. It names neither what is claimed nor how far the two are apart: who
// enters the rate may be about to check the dose without having seen a figure of
// it. Of a dose that no reading determines nothing is claimed, and nothing asked.
func (r Result) AskBaseline(order string, at time.Time, rates []quantity.Stated[quantity.MeterRate], background quantity.Stated[quantity.MeterRate], usual JarUsual) *Question {
	if len(rates) == 0 {
		return nil
	}
	m, family := quantity.Stated[quantity.MeterRate]{Text: rates[0].Text}, quantity.Family(rates[0])
	for _, x := range rates {
		m.Value += x.Value / quantity.MeterRate(len(rates))
	}
	said := m.Text
	if len(rates) > 1 {
		said = fmt.Sprintf("the mean of %d directions, %s %s,", len(rates), digits(float64(m.Value), 3), family)
	}
	if m.Value <= background.Value {
		return ask(fmt.Sprintf("%s is not above its background of %s, as of an empty vial", said, background.Text))
	}
	for _, o := range r.Orders {
		if o.Order.ID != order || o.Dispensed == nil {
			continue
		}
		claimed := o.Dispensed.Activity * quantity.Activity(nuclide.Factor(r.HalfLife, nuclide.Elapsed(o.Dispensed.At, at)))
		if AskJar(m, background, claimed, usual) == nil {
			return nil
		}
		if usual.Cases >= leastJars && usual.Family == family {
			return ask(fmt.Sprintf("%s does not fit what the readings of this dose give: usual here is %s, by which it would be about %s", said, usual, quantity.FormatDigits(usual.Holds(float64(m.Value-background.Value)), 2, "GBq")))
		}
		return ask(fmt.Sprintf("%s does not fit what the readings of this dose give; this site has no history in this unit, and the published order of magnitude is %s %s per GBq of a shielded vial at 30 cm", said, digits(PerGBqAtContact[family], 2), family))
	}
	return nil
}

// checkJar stops a dose whose full jar contradicts it by the site's history; before
// there is one nothing is found.
func (r *reckoner) checkJar(o OrderResult) {
	x, ok := r.residual(o.Order.ID)
	if !ok || len(x.Before.Rates) == 0 || o.Dispensed == nil || r.Experience == nil || r.Experience.Jar.Cases < leastJars || r.Experience.Jar.Family != x.Before.Family {
		return
	}
	usual := r.Experience.Jar
	net, _ := x.Before.Mean()
	claimed := o.Dispensed.Activity * quantity.Activity(nuclide.Factor(r.HalfLife.Value, nuclide.Elapsed(o.Dispensed.At, x.Before.At)))
	c := float64(net) / float64(claimed/quantity.GigaBecquerel)
	if math.Abs(c-usual.PerGBq) <= usual.within() {
		return
	}
	r.find(JarDisagrees, Stop, x.Before.Entry, "the dose of order %s reads %s %s per GBq, and %s is usual here: by that it holds about %s, not %s; read it again by both meters before it is handed over",
		o.Order.ID, digits(c, 3), quantity.Shown(usual.Family), usual, quantity.FormatDigits(usual.Holds(float64(net)), 2, "GBq"), quantity.FormatDigits(claimed, 3, "GBq"))
}
