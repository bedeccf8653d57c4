package web

import (
	"fmt"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/picture"
	"vialwright/quantity"
	"vialwright/settling"
	"vialwright/web/view"
)

// Rows of the form: so many at most, of which so many must be filled in.
const (
	mostRows  = 12
	leastRows = 4
)

// curveCase is the case of the address, for who may see the figures of all its
// doses.
func (q *request) curveCase() (*state, error) {
	st, err := q.caseState()
	if err != nil {
		return nil, err
	}
	if q.blindAnywhere(st) {
		return nil, &refusal{http.StatusForbidden, "Blind", "you may do the second check of one of these doses, and this page would show you figures of its vial", "do the check first, or let somebody else", "/"}
	}
	return st, nil
}

func curvePage(q *request) error {
	st, err := q.curveCase()
	if err != nil {
		return err
	}
	return q.curveShow(st, http.StatusOK, nil)
}

func curveDo(q *request) error {
	st, err := q.curveCase()
	if err != nil {
		return err
	}
	if q.sheet() != nil {
		return &refusal{http.StatusConflict, "Not from paper", "a curve of readings is entered where it was read", "put the sheet away first", "/"}
	}
	typed := q.r.PostForm
	closeUp(typed)
	lately([]part{{inputs: []input{{name: "at", kind: "time"}}}}, typed, q.now.In(st.zone.loc()))
	return q.enter(q.curveForm(st), st, func(status int, f view.Form) error {
		now, err := q.curveCase()
		if err != nil {
			return err
		}
		return q.curveShow(now, status, &f)
	})
}

// rowOf is the control of a row.
func rowOf(n int, what string) string {
	return control(0, "readings."+strconv.Itoa(n)+"."+what)
}

// closeUp moves the rows up that follow on an empty one, so that a row has the
// number of its reading.
func closeUp(typed url.Values) {
	to := 1
	for n := 1; n <= mostRows; n++ {
		since, gross := typed.Get(rowOf(n, "since")), typed.Get(rowOf(n, "gross"))
		if strings.TrimSpace(since+gross) == "" {
			continue
		}
		if n != to {
			typed.Set(rowOf(to, "since"), since)
			typed.Set(rowOf(to, "gross"), gross)
			typed.Del(rowOf(n, "since"))
			typed.Del(rowOf(n, "gross"))
		}
		to++
	}
}

// curveHref is the address of the page, with the unit that readings are in.
func curveHref(unit string) string {
	at := "/curve"
	if unit != activityUnits[0] {
		at += "?unit=" + url.QueryEscape(unit)
	}
	return at
}

// curveUnit is the unit that the address asks for.
func (q *request) curveUnit() string {
	if unit := q.r.URL.Query().Get("unit"); slices.Contains(activityUnits, unit) {
		return unit
	}
	return activityUnits[0]
}

// curveForm asks for the readings of a vial that settles.
func (q *request) curveForm(st *state) *entryForm {
	var vials []string
	shaken := ""
	for _, v := range st.Case.Vials {
		vials = append(vials, v.ID)
		if at := lastShaken(st.file, v.ID, q.now); len(st.Case.Vials) == 1 && !at.IsZero() {
			shaken = at.In(st.zone.loc()).Format("2006-01-02T15:04:05")
		}
	}
	unit := q.curveUnit()
	p := part{kind: "settling-test", inputs: []input{
		chosen("meter", "Activity meter", words(meters(st.file)...)),
		chosen("of", "Vial", words(vials...)),
		{name: "at", label: "When it was last shaken", kind: "text", value: shaken, must: true, small: true, hint: "Such as 11:09:40."},
		{name: "background", label: "Background", kind: "amount", units: activityUnits, unit: "MBq", must: true},
	}}
	for n := 1; n <= mostRows; n++ {
		row := "readings." + strconv.Itoa(n) + "."
		p.inputs = append(p.inputs,
			input{name: row + "since", label: "Reading " + strconv.Itoa(n) + ": time since shaking", kind: "amount", units: []string{"s"}, unit: "s", must: n <= leastRows},
			input{name: row + "gross", label: "Reading " + strconv.Itoa(n) + ": as displayed", kind: "amount", units: []string{unit}, unit: unit, must: n <= leastRows})
	}
	at := curveHref(unit)
	return &entryForm{
		id: "curve", title: "Enter readings of a vial that settles", action: at, button: "Record the readings", act: people.ReadMeter, flat: true,
		to: at, said: "The readings are recorded.", parts: []part{p}, permit: q.curvePermit, after: curveFits,
	}
}

// curvePermit refuses readings that are still to come.
func (q *request) curvePermit(_ *state, facts []fact.Fact) error {
	for _, f := range facts {
		x, ok := f.(*fact.SettlingTest)
		if !ok {
			continue
		}
		if fact.At(x).After(q.now.Add(time.Minute)) {
			return faults{control(0, "at"): {"the last of the readings is still to come", "check the time of the shaking, and the times since"}}
		}
	}
	return nil
}

// curveFits refuses readings that no curve can be fitted to.
func curveFits(before, after *state) error {
	for _, x := range after.Case.Curves {
		if _, old := before.file.Entry(x.Entry); old {
			continue
		}
		if _, err := settling.FitReadings(x.Readings); err != nil {
			e, _ := err.(*settling.Error) // the package gives no other error
			return faults{"": {e.Msg, e.Hint}}
		}
	}
	return nil
}

