package forms

import (
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/identity"
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/kit"
)

// askDraw asks about a draw from another vial than the planned one, and from one
// that was not assayed. It refuses a vial that is not the one that was scanned.
func (b *Bench) askDraw(st *kit.State, facts []fact.Fact) (*kit.Doubt, error) {
	for _, d := range fact.Of[*fact.Draw](facts) {
		if err := b.scannedVial(st, d); err != nil {
			return nil, err
		}
		var doubts []string
		if planned := b.plannedVial(); planned != "" && planned != d.From {
			doubts = append(doubts, "The draw is planned from "+planned+", and this one is from "+d.From)
		}
		first := time.Time{} // assay of the vial
		for _, r := range st.Case.Readings {
			if r.Of == d.From && (first.IsZero() || r.At.Before(first)) {
				first = r.At
			}
		}
		switch {
		case first.IsZero():
			doubts = append(doubts, d.From+" was not assayed before this draw")
		case d.At.Before(first) && len(doubts) == 0:
			return &kit.Doubt{
				Control: kit.Control(0, "at"), Way: "Is the time right? Nothing is recorded before the answer.",
				Text: "A draw at " + b.OnDay(d.At) + " is before the first assay of " + d.From + ", at " + b.OnDay(first) + ".",
				Yes:  "Yes: it was drawn at " + b.OnDay(d.At),
			}, nil
		}
		if len(doubts) > 0 {
			return &kit.Doubt{
				Control: kit.Control(0, "from"), Text: strings.Join(doubts, ". ") + ".", Way: "Is it from " + d.From + "? Nothing is recorded before the answer.",
				Yes: "Yes: it was drawn from " + d.From,
			}, nil
		}
	}
	return nil, nil
}

// plannedVial is the vial that the next draw is planned from; for what is added
// to a dose, the one it was drawn from.
func (b *Bench) plannedVial() string {
	if p := b.Out.Plan; p != nil {
		return p.From
	}
	for _, d := range b.Case.Draws {
		if d.For == b.Order.ID {
			return d.From
		}
	}
	return ""
}

// scannedVial finds the vial that was scanned, by its id or its pack, and
// refuses one that is not known or is not the one drawn from. Either is a near
// miss.
func (b *Bench) scannedVial(st *kit.State, d *fact.Draw) error {
	if d.Scanned == "" {
		return nil
	}
	scan, found := identity.Read(d.Scanned, b.Q.Now.Year()), ""
	for _, e := range st.File.Entries() {
		x, ok := e.Fact.(*fact.Receive)
		if !ok {
			continue
		}
		if strings.EqualFold(x.Vial, d.Scanned) || scan.Kind == identity.GS1 && x.Pack != "" && x.Pack == books.Elements(scan) {
			found = x.Vial
		}
	}
	text, way := "", ""
	switch {
	case found == d.From:
		return nil
	case found == "":
		text, way = "The scan matches no vial here", "scan the vial again, or look which vial it is"
	default:
		text, way = "The scan says "+found+", and the draw says "+d.From, "stop: take the right vial, or choose "+found+" here"
	}
	books.NearMiss(b.Q, fact.NearMiss{For: b.Order.ID, Step: string(procedure.Draw), What: text, Scanned: books.ShownScan(d.Scanned, b.Q.Now)})
	return kit.Faults{kit.Control(0, "scanned"): {Text: text, Way: way}}
}
