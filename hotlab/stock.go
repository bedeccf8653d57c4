package hotlab

import (
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/inventory"
	"vialwright/nuclide"
	"vialwright/protection"
	"vialwright/quantity"
	"vialwright/rules"
)

// stock finds containers that are nowhere, packages that left wrongly, and lines of the
// licence that are exceeded.
func (r *reader) stock() {
	r.nowhere()
	each(r, r.Books.Entries, func(x *fact.LeftSite, n int) { r.heldOn(x.At, func() { r.left(x, n) }) })
	v := r.out.Inventory
	for _, l := range v.Lines {
		f := Finding{Page: Inventory, About: l.ID}
		switch {
		case l.ID == "":
			f.Severity, f.Code, f.Do = dispensing.Note, LineMissing, "Enter the lines of the licence."
			r.find(f, "%s is held, and no line of the licence for it is entered", show(l.Held))
		case l.Over:
			f.Severity, f.Code, f.Do = dispensing.Stop, LineExceeded, "Do not order more; tell the person who answers for the licence."
			r.find(f, "%s is held of %s, %s, and the licence allows %s", beside(l.Held, l.Most), l.Nuclide, l.Form, l.Most.Text)
		}
	}
	r.exceeded()
	for _, i := range v.Whole() {
		if i.Where == inventory.Lost {
			r.find(Finding{Code: ActivityLost, Severity: dispensing.Stop, Page: Inventory, About: i.ID, Do: "Search, and tell the authority as the licence asks. " + r.call(fact.ActivityMissing)}, "%s is lost: %s of it are left today", i.ID, show(i.Activity))
		}
	}
}

// lookedBack is how far back more than a line of the licence allows is looked for: a quarter
// and a month.
const lookedBack = 120 * 24 * time.Hour

// exceeded finds lines of the licence of which more was held than they allow, and is not any
// more.
func (r *reader) exceeded() {
	from := r.At.Add(-lookedBack)
	if from.Before(r.Since) {
		from = r.Since
	}
	over := map[string]bool{}
	for _, l := range r.out.Inventory.Lines {
		over[l.ID] = l.Over
	}
	for _, p := range inventory.Exceeded(r.fitted, r.groups, from, r.At) {
		if !over[p.ID] {
			r.find(Finding{Code: LineExceeded, Severity: dispensing.Warn, Page: Inventory, About: p.ID, Entry: p.Entry, Do: "Tell the person who answers for the licence, and write why; ask what an order comes to before it is sent."},
				"%s was held of %s, %s on %s, and the licence allows %s", beside(p.Held, p.Most), p.Nuclide, p.Form, r.clock(p.At), p.Most.Text)
		}
	}
}

// nowhere asks of each container of a group whose orders are all closed or cancelled where
// it is.
func (r *reader) nowhere() {
	held := r.out.Inventory.Whole()
	over := map[string]time.Time{} // when each order was closed first; zero of one that was cancelled
	each(r, r.groups, func(x *fact.Close, _ int) {
		if _, known := over[x.For]; !known {
			over[x.For] = x.At
		}
	})
	each(r, r.groups, func(x *fact.Cancel, _ int) {
		if _, known := over[x.For]; !known {
			over[x.For] = time.Time{}
		}
	})
	for _, c := range r.Books.Cases {
		closed, open := time.Time{}, false
		for _, o := range c.Orders {
			at, known := over[o.ID]
			open = open || !known
			if at.After(closed) {
				closed = at
			}
		}
		if open || closed.IsZero() {
			continue
		}
		for _, k := range c.Book.Containers() {
			if i := slices.IndexFunc(held, func(i inventory.Item) bool { return i.ID == k.ID }); i >= 0 {
				r.container(held[i], closed)
			}
		}
	}
}

// container asks where one is whose work was over at a time. What was exempt by then is not
// asked for; what has decayed to that since stays a note until nothing of it is left.
func (r *reader) container(item inventory.Item, closed time.Time) {
	id, then := item.ID, float64(item.Activity)/nuclide.Factor(r.Books.HalfLife, nuclide.Elapsed(closed, r.At))
	if then < float64(protection.Exempt) || !slices.Contains([]inventory.Where{inventory.InVial, inventory.InSyringe, inventory.InDose, inventory.InParts}, item.Where) {
		return
	}
	var kept *fact.KeepStock
	each(r, r.Books.Entries, func(x *fact.KeepStock, _ int) {
		if x.Of == id {
			kept = x
		}
	})
	f := Finding{Severity: dispensing.Stop, Page: Waste, About: id, Code: ContainerNowhere, Do: "Put it into a bin, enter how it left, or enter where it is kept."}
	switch {
	case kept != nil && r.At.After(kept.Until):
		f.Severity, f.Code = dispensing.Warn, StockOverdue
		r.find(f, "%s was kept in %s until %s", id, kept.Store, r.clock(kept.Until))
	case kept != nil:
	case item.Activity < protection.Exempt:
		f.Severity = dispensing.Note
		r.find(f, "The records of all orders of %s are closed, and nobody said where it is; what is in it (%s, %s) is less than the %s up to which Y-90 is exempt (%s)", id, show(item.Activity), item.Where, show(protection.Exempt), protection.TransportSource)
	default:
		r.find(f, "The records of all orders of %s are closed, and nobody said where it is: %s are in it (%s)", id, show(item.Activity), item.Where)
	}
}

// left holds an empty package against what the transport rules ask of it.
func (r *reader) left(x *fact.LeftSite, n int) {
	if x.How != fact.LeftReturned {
		return
	}
	var wrong []string
	if x.Surface.IsZero() {
		wrong = append(wrong, "its surface was not measured")
	} else if x.Surface.Value > protection.Excepted {
		wrong = append(wrong, "its surface reads "+quantity.Shown(x.Surface.Text)+", and an excepted package up to 5 µSv/h (49 CFR 173.421)")
	}
	if x.OldLabels != fact.Says {
		wrong = append(wrong, "its old labels were not removed")
	}
	if x.EmptyLabel != fact.Says {
		wrong = append(wrong, "it is not marked as empty")
	}
	if limit, ok, _ := r.rules.Get(rules.PackageWipe); ok && x.Inside != nil {
		m, gross, blank, _ := r.wipe(x.Inside, "", x.At) // the entry names no counter
		switch j, err := m.Judge(gross, blank); {
		case err != nil:
			wrong = append(wrong, "the wipe of its inside cannot be used")
		case j.Detected && limit.Reached(float64(j.Surface)/insideFactor):
			wrong = append(wrong, "its inside has "+surface(j)+", more than a hundred times the limit of the outside (49 CFR 173.428), and "+limit.Bound()+" is not allowed there ("+limit.Source()+")")
		}
	} else if x.Inside == nil {
		wrong = append(wrong, "its inside was not wiped")
	}
	if len(wrong) > 0 {
		r.find(Finding{Code: EmptyPackage, Severity: dispensing.Warn, Page: Waste, About: x.Of, Entry: n, Do: "Tell the carrier and the supplier, and write what was done."}, "%s was sent back as an empty package on %s, and %s", x.Of, r.clock(x.At), strings.Join(wrong, ", and "))
	}
}

// insideFactor is how much more the inside of an empty package may have than its outside
// (49 CFR 173.428, as a transport manual has it).
const insideFactor = 100
