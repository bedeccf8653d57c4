package dispensing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/ledger"
	"vialwright/quantity"
)

// Question is what is asked about an amount before it enters the books.
type Question struct {
	// Text says what is odd, as a sentence that ends in a question.
	Text string
	// Meant are what may have been meant, the likeliest first, as a person
	// writes it: the same digits in another unit, or with the point moved. It is
	// empty where no slip explains the amount.
	Meant []string
}

// odd is the factor from which an amount is asked about, either way: beyond what
// scatter, geometry and a basis explain (published bases lie 19 to 26 % apart),
// and below every slip of unit or point, the least of which is 10 (common
// practice, no source).
const odd = 1.8

// likely is how near, as a factor, the amount that was meant lies to what was
// expected.
const likely = 1.4

// What no resin shipping vial and no prescription of its kind lies outside of
// (common practice, no source).
const (
	leastUsual      = 100 * quantity.MegaBecquerel
	leastLabelled   = 500 * quantity.MegaBecquerel // a full vial in GBq, read as mCi, lies below
	mostUsual       = 10 * quantity.GigaBecquerel
	leastBackground = 10 * quantity.KiloBecquerel // that a background may have been meant to be
	leastVialVolume = 1 * quantity.Millilitre
	mostVialVolume  = 25 * quantity.Millilitre
	farAhead        = 28 * quantity.Day // in which a slip of the month lies (common practice, no source)
	longPast        = 7 * quantity.Day  // for what is entered late, from paper (common practice, no source)
	mostApart       = 7 * quantity.Day  // of a vial and the reference time of its label (common practice, no source)
	mostVials       = 20                // in one parcel (common practice, no source)
)

// AskLabelled asks about the activity on the label of a shipping vial: one outside 0.5 to
// 10 GBq.
func AskLabelled(said quantity.Stated[quantity.Activity]) *Question {
	return askRange(said, leastLabelled, mostUsual, "is outside the usual 0.5 to 10 GBq of a shipping vial")
}

// AskActivity asks about an activity that is prescribed: one outside 0.1 to 10 GBq.
func AskActivity(said quantity.Stated[quantity.Activity]) *Question {
	return askRange(said, leastUsual, mostUsual, "is outside the usual 0.1 to 10 GBq")
}

// AskPlanned asks about the time at which an order is to be infused: one that is four
// weeks ahead and more, or was a week ago and more (common practice, no source).
func (r Result) AskPlanned(at time.Time) *Question {
	ahead := quantity.Span(at.Sub(r.At).Seconds())
	if r.At.IsZero() || ahead < farAhead && ahead > -longPast {
		return nil
	}
	if ahead < 0 {
		return ask("the infusion would have been " + quantity.ShowSpan(-ahead) + " ago")
	}
	return ask("the infusion would be " + quantity.ShowSpan(ahead) + " ahead")
}

// AskReference asks about the reference time of a label: one more than a week from when
// its vial comes, as by a slip of the day, the month or the year.
func AskReference(reference, at time.Time) *Question {
	apart := quantity.Span(reference.Sub(at).Seconds())
	side := " after"
	if apart < 0 {
		apart, side = -apart, " before"
	}
	if reference.IsZero() || at.IsZero() || apart <= mostApart {
		return nil
	}
	return ask("the reference time would be " + quantity.ShowSpan(apart) + side + " the vial comes")
}

// AskVials asks about how many vials a parcel has.
func AskVials(n int) *Question {
	if n <= mostVials {
		return nil
	}
	return ask(fmt.Sprintf("%d vials would be in one parcel", n))
}

// AskMost asks about an amount above the most that is usual. No slip is offered, since a
// smaller number would hide what was measured.
func AskMost[Q quantity.Kind](said quantity.Stated[Q], most Q) *Question {
	if said.Value <= most {
		return nil
	}
	return ask(said.Text + " is more than the usual " + quantity.Show(most, 0).String())
}

// AskVialVolume asks about the volume that a shipping vial came with: one
// outside 1 to 25 mL.
func AskVialVolume(said quantity.Stated[quantity.Volume]) *Question {
	return askRange(said, leastVialVolume, mostVialVolume, "is outside the usual 1 to 25 mL")
}

