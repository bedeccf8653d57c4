package dispensing

import (
	"cmp"
	"math"
	"slices"

	"vialwright/quantity"
	"vialwright/slip"
)

// hold keeps back the figures of a set whose entries contradict one another.
type hold struct {
	code Code
	// whole: every figure; otherwise only those that rest on a volume, since the
	// readings agree among themselves.
	whole bool
	// read is the container to read again.
	read string
}

// Withheld is a figure that is not shown, and the finding that keeps it back.
type Withheld struct {
	// Key is where it would stand: "orders[P1].dispensed_MBq".
	Key  string
	Code Code
}

// whole says whether every figure of a container's set is withheld.
func (r *reckoner) whole(id string) bool { return r.holds[id].whole }

// keep puts a hold on every container of a set; one on the whole stays.
func (r *reckoner) keep(set []string, h hold) {
	for _, id := range set {
		if !r.holds[id].whole {
			r.holds[id] = h
		}
	}
}

// withhold notes the keys that are not shown of a vial, container or order.
func (r *reckoner) withhold(code Code, of string, keys ...string) {
	for _, k := range keys {
		r.out.Withheld = append(r.out.Withheld, Withheld{of + "." + k, code})
	}
}

// typed are the books with the texts as they were typed.
func (c Case) typed() slip.Books {
	out := slip.Books{Book: c.Book, Typed: map[int]slip.Typed{}}
	usual := map[string][]quantity.Activity{}
	for _, x := range c.Readings {
		usual[x.Meter] = append(usual[x.Meter], x.Background)
	}
	for _, b := range usual {
		slices.Sort(b)
	}
	for _, x := range c.Readings {
		t := slip.Typed{Gross: x.Gross, Background: x.Background, Usual: usual[x.Meter][len(usual[x.Meter])/2]}
		if !x.Sent() {
			t.Activity = written(x.Written, x.Gross, "GBq")
		}
		out.Typed[x.Entry] = t
	}
	for _, v := range c.Vials {
		out.Typed[v.Entry] = slip.Typed{Activity: written(v.LabelWritten, v.Labelled, "GBq"), Volume: written(v.VolumeWritten, v.Volume, "mL")}
	}
	for _, d := range c.Draws {
		out.Typed[d.Entry] = slip.Typed{Volume: written(d.Written, d.Volume, "mL")}
	}
	return out
}

// Sent says whether a connected meter sent the reading, so that no digit or
// unit of it was typed.
func (x Reading) Sent() bool { return x.Source != "" && x.Source != "typed" }

// written is a text as typed, or where it was not kept, as it would be.
func written[Q quantity.Kind](text string, value Q, unit string) string {
	if text != "" {
		return text
	}
	s, err := quantity.Of(value, unit)
	if err != nil {
		return ""
	}
	return s.Text
}

// checkSlips looks for entries that the others of their set contradict.
func (r *reckoner) checkSlips(sets []slip.Set) {
	r.holds, r.says = map[string]hold{}, map[int]string{}
	for _, s := range sets {
		r.judge(s)
	}
	r.checkLone()
}

// contradicted are the containers of the sets in which something slipped.
func contradicted(sets []slip.Set) (ids []string) {
	for _, s := range sets {
		if s.Outcome != slip.Agree && s.Outcome != slip.Doubt {
			ids = append(ids, s.Containers...)
		}
	}
	return ids
}

// judge turns what was found of a set into findings and holds.
func (r *reckoner) judge(s slip.Set) {
	for _, x := range s.Explanations {
		if x.Odds >= slip.Said && x.Part != slip.TheReading && r.says[x.Entry] == "" {
			r.says[x.Entry] = "; " + r.explain(x)
		}
	}
	if s.Outcome == slip.Agree {
		return
	}
	if s.Outcome == slip.Several {
		if r.unfit != nil {
			r.stop(NotReconciled, s, 0, "more than one entry of %s disagrees, and %v: read again, without looking at the first figures", list(s.Containers), r.unfit)
			return
		}
		r.stop(ReadingDisagrees, s, 0, "more than one entry of %s disagrees with the others, and no single slip explains it: read again, without looking at the first figures", list(s.Containers))
		return
	}
	top := s.Explanations[0]
	switch weak := r.weak(s); {
	case s.Outcome == slip.Doubt && top.Part == slip.TheReading:
		r.find(ReadingDisagrees, Warn, top.Entry, "%s; the odds are %s that nothing slipped: one more reading will tell", capital(r.explain(top)), chance(s.Honest))
	case s.Outcome == slip.Doubt:
	case weak && r.supported(s):
		if top.Part != slip.TheLabel {
			r.find(DrawYieldUnusual, Warn, top.Entry, "%s; the readings agree with each other and are kept, and nothing is planned from %s until the entry is corrected with a reason", capital(r.account(s)), list(s.Containers))
			r.keep(s.Containers, hold{code: DrawYieldUnusual, read: r.readAgain(s, top)})
		}
	case s.Outcome == slip.Named:
		r.stop(ReadingDisagrees, s, top.Entry, "%s. Correct the entry with a reason, or strike it out", capital(r.account(s)))
	case top.Kind == slip.Unknown:
		r.stop(ReadingDisagrees, s, 0, "readings of %s disagree, and it cannot be told which one slipped: read again, without looking at the first figures", list(s.Containers))
	default:
		r.stop(ReadingDisagrees, s, 0, "%s. The two are too close to tell: read again, without looking at the first figures", capital(r.account(s)))
	}
}

