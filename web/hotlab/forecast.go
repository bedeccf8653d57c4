package hotlab

import (
	"net/url"
	"strconv"
	"time"

	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/inventory"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// ahead is how long after it is due an order is looked at together with others: five
// half-lives of Y-90 leave a thirtieth.
const ahead = 14 * 24 * time.Hour

// withOrder is the inventory with the most on hand from when an order is due, as if it were
// ordered too.
func (q *request) withOrder(x *fact.ExpectParcel) (inventory.Inventory, error) {
	_, b, err := q.kept()
	if err != nil {
		return inventory.Inventory{}, err
	}
	with := inventory.Fit(b.With(x), x.Due)
	var all []inventory.Inventory
	for _, t := range inventory.Moments(with.Books, x.Due, x.Due.Add(ahead)) {
		all = append(all, with.At(t))
	}
	return inventory.Most(all), nil
}

// doubt asks about what is odd before it is recorded: an instrument past its calibration,
// readings of a parcel that seem to be swapped, and an order with which more would be held than a line of the licence allows.
func (q *request) doubt(facts []fact.Fact) (*kit.Doubt, error) {
	b, err := q.read()
	if err != nil {
		return nil, err
	}
	for _, f := range facts {
		for _, m := range metersOf(f, b) {
			if m.code == hotlab.MeterOverdue {
				return &kit.Doubt{Control: kit.Control(0, m.field), Text: "the calibration of " + m.id + " was due " + q.on(m.x.Due) + ", and what it reads counts for no release", Way: "Read it with an instrument in calibration.", Yes: "Record it all the same"}, nil
			}
		}
		if s, ok := f.(*fact.ParcelSurvey); ok && s.Metre.Value > 1.5*s.Surface.Value {
			return &kit.Doubt{Control: kit.Control(0, "surface"), Text: "it reads " + s.Surface.Text + " at the surface and " + s.Metre.Text + " at 1 m: are the two swapped?", Way: "The surface is nearer, and reads more.", Yes: "It is so"}, nil
		}
		x, ok := f.(*fact.ExpectParcel)
		if !ok {
			continue
		}
		v, err := q.withOrder(x)
		if err != nil {
			return nil, err
		}
		for _, l := range v.Lines {
			if l.Over {
				return &kit.Doubt{Control: kit.Control(0, "labelled"), Text: q.lineSays(l, v.At, q.blind()), Way: "Order less or for a later day, or have the line of the licence changed first.", Yes: "Record it all the same"}, nil
			}
		}
	}
	return nil, nil
}

// lineSays is what a line of the licence would hold with an order; without figures to who is
// blind, since they may still do a second check.
func (q *request) lineSays(l inventory.Line, at time.Time, blind bool) string {
	held := quantity.Both(l.Held, l.U)
	if blind {
		held = "an activity that is " + notYet
	}
	says := "with this order " + held + " would be held of " + l.Nuclide + ", " + l.Form + " (" + l.ID + ") " + q.on(at)
	switch {
	case l.ID == "":
		return "with this order " + held + " would be held " + q.on(at) + " of no line of the licence"
	case l.Over:
		return says + ": more than the " + l.Most.Text + " that the licence allows"
	case l.Most.IsZero():
		return says + ", and no limit is entered"
	}
	return says + ", and the licence allows " + l.Most.Text
}

// orderForm asks what would be held with an order, before it is sent.
func (q *request) orderForm(blind bool) (view.Form, []view.Notice) {
	day := q.Now.In(q.Location()).AddDate(0, 0, 3)
	fields := []view.Field{
		{Kind: "text", Name: "vials", Label: "Number of vials", Small: true, Required: true},
		{Kind: "text", Name: "labelled", Label: "Activity of each, with its unit", Small: true, Required: true},
		{Kind: "text", Name: "reference", Label: "Reference time", Required: true, Hint: "With its offset, such as " + day.AddDate(0, 0, 2).Format("2006-01-02") + "T18:00" + day.Format("Z07:00") + "."},
		{Kind: "text", Name: "due", Label: "Due", Required: true, Hint: "Such as " + day.Format("2006-01-02") + "T17:00."},
	}
	asked := q.R.FormValue("due") != ""
	for i := range fields {
		fields[i].Value = q.R.FormValue(fields[i].Name)
	}
	var says []view.Notice
	if asked {
		x, wrong := q.ordered(q.R.Form)
		wrong.Beside(fields)
		if wrong == nil {
			says = q.orderSays(x, blind)
		}
	}
	return kit.PlainForm("order", "What would be held with an order?", "/inventory", "Show", fields...), says
}

// ordered reads an order that might be sent, and says what is wrong with its fields.
func (q *request) ordered(typed url.Values) (*fact.ExpectParcel, kit.Faults) {
	wrong := kit.Faults{}
	bad := func(field string, err error, way string) {
		if err != nil {
			wrong[field] = kit.Fault{Text: err.Error(), Way: way}
		}
	}
	x := &fact.ExpectParcel{Parcel: "this order"}
	n, err := strconv.Atoi(typed.Get("vials"))
	if x.Vials = n; err != nil || n < 1 {
		wrong["vials"] = kit.Fault{Text: "this is no number of vials", Way: "write a whole number from 1 on"}
	}
	x.Labelled, err = quantity.Parse[quantity.Activity](typed.Get("labelled"))
	bad("labelled", err, "write number and unit, such as 3.0 GBq")
	x.Reference, err = quantity.ParseTime(typed.Get("reference"), nil)
	bad("reference", err, "write it as it will be printed, with its offset")
	x.Due, err = quantity.ParseTime(typed.Get("due"), q.Location())
	bad("due", err, "write date and time")
	if len(wrong) > 0 {
		return nil, wrong
	}
	return x, nil
}

func (q *request) orderSays(x *fact.ExpectParcel, blind bool) (says []view.Notice) {
	v, err := q.withOrder(x)
	if err != nil {
		return []view.Notice{{Kind: "warn", Word: "Not calculated", Text: err.Error() + "."}}
	}
	for _, l := range v.Lines {
		n := view.Notice{Kind: "note", Word: "Forecast", Text: q.lineSays(l, v.At, blind)}
		if l.Over {
			n.Kind, n.Word, n.Hint = "stop", "Too much", "Order less or for a later day, or have the line of the licence changed first."
		}
		says = append(says, n)
	}
	return says
}