// AskShare asks about a percentage that the site sets: one outside least to most. One
// hundred times as much is offered first: 10 % was perhaps typed as a share of 0.1.
func AskShare(said quantity.Stated[quantity.Fraction], least, most quantity.Fraction) *Question {
	if said.IsZero() { // not set
		return nil
	}
	return askRange(said, least, most, fmt.Sprintf("is outside the usual %.4g to %.4g %%", 100*least, 100*most), func(a, b quantity.Fraction) int {
		return cmp.Compare(apart(a, 100*said.Value), apart(b, 100*said.Value))
	})
}

// AskFactor asks about what a meter shows of an activity, for one kind of container:
// far from 1 it was perhaps typed in percent.
func AskFactor(factor float64, text string) *Question {
	if factor <= 0 || apart(quantity.Fraction(factor), 1) < odd {
		return nil
	}
	return ask("a factor of " + text + " would have the meter show " + times(factor) + " the activity")
}

// AskReading asks about a reading of a container: one far from what labels
// and volumes alone say is in it. No earlier reading is looked at, so that the
// question gives none away to who reads independently, and none that has slipped speaks
// against a right one. Of a container that is not in the books nothing is expected, and
// nothing asked.
func (c Case) AskReading(of string, at time.Time, said quantity.Stated[quantity.Activity]) *Question {
	bal, err := ledger.Reconcile(c.Book.Unread())
	if err != nil {
		return nil
	}
	if c.Book.Volume(of) <= 0 && c.Book.VolumeAt(of, at) <= 0 { // not one that is entered late
		return c.askLeft(bal, of, at, said)
	}
	expected, _ := bal.Activity(bal.Held(of, at), at)
	if expected < quantity.MegaBecquerel {
		return nil
	}
	return askExpected(said, expected, "what labels and volumes say")
}

// askLeft asks about a reading of an emptied container: half of what it held is never
// left in it, but for an infusion that was not completed (common practice, no source).
func (c Case) askLeft(bal *ledger.Balances, of string, at time.Time, said quantity.Stated[quantity.Activity]) *Question {
	held, _ := bal.Activity(bal.Held(of, bal.Arrived(of)), at)
	most := held / 2
	if slices.ContainsFunc(c.Infusions, func(i Infusion) bool { return i.From == of && i.Stopped() }) {
		most = odd * held
	}
	if held < quantity.MegaBecquerel || said.Value <= most {
		return nil
	}
	slips := slices.DeleteFunc(quantity.Slipped(said), func(s quantity.Stated[quantity.Activity]) bool { return s.Value <= 0 || s.Value > most })
	return ask(fmt.Sprintf("%s is %s what %s held before it was emptied", said.Text, times(float64(said.Value)/float64(held)), of), texts(slips)...)
}

// AskCopy asks about a reading that the case has already, with the same figures in the
// same minute: it may have been sent twice, and would count for two. A line that a meter sent
// is taken once, and is not asked about.
func (c Case) AskCopy(x Reading) *Question {
	for _, r := range c.Readings {
		if !x.Sent() && r.Of == x.Of && r.Meter == x.Meter && r.Gross == x.Gross && r.Background == x.Background && r.At.Truncate(time.Minute).Equal(x.At.Truncate(time.Minute)) {
			return &Question{Text: fmt.Sprintf("%s has the same reading and background in entry %d of the same minute: was it read twice?", x.Of, r.Entry)}
		}
	}
	return nil
}

// AskParts asks about residual parts that another container of the order holds as well,
// since both are added.
func (c Case) AskParts(x Part) *Question {
	for _, p := range c.Parts {
		for _, part := range append(slices.Clone(ResidualParts), x.Holds) {
			if p.For == x.For && p.Of != x.Of && p.holds(part) && x.holds(part) {
				return &Question{Text: fmt.Sprintf("%s holds %s of order %s already (entry %d), and the two readings are added: is it another piece?", p.Of, part, p.For, p.Entry)}
			}
		}
	}
	return nil
}

// AskBackground asks about the background of a reading: one that no activity
// meter shows beside an empty well, or a twentieth and more of the reading itself.
func AskBackground(said, gross quantity.Stated[quantity.Activity]) *Question {
	if !highBackground(gross.Value, said.Value) {
		return nil
	}
	slips := slices.DeleteFunc(quantity.Slipped(said), func(s quantity.Stated[quantity.Activity]) bool {
		return s.Value < leastBackground || highBackground(gross.Value, s.Value)
	})
	return ask(said.Text+" is high for a background", texts(slips)...)
}

// highBackground tells that a background is high beside its reading, by the
// thumb: more than 10 MBq, or more than 1 MBq and a twentieth of the reading
// (common practice, no source).
func highBackground(gross, background quantity.Activity) bool {
	return background > 10*quantity.MegaBecquerel || (gross > 0 && background > gross/20 && background > quantity.MegaBecquerel)
}