// stop names a slip and withholds every figure of the set.
func (r *reckoner) stop(code Code, s slip.Set, entry int, format string, args ...any) {
	h := hold{code: code, whole: true, read: s.Containers[0]}
	if len(s.Explanations) > 0 {
		h.read = r.readAgain(s, s.Explanations[0])
	}
	if i, of, ok := r.leftBehind(s); ok {
		h.read = i.From
		if slices.Contains(of, entry) {
			format += "; or so much of the dose of order %s did stay in %s: then correct the reason for the end of its infusion, entry %d"
			args = append(args, i.For, i.From, i.Entry)
		} else { // what was read before the infusion is as good as it was
			entry, format = i.Entry, "%s was read after the infusion of order %s, and far more is in it than a complete infusion leaves (more than three times what the order allows for, or 6 %% of the prescribed activity; "+thumbRule+"): correct the reason for its end, or the reading of %s where that slipped"
			args = []any{i.From, i.For, i.From}
		}
	}
	r.find(code, Stop, entry, format+"; until an entry is corrected or struck out, no figure of "+list(s.Containers)+" is shown", args...)
	r.keep(s.Containers, h)
}

// leftBehind finds an infusion that was called complete out of a container of the set in
// which far more was read afterwards than a complete one leaves, and those readings: the
// share that such an infusion is taken to have given contradicts them, and not what was
// read before.
func (r *reckoner) leftBehind(s slip.Set) (given Infusion, readings []int, ok bool) {
	for _, i := range r.Infusions {
		at := slices.IndexFunc(r.Orders, func(o Order) bool { return o.ID == i.For })
		if i.Stopped() || at < 0 || !slices.Contains(s.Containers, i.From) {
			continue
		}
		o := r.Orders[at]
		readings = nil // of this infusion
		for _, x := range r.Readings {
			if x.Of != i.From || !follows(x.At, x.Entry, i.Start, i.Entry) {
				continue
			}
			readings = append(readings, x.Entry)
			ok = ok || float64(x.Gross-x.Background) > 3*float64(o.StaysU())*float64(o.Prescribed)
		}
		if ok {
			return i, readings, true
		}
	}
	return Infusion{}, nil, false
}

// weak says whether only a label or a volume is suspected.
func (r *reckoner) weak(s slip.Set) bool {
	return !slices.ContainsFunc(s.Explanations, func(x slip.Explanation) bool {
		weak := x.Part == slip.TheLabel || x.Part == slip.TheVolume || x.Kind == slip.NothingMoved || x.Kind == slip.MovedTwice
		return !weak && x.Odds*slip.Close >= s.Explanations[0].Odds
	})
}

// supported says whether the readings agree among themselves about what the
// entries suspected speak of.
func (r *reckoner) supported(s slip.Set) bool {
	for _, x := range s.Explanations {
		moved, _, ok := r.bal.Moved(x.Entry)
		if x.Odds*slip.Close >= s.Explanations[0].Odds && ok && !r.bal.Corroborated(moved, nil) {
			return false
		}
	}
	return true
}

