package hotlab

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/inventory"
	"vialwright/people"
	"vialwright/protection"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// notYet is shown instead of figures to who may still do a second check.
const notYet = "not shown before your second check"

// unseen stands in for the findings of a page before the second check: they say what is in a
// container, and that nothing was found would not be true.
func unseen(page hotlab.Page) []hotlab.Finding {
	return []hotlab.Finding{{Severity: dispensing.Note, Page: page, Text: "Findings are " + notYet + ".", Do: "Do the second check first."}}
}

// page is a page of the room with the findings of its subject and the forms that are
// entered from it.
func (q *request) page(heading, intro string, of hotlab.Page, b hotlab.Book, forms ...string) view.FormPage {
	p := view.FormPage{Page: q.Page(heading), Heading: heading, Intro: intro, Back: view.Link{Text: "Board", Href: "/"}}
	if q.rules == nil {
		p.Cautions = append(p.Cautions, view.Notice{Kind: "warn", Word: "No rules", Text: "No rule profile is named: nothing is held against a limit.", Hint: "Start the program with --rules, such as --rules us-nc."})
	}
	found := slices.DeleteFunc(b.On(of), func(f hotlab.Finding) bool { return f.Private && q.WithholdsOf(f.About) })
	for _, f := range found {
		n := view.Notice{Kind: string(f.Severity), Word: view.Weights[string(f.Severity)], Text: words.TimesOnTheWall(f.Text, q.Now), Hint: f.Do}
		if f.Entry > 0 {
			n.Mend = view.Link{Text: fmt.Sprint("Entry ", f.Entry), Href: fmt.Sprintf("/entry/%d/correct", f.Entry)}
		}
		p.Cautions = append(p.Cautions, n)
	}
	if len(found) == 0 {
		p.Cautions = append(p.Cautions, view.Notice{Kind: "done", Word: "Nothing found", Text: "Nothing is wrong with what was entered."})
	}
	for _, kind := range forms {
		if e := entered[kind]; people.May(q.Who.Person, fact.KindNamed(kindOf(kind)).Act) == nil {
			p.Links = append(p.Links, view.Link{Text: e.title, Href: entering + kind})
		}
	}
	return p
}

func (q *request) clock(t time.Time) string {
	return words.Zoned{Location: q.Location()}.Wall(t, q.Now)
}

func (q *request) on(t time.Time) string { return words.Zoned{Location: q.Location()}.On(t, q.Now) }

// parcelsPage lists the parcels, the newest first.
func parcelsPage(q *request) error {
	b, err := q.read()
	if err != nil {
		return err
	}
	p := q.page("Parcels", "What was ordered, what came, and what was measured of it before it was opened.", hotlab.Parcels, b, "offer", "expect-parcel", "parcel", "parcel-survey", "open-parcel", "working-time", "holiday", "contact")
	for _, c := range b.Contacts {
		p.Facts = append(p.Facts, view.Pair{Name: "Call for a " + string(c.Occasion), Value: c.Name + ": " + c.Phone})
	}
	for _, x := range slices.Backward(b.Parcels) {
		p.Facts = append(p.Facts, view.Pair{Name: x.ID, Value: q.parcelSays(x)})
	}
	return q.show(p)
}

func (q *request) parcelSays(x hotlab.Parcel) string {
	var says []string
	if x.Ordered != nil && x.Arrived == nil {
		return "due " + q.clock(x.Ordered.Due) + ", " + words.Plural(x.Ordered.Vials, "vial") + " of " + x.Ordered.Labelled.Text
	}
	if a := x.Arrived; a != nil {
		says = append(says, "arrived "+q.clock(a.At), words.Plural(a.Vials, "vial")+" of "+a.Labelled.Text+" at "+a.Reference.Format("2006-01-02 15:04 -07:00")+" as printed")
	}
	switch {
	case x.Surveyed != nil:
		says = append(says, "surveyed "+q.clock(x.Surveyed.At)+fmt.Sprintf(": TI %.1f, %s", x.Index, x.Category))
	case !x.Due.IsZero():
		says = append(says, "to be surveyed by "+q.clock(x.Due))
	}
	if x.Swab != nil {
		says = append(says, "wipe: "+wipeSays(*x.Swab))
	}
	if x.Opened != nil {
		says = append(says, "opened "+q.clock(x.Opened.At))
	}
	if len(x.Vials) > 0 {
		says = append(says, "held "+strings.Join(x.Vials, ", "))
	}
	return strings.Join(says, "; ") + "."
}

// binsPage lists the waste bins, the newest first.
func binsPage(q *request) error {
	b, err := q.read()
	if err != nil {
		return err
	}
	blind := q.blind()
	if blind {
		b.Findings = unseen(hotlab.Waste)
	}
	p := q.page("Waste bins", "What is in each bin, when it is ready to be surveyed by each rule in force, and what its surface should read now. What goes into a bin is entered on the board, as Add to waste; Waste lists it item by item.", hotlab.Waste, b, "close-bin", "bin-reading", "impurity", "release-bin", "left-site", handedOn, lost, "keep-stock")
	for _, x := range slices.Backward(b.Bins) {
		says := BinSays(x, q.clock)
		if blind { // when it is ready may follow from what is in it
			says, x.Ready = notYet, nil
		}
		var parts []string
		for _, y := range x.Parts {
			parts = append(parts, y.From)
		}
		p.Facts = append(p.Facts, view.Pair{Name: x.ID, Value: says}, view.Pair{Name: x.ID + ", what is in it", Value: strings.Join(parts, ", ")})
		for _, y := range x.Ready {
			when := "held"
			if !y.Hold {
				when = q.clock(y.At)
			}
			p.Facts = append(p.Facts, view.Pair{Name: x.ID + ", ready", Value: when + ": " + y.Why})
		}
	}
	return q.show(p)
}