// AskSurvey asks about the dose rate of a place, background included: one below half of
// the background, or above a hundred times it (common practice, no source). No slip is
// offered, since a smaller number would hide a contamination.
func AskSurvey(said, background quantity.Stated[quantity.DoseRate]) *Question {
	odd := ""
	switch {
	case said.IsZero() || background.Value <= 0:
		return nil
	case said.Value < background.Value/2:
		odd = " is less than half of the background of "
	case said.Value > 100*background.Value:
		odd = " is more than 100 times the background of "
	default:
		return nil
	}
	return ask(said.Text + odd + background.Text)
}

// AskDose asks about a dose that a dosemeter had: one above the limit of a whole year,
// 500 mSv for the hands and 50 mSv for what is worn elsewhere (Directive 2013/59/Euratom,
// article 9, by which the body may have 50 mSv in a single year).
func AskDose(said quantity.Stated[quantity.DoseEquivalent], hand bool) *Question {
	most := 50 * quantity.MilliSievert
	if hand {
		most *= 10
	}
	return askRange(said, 0, most, "is more than a whole year's limit of "+quantity.Show(most, 0).String())
}

// AskDraw asks about the volume of a draw: one far from the volume planned for
// the order from that vial. Without a plan nothing is asked.
func (r Result) AskDraw(order, from string, said quantity.Stated[quantity.Volume]) *Question {
	for _, o := range r.Orders {
		if o.Order.ID != order {
			continue
		}
		switch {
		case o.Adjust != nil && o.Adjust.TopUp:
			return askExpected(said, o.Adjust.Volume, "the planned volume")
		case o.Plan != nil && o.Plan.From == from:
			return askExpected(said, o.Plan.Draw, "the planned volume")
		}
	}
	return nil
}

// AskReturn asks about a volume given back from a container: one far from what
// is planned to be given back or, where nothing is, from all that it holds.
func (r Result) AskReturn(from string, said quantity.Stated[quantity.Volume]) *Question {
	for _, o := range r.Orders {
		a := o.Adjust
		if a == nil || a.TopUp || o.Container != from {
			continue
		}
		q := askExpected(said, a.Volume, "the planned volume")
		if moved := o.Volume - said.Value; moved > 0 && apart(moved, a.Volume) <= likely {
			q.orStands(moved, "down to "+said.Text)
		}
		return q
	}
	return r.AskTransfer(from, said)
}

// orStands offers the volume that was moved where what was typed is rather where the
// container stands now, and no other slip explains it.
func (q *Question) orStands(moved quantity.Volume, to string) {
	if q != nil && len(q.Meant) == 0 {
		q.Text, q.Meant = strings.TrimSuffix(q.Text, "so?")+mL(moved)+", "+to+"?", []string{mL(moved)}
	}
}

// AskTransfer asks about a volume that is moved on from a container: one far
// from all that it holds, since a dose is transferred whole.
func (r Result) AskTransfer(from string, said quantity.Stated[quantity.Volume]) *Question {
	for _, k := range r.Containers {
		if k.Container.ID == from {
			return askExpected(said, k.Volume, "what "+from+" holds")
		}
	}
	return nil
}

// AskInto asks about the administration vial that a dose goes into: another than its
// last label names.
func (c Case) AskInto(from, into string) *Question {
	for _, l := range slices.Backward(c.Labels) {
		if l.Of == from && l.Into != "" {
			if l.Into == into {
				return nil
			}
			return ask("the label of the dose in "+from+" names another vial than "+into, l.Into)
		}
	}
	return nil
}

// AskInfused asks about how long an infusion took: less than a minute, or more than three
// hours (common practice, no source).
func AskInfused(start, stop time.Time) *Question {
	took := stop.Sub(start)
	switch {
	case start.IsZero() || stop.IsZero() || took >= time.Minute && took <= 3*time.Hour:
		return nil
	case took < time.Minute:
		return ask("the infusion would have taken less than a minute")
	}
	return ask("the infusion would have taken " + quantity.ShowSpan(quantity.Span(took.Seconds())))
}