// curveShow shows what is known of the meters and vials of the case, and asks
// for readings.
func (q *request) curveShow(st *state, status int, sent *view.Form) error {
	p := view.Curves{
		Page: q.page("Settling test"), Back: view.Link{Text: "Board", Href: "/"},
		Intro: "The spheres of a vial in the well sink to where the meter sees more or less of them. Read one vial again and again, from its shaking until it has settled, and leave it in the well all the while. " +
			"What the newest such readings of a meter say of a kind of vial, the bench says beside the clock. No reading is corrected by it.",
	}
	var kinds []string
	for _, v := range st.Case.Vials {
		if kind := v.Kind(); !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
	}
	for _, m := range meters(st.file) {
		for _, kind := range kinds {
			p.Cards = append(p.Cards, q.curveCard(m, kind))
		}
	}
	for _, unit := range activityUnits {
		p.Units = append(p.Units, view.Link{Text: "Readings in " + unit, Href: curveHref(unit), Current: unit == q.curveUnit()})
	}
	switch {
	case sent != nil:
		p.Form = sent
	case q.sheet() != nil || len(kinds) == 0:
		p.Why = "There is no vial yet to read."
		if len(kinds) > 0 {
			p.Why = "Readings of a vial that settles are not entered from paper: put the sheet away first."
		}
	default:
		f := q.form(q.curveForm(st), st.file.Taken, nil, nil)
		if slices.ContainsFunc(p.Cards, func(c view.CurveCard) bool { return c.None == "" }) {
			for i := range f.Fields {
				f.Fields[i].Focus = false // what is known stands first, and stays in sight
			}
		}
		p.Form = &f
	}
	return q.show(status, p)
}

// curveCard is what is known of one meter and kind of vial.
func (q *request) curveCard(meter, kind string) view.CurveCard {
	card := view.CurveCard{Title: meter + ", " + kind}
	x := q.curves.newest(meter, kind)
	if x == nil {
		card.None = "No such vial was read while it settled by this meter."
		return card
	}
	st, err := q.reckon(q.lab.File(x.Of), q.now)
	switch {
	case err != nil || q.blindAnywhere(st):
		card.None = "It was read of " + x.Of + ", of which you may still do a second check: its figures are not shown to you."
		return card
	case x.err != nil:
		e, _ := x.err.(*settling.Error) // the package gives no other error
		card.None = "The readings of " + x.Of + " give no curve: " + e.Msg + "; " + e.Hint + "."
		return card
	}
	card.From = fmt.Sprintf("%d readings of %s with %s in it, shaken at %s.", len(x.Readings), x.Of, quantity.FormatDigits(x.Volume, 3, "mL"), st.zone.clock(x.At))
	card.Says = fitPairs(x)
	card.Effect = effectOf(x)
	c := courseOf(x)
	c.Mark = q.mark()
	card.Wide = picture.ReadingCourse(c)
	c.Form = picture.Narrow
	card.Narrow = picture.ReadingCourse(c)
	return card
}

// fitPairs are the figures of the fit.
func fitPairs(x *curve) []view.Pair {
	b, a, tau := x.fit.U()
	change, held := quantity.Show(x.fit.Amplitude, a).String(), quantity.Show(x.fit.Tau, tau).String()
	if x.fit.TauHeld {
		change += ", if it settles with " + quantity.ShowSpan(x.fit.Tau)
		held = "not told by these readings"
	}
	fits := "fits"
	if x.fit.P < 0.05 {
		fits = "does not fit at the 95 % level, so the uncertainties are enlarged"
	}
	return []view.Pair{
		{Name: "Freshly shaken", Value: quantity.Both(x.fit.Fresh, b)},
		{Name: "Change when all has settled", Value: change},
		{Name: "Time constant", Value: held},
		{Name: "Chi-square over degrees of freedom", Value: fmt.Sprintf("%.3g over %d: the curve %s", x.fit.Chi2, x.fit.DOF, fits)},
		{Name: "Read up to", Value: quantity.ShowSpan(x.fit.Last) + " after shaking"},
	}
}

// effectOf is what it comes to.
func effectOf(x *curve) view.Notice {
	n := view.Notice{Kind: "note", Word: "Effect", Text: "At the 95 % level the reading changes while the vial settles. " + sentence(x.within())}
	if !x.fit.Effect {
		n = view.Notice{Kind: "done", Word: "No effect", Text: "At the 95 % level the reading does not change while the vial settles: " + x.within()}
	}
	return n
}

// courseOf is the picture of the readings with the fitted curve.
func courseOf(x *curve) picture.Course {
	share := func(a quantity.Activity) quantity.Fraction { return quantity.Fraction(a / x.fit.Fresh) }
	c := picture.Course{ID: x.Meter + "-" + x.Vial, Title: "The reading of " + x.Meter + " while a vial of " + x.Vial + " settles", End: x.fit.Last, Within: readingWithin, WithinText: "within 1 % of the fresh reading, an assumption"}
	for _, r := range x.Readings {
		c.Readings = append(c.Readings, picture.CourseReading{At: r.At, Of: share(r.Value) - 1, U: share(r.U)})
	}
	const points = 120
	for i := range points + 1 {
		t := x.fit.Last * quantity.Span(i) / points
		c.Fitted = append(c.Fitted, picture.Share{At: t, Of: share(x.fit.Reads(t)) - 1})
	}
	if until, ends := x.fit.Within(readingWithin); ends {
		c.Until, c.UntilText = until, "1 % off after "+quantity.ShowSpan(quantity.Span(math.Floor(float64(until))))
	}
	_, a, _ := x.fit.U()
	c.Desc = fmt.Sprintf("%d readings up to %s after shaking; the fitted curve changes by %s in all. %s", len(x.Readings), quantity.ShowSpan(x.fit.Last), quantity.Show(x.fit.Amplitude, a), sentence(x.within()))
	return c
}