func personsPage(q *request) error {
	b, err := q.read()
	if err != nil {
		return err
	}
	p := q.page("Persons", "Doses as the dosimetry service reported them, contaminations of the skin, and training. Of rings and fingertip dosemeters the hand that got more counts: the limit is that of each extremity (10 CFR 20.1201(a)(2), its wording from memory). The official record is that of the service. What a dosemeter that is read directly showed for one order is entered on the board; Staff doses sums it.", hotlab.Persons, b,
		"dose-report", "wears", "finger-ratio", "investigation-level", "contaminated", "pregnancy", "training")
	if people.May(q.Who.Person, fact.KindNamed("dose-report").Act) == nil {
		p.Links = append(p.Links, view.Link{Text: "Enter a report as CSV", Href: entering + doseFile})
	}
	for _, x := range b.Persons {
		if q.WithholdsOf(x.ID) {
			x.Year = maps.Clone(x.Year)
			delete(x.Year, fact.WornFetus)
		} else if !x.Pregnant.IsZero() {
			p.Facts = append(p.Facts, view.Pair{Name: q.NameOf(x.ID) + ", pregnancy", Value: "declared for " + q.clock(x.Pregnant)})
		}
		p.Facts = append(p.Facts, view.Pair{Name: q.NameOf(x.ID), Value: DosesSay(x, b) + "."})
		for _, t := range x.Training {
			until := "without an end"
			if !t.Until.IsZero() {
				until = "until " + q.clock(t.Until)
			}
			p.Facts = append(p.Facts, view.Pair{Name: q.NameOf(x.ID) + ", trained", Value: t.In + ", " + until})
		}
	}
	for _, s := range b.Skin {
		p.Facts = append(p.Facts, view.Pair{Name: q.NameOf(s.Who) + ", skin", Value: s.Part + ": " + hotlab.Dose(s.Dose) + " by " + protection.SkinSource + ", between " + hotlab.Dose(s.Low) + " and " +
			hotlab.Dose(s.High) + " by our own transport calculations, averaged over " + quantity.Show(s.Average, 0).String()})
	}
	return q.show(p)
}

// inventoryPage says what is held, now or at the time that is asked.
func inventoryPage(q *request) error {
	b, err := q.read()
	if err != nil {
		return err
	}
	at := b.At.In(q.Location()) // what was read is not read again
	typed := q.R.FormValue("at")
	var wrong error
	if typed != "" {
		t, err := quantity.ParseTime(typed, q.Location())
		if wrong = err; err == nil {
			at = t
		}
	}
	v := b.Inventory
	if !at.Equal(b.At) {
		w, err := World(q.Lab, at.Add(-inventory.LookBack), at, q.Location(), q.Zones, q.rules)
		if err != nil {
			return err
		}
		v = inventory.Take(w.Books, at)
	}
	blind := q.blind()
	if blind {
		b.Findings = unseen(hotlab.Inventory)
	}
	p := q.page("Inventory", "What is held at "+q.clock(at)+", by line of the licence; parcels that are due by then included.", hotlab.Inventory, b, "licence-line", "expect-parcel")
	ask := view.Field{Kind: "text", Name: "at", Label: "At", Value: typed, Small: true, Hint: "Past or future, such as " + q.Now.In(q.Location()).AddDate(0, 0, 7).Format("2006-01-02") + "T17:00."}
	if wrong != nil {
		ask.Error, ask.Way = wrong.Error(), "write date and time"
	}
	order, says := q.orderForm(blind)
	p.Forms = []view.Form{kit.PlainForm("at", "At another time", "/inventory", "Show", ask), order}
	p.Cautions = append(says, p.Cautions...)
	if blind {
		p.Facts = append(p.Facts, view.Pair{Name: "All figures", Value: notYet})
		return q.show(p)
	}
	for _, l := range v.Lines {
		name, limit := l.ID+", "+l.Nuclide+", "+l.Form, "no limit is entered"
		if l.ID == "" {
			name, limit = "Of no line", "enter the lines of the licence"
		}
		if !l.Most.IsZero() {
			limit = "of " + l.Most.Text
		}
		if l.Over && !at.Equal(b.At) { // what is over now is among the findings
			p.Cautions = append([]view.Notice{{Kind: "stop", Word: "Too much", Text: "More is held of " + name + " at " + q.clock(at) + " than the licence allows: " + quantity.Both(l.Held, l.U) + " " + limit + "."}}, p.Cautions...)
		}
		if due := v.Total(func(w inventory.Where) bool { return w == inventory.Expected }); due > 0 && len(v.Lines) == 1 {
			limit += "; " + quantity.Both(due, 0) + " of it is in parcels due by then that have not arrived"
		}
		p.Facts = append(p.Facts, view.Pair{Name: name, Value: quantity.Both(l.Held, l.U) + ", " + limit})
	}
	items := slices.Clone(v.Items)
	slices.SortStableFunc(items, func(a, b inventory.Item) int { return cmp.Compare(b.Activity, a.Activity) }) // what counts stands first
	for _, i := range items {
		p.Facts = append(p.Facts, view.Pair{Name: i.ID, Value: v.Place(i) + ": " + quantity.Both(i.Activity, i.U) + ", by " + i.Known})
	}
	return q.show(p)
}