// AskMakeUp asks about a volume of diluent: one that would bring a container
// outside the volumes that the site makes up to. Of an empty container, or one
// not in the books, nothing is asked.
func (c Case) AskMakeUp(of string, said quantity.Stated[quantity.Volume]) *Question {
	has, low, high := c.Book.Volume(of), c.Policy.MakeUpMin, c.Policy.MakeUpMax
	if has <= 0 {
		return nil
	}
	q := askRange(said, low-has-nanolitre, high-has+nanolitre, fmt.Sprintf("added would make %s; the site makes up to between %s and %s", mL(has+said.Value), mL(low), mL(high)))
	if said.Value > has && said.Value >= low-nanolitre && said.Value <= high+nanolitre {
		q.orStands(said.Value-has, "up to "+said.Text)
	}
	return q
}

// AskTreated asks about an infusion into another territory than the ordered one.
func (c Case) AskTreated(order, treated string) *Question {
	for _, o := range c.Orders {
		if o.ID == order && OtherTerritory(o.Territory, treated) {
			return ask("Ordered is " + o.Territory + ", and treated was " + treated)
		}
	}
	return nil
}

// Contradictions are what is found of the dose rates and the residuals that were entered:
// directions that differ, and a residual that can hardly be. What to do about it is left out.
func (r Result) Contradictions() (out []string) {
	for _, f := range r.Findings {
		if f.Code == DirectionsDiffer || f.Code == ResidualExtreme {
			out = append(out, f.Text[:strings.LastIndex(f.Text, ": ")])
		}
	}
	return out
}

// OtherTerritory tells that another territory was treated than the one ordered, where
// both are said, in whatever capitals and however they are spaced.
func OtherTerritory(ordered, treated string) bool {
	plain := func(name string) string { return strings.Join(strings.Fields(name), " ") }
	ordered, treated = plain(ordered), plain(treated)
	return ordered != "" && treated != "" && !strings.EqualFold(ordered, treated)
}

// nanolitre is the rounding noise allowed at a bound of a volume, and of added ones.
const nanolitre = 1e-6 * quantity.Millilitre

// askExpected asks about an amount that is odd beside the expected one, as none is.
func askExpected[Q quantity.Kind](said quantity.Stated[Q], expected Q, name string) *Question {
	if said.Value < 0 || expected <= 0 || apart(said.Value, expected) < odd {
		return nil
	}
	slips := slices.DeleteFunc(quantity.Slipped(said), func(s quantity.Stated[Q]) bool {
		return s.Value <= 0 || apart(s.Value, expected) > likely
	})
	return ask(fmt.Sprintf("%s is %s %s", said.Text, times(float64(said.Value)/float64(expected)), name), texts(slips)...)
}

// askRange asks about an amount outside a range. Slips that explain it are offered in the
// order that is given, or the likelier first.
func askRange[Q quantity.Kind](said quantity.Stated[Q], least, most Q, name string, order ...func(a, b Q) int) *Question {
	if said.Value >= least && said.Value <= most {
		return nil
	}
	slips := slices.DeleteFunc(quantity.Slipped(said), func(s quantity.Stated[Q]) bool { return s.Value < least || s.Value > most })
	for _, by := range order {
		slices.SortStableFunc(slips, func(a, b quantity.Stated[Q]) int { return by(a.Value, b.Value) })
	}
	return ask(said.Text+" "+name, texts(slips)...)
}

// mostOffered is how many slips are offered: a question that has to be studied is not
// answered but clicked away.
const mostOffered = 3

// ask asks about what is odd, with what may have been meant, the likeliest first.
func ask(odd string, meant ...string) *Question {
	if len(meant) == 0 {
		return &Question{Text: odd + ": is it so?"}
	}
	return &Question{odd + ": is it " + meant[0] + "?", meant[:min(len(meant), mostOffered)]}
}

func texts[Q quantity.Kind](all []quantity.Stated[Q]) []string {
	out := make([]string, len(all))
	for i, s := range all {
		out[i] = s.Text
	}
	return out
}

// apart is how many times the larger of two amounts is the smaller.
func apart[Q quantity.Kind](a, b Q) float64 {
	return math.Exp(math.Abs(math.Log(float64(a) / float64(b))))
}

// times says a ratio that is far from 1.
func times(ratio float64) string {
	switch {
	case ratio >= 10:
		return fmt.Sprintf("%.0f times", ratio)
	case ratio > 1:
		return fmt.Sprintf("%.1f times", ratio)
	case ratio > 0.1:
		return fmt.Sprintf("%.0f %% of", 100*ratio)
	case ratio == 0:
		return "nothing beside"
	}
	return fmt.Sprintf("1/%.0f of", 1/ratio)
}