// checkLone looks for one reading alone against a label or a volume: the first
// thing to do is to read again.
func (r *reckoner) checkLone() {
	for _, v := range r.Vials {
		received, _, _ := r.bal.Moved(v.Entry)
		if _, held := r.holds[v.ID]; held || !r.bal.Assayed(received) || r.basis(v.ID) != quantity.LabelBasis || r.bal.Corroborated(received, nil) {
			continue
		}
		y, _ := r.bal.Activity(received, v.Reference)
		ratio := float64(y / v.Labelled)
		if tol := r.labelTolerance(v); math.Abs(ratio-1) > 2*float64(tol)+edge {
			r.find(LabelMismatch, Stop, v.Entry, "one reading alone stands against the label of %s (allowed: within %s; a stop at twice that, %s)%s: read %s again, without looking at the first figure",
				v.ID, percent(tol), thumbRule, cmp.Or(r.says[v.Entry], r.labelSlip(ratio)), v.ID)
			r.keep(r.set(v.ID), hold{LabelMismatch, true, v.ID})
		}
	}
	for _, d := range r.Draws {
		got, moved, ok := r.yield(d)
		if _, held := r.holds[d.From]; held || !ok || r.bal.Undone(moved) { // what came back whole is in no figure
			continue
		}
		says := ""
		switch _, given := r.infusion(d.For); {
		case (got < leastYield || got > mostYield) && !r.bal.Corroborated(moved, nil):
			says = "that no draw from " + d.From + " takes (less than half of that of its volume, or more than one and a half times" + thumb + ")"
		case !given && r.unusual(d, got, moved) && !r.bal.Corroborated(moved, d.precedes):
			says = "far from that of its volume (more than three standard uncertainties" + thumb + "): the vial had settled or was badly mixed, or a reading or the volume slipped"
		default:
			continue
		}
		r.find(DrawYieldUnusual, Stop, d.Entry, "by one reading alone the draw took an activity %s%s: read %s again, without looking at the first figure", says, r.says[d.Entry], d.From)
		r.keep(r.set(d.From), hold{DrawYieldUnusual, true, d.From})
	}
}

// Doubtful are the entries of the draws that took an activity far from that of their
// volume by one reading alone.
func (r Result) Doubtful() (draws []int) {
	for _, f := range r.Findings {
		if f.Code == DrawYieldUnusual && f.Severity == Stop {
			draws = append(draws, f.Entry)
		}
	}
	return draws
}

// set are the containers of the set of one.
func (r *reckoner) set(id string) []string {
	for _, e := range r.Book.Sets() {
		if slices.Contains(e, id) {
			return e
		}
	}
	return []string{id}
}

func (r *reckoner) labelTolerance(v Vial) quantity.Fraction {
	return cmp.Or(v.Tolerance, r.Policy.LabelTolerance)
}

// readAgain is the container that a further reading of would tell most: of the
// reading suspected, or of the source of the movement.
func (r *reckoner) readAgain(s slip.Set, x slip.Explanation) string {
	for _, y := range r.Readings {
		if y.Entry == x.Entry {
			return r.readable(s, y.Of)
		}
	}
	for _, d := range r.Draws {
		if d.Entry == x.Entry {
			return d.From
		}
	}
	return s.Containers[0]
}

// readable is a container or, where it was emptied since, the one that what it
// held is in, or else the vial: an empty syringe tells nothing.
func (r *reckoner) readable(s slip.Set, id string) string {
	for _, of := range []string{r.Serves[id], ""} {
		for _, other := range append([]string{id}, s.Containers...) {
			if r.Serves[other] == of && r.Book.Volume(other) > 0 {
				return other
			}
		}
	}
	return id
}

// orderHeld fills in an order whose dose is of a set that is withheld whole:
// nothing is reckoned, and what is asked for is a reading.
func (r *reckoner) orderHeld(out *OrderResult, draws []Draw) bool {
	for _, d := range draws {
		h, ok := r.holds[d.From]
		if !ok || !h.whole {
			continue
		}
		keys := []string{"plan", "dispensed_MBq", "u_MBq", "ratio", "conformance", "verdict", "valid_from", "valid_until"}
		if _, given := r.infusion(out.Order.ID); given {
			keys = append(keys, "delivered_MBq", "delivered_u_MBq", "residual_fraction")
		}
		r.withhold(h.code, "orders["+out.Order.ID+"]", keys...)
		out.Withheld, out.Read, out.Next, out.Hidden, out.HiddenBy = h.code, h.read, AssayRemainder, keys, h.code
		return true
	}
	return false
}

// anyHold is the hold on the first vial that has one.
func (r *reckoner) anyHold() hold {
	for _, v := range r.Vials {
		if h, ok := r.holds[v.ID]; ok {
			return h
		}
	}
	return hold{}
}
