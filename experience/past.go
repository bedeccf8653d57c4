package experience

import (
	"math"
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/learning"
	"vialwright/ledger"
	"vialwright/meterbook"
	"vialwright/quantity"
)

// Preparation is what one finished order taught.
type Preparation struct {
	Order string
	// At is when it was first drawn for.
	At time.Time
	// Kind and Lot are those of the vial of the first draw, Person who made
	// it; Catheter is the kind it was given through, empty where not noted.
	Kind, Lot, Person, Catheter string
	// Draws are those with a yield, in the order of time.
	Draws []learning.Draw
	// Residual is what was not delivered, each figure with its standard uncertainty without
	// what is common to all cases; nil where it cannot be told.
	Residual *learning.Residual
	// Prescribed and Dispensed are at the infusion time, Planned and Drawn at
	// that of the first draw; 0 where not known.
	Prescribed, Dispensed, Planned, Drawn quantity.Activity
	// PerGBq is what the full dose read on a survey meter for each GBq of it, in the unit
	// of Family; 0 where not known.
	PerGBq float64
	Family string
	// Left says what could not be taken, and why.
	Left []string
	// Closed tells that its record is closed, and not only its dose given.
	Closed bool
}

// of gives what the finished orders of one group have taught, in the order of their
// entries, and the first readings of the vials and where meters were used, of whatever
// is finished or not. The error is that of a group whose records cannot stand together.
func of(records []journal.Record, zones fact.Zones) (h held) {
	c, err := fold.Records(records, zones)
	if err != nil {
		return h.failed(err)
	}
	entries := fold.Entries(records)
	e := endsOf(records, entries)
	h.assays, h.uses = meterbook.Assays(c), meterbook.Uses(entries)
	pasts, err := c.Past()
	if err != nil {
		return h.failed(err)
	}
	for _, p := range pasts {
		if e.finished(c, p.Order.ID) {
			h.preps = append(h.preps, preparation(c, p, e))
		}
	}
	return h
}

func (h held) failed(err error) held {
	h.err, h.why = err, err.Error()
	return h
}

// ends is what the entries in force say of the end of orders, and who made
// which entry.
type ends struct {
	closed, cancelled map[string]bool
	catheter          map[string]string
	by                map[int]string // of the entry with the number
}

func endsOf(records []journal.Record, entries []fold.Entry) ends {
	e := ends{closed: map[string]bool{}, cancelled: map[string]bool{}, catheter: map[string]string{}, by: map[int]string{}}
	for _, x := range entries {
		e.by[x.Number] = records[x.Place].By
		switch f := x.Fact.(type) {
		case *fact.Close:
			e.closed[f.For] = true
		case *fact.Cancel:
			e.cancelled[f.For] = true
		case *fact.Infuse:
			e.catheter[f.For] = f.Catheter
		}
	}
	return e
}

func (e ends) finished(c dispensing.Case, order string) bool {
	if e.cancelled[order] {
		return false
	}
	for _, i := range c.Infusions {
		if i.For == order {
			return true
		}
	}
	return e.closed[order]
}

// who drew: the entry says, or else who recorded it did.
func (e ends) who(d dispensing.Draw) string {
	if d.By != "" {
		return d.By
	}
	return e.by[d.Entry]
}

func preparation(c dispensing.Case, p dispensing.Past, e ends) Preparation {
	first := p.Draws[0]
	out := Preparation{
		Order: p.Order.ID, At: first.At, Kind: c.KindOf(first.From), Lot: lotOf(c, first.From), Person: e.who(first),
		Catheter: e.catheter[p.Order.ID], Prescribed: p.Order.Prescribed, Planned: p.Planned, Drawn: p.Drawn, Closed: e.closed[p.Order.ID],
	}
	for _, d := range p.Draws {
		y, u, why := yield(c, d)
		if why != "" {
			out.Left = append(out.Left, "the draw at "+quantity.ShowTime(d.At.In(c.Zone))+" gives no yield: "+why)
			continue
		}
		out.Draws = append(out.Draws, learning.Draw{Kind: c.KindOf(d.From), Person: e.who(d), Yield: y, U: u})
	}
	if p.Dispensed == nil {
		out.Left = append(out.Left, "the dose was never determined by readings")
		return out
	}
	out.Dispensed = p.Dispensed.Activity
	out.PerGBq, out.Family = c.JarPerGBq(p)
	i := slices.IndexFunc(c.Infusions, func(i dispensing.Infusion) bool { return i.For == p.Order.ID })
	switch {
	case i >= 0 && c.Infusions[i].Stopped():
		out.Left = append(out.Left, "the infusion was stopped ("+c.Infusions[i].Reason+"): what was not given is not residual")
	default:
		if out.Residual = residual(c, p); out.Residual == nil {
			out.Left = append(out.Left, "the residual was not read")
		}
	}
	return out
}

func lotOf(c dispensing.Case, id string) string {
	for _, v := range c.Vials {
		if v.ID == id {
			return v.Lot
		}
	}
	return ""
}

// residual is the residual of a dose: by the two dose rates, without what
// is common to all cases, or else as the readings of the parts have it.
//
//	a = f·D,  u(a)² = (D·u(f))² + f²·(u(D)² − u_common(D)²)
func residual(c dispensing.Case, p dispensing.Past) *learning.Residual {
	if p.Delivered == nil {
		return nil
	}
	f, u := p.Delivered.Fraction, p.Delivered.FractionU
	if p.Delivered.How == ledger.ByDoseRate {
		for _, r := range c.Residuals {
			if r.For != p.Order.ID {
				continue
			}
			var err error
			if f, u, err = dispensing.ResidualFraction(r.Before, r.After, c.HalfLife.Value, 0); err != nil {
				return nil
			}
		}
	}
	d := p.Dispensed
	own := math.Max(0, float64(d.U)*float64(d.U)-float64(d.Budget.Common)*float64(d.Budget.Common))
	return &learning.Residual{
		Fraction: quantity.Fraction(f), FractionU: quantity.Fraction(u),
		Activity: quantity.Activity(f * float64(d.Activity)), ActivityU: quantity.Activity(math.Hypot(float64(d.Activity)*u, f*math.Sqrt(own))),
	}
}
