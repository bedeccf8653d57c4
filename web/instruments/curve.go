package instruments

import (
	"fmt"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/picture"
	"vialwright/quantity"
	"vialwright/settling"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/view"
	"vialwright/web/words"
)

// Rows of the form: so many at most, of which so many must be filled in.
const (
	mostRows  = 12
	leastRows = 4
)

// curveCase is the case of the address, for who may see the figures of all its
// doses.
func (q *request) curveCase() (*kit.State, error) {
	st, err := q.CaseState()
	if err != nil {
		return nil, err
	}
	if q.BlindAnywhere(st) {
		return nil, &kit.Refusal{Status: http.StatusForbidden, Heading: "Blind", Text: "you may do the second check of one of these doses, and this page would show you figures of its vial", Hint: "do the check first, or let another person do this", Back: "/"}
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
	if q.Sheet() != nil {
		return &kit.Refusal{Status: http.StatusConflict, Heading: "Not from paper", Text: "a settling test is entered where it was read", Hint: "end the late entry first", Back: "/"}
	}
	typed := q.R.PostForm
	closeUp(typed)
	kit.CompleteDates([]kit.Part{{Inputs: []kit.Input{{Name: "at", Kind: "time"}}}}, typed, q.Now.In(st.Zone.Loc()))
	return q.Enter(q.curveForm(st), st, func(status int, f view.Form) error {
		now, err := q.curveCase()
		if err != nil {
			return err
		}
		return q.curveShow(now, status, &f)
	})
}

func rowOf(n int, what string) string {
	return kit.Control(0, "readings."+strconv.Itoa(n)+"."+what)
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

func curveHref(unit string) string {
	at := "/curve"
	if unit != kit.ActivityUnits[0] {
		at += "?unit=" + url.QueryEscape(unit)
	}
	return at
}

func (q *request) curveUnit() string {
	if unit := q.R.URL.Query().Get("unit"); slices.Contains(kit.ActivityUnits, unit) {
		return unit
	}
	return kit.ActivityUnits[0]
}

func (q *request) curveForm(st *kit.State) *kit.Form {
	var vials []string
	last := ""
	for _, v := range st.Case.Vials {
		vials = append(vials, v.ID)
		if at := books.LastResuspended(st.File, v.ID, q.Now); len(st.Case.Vials) == 1 && !at.IsZero() {
			last = at.In(st.Zone.Loc()).Format("2006-01-02T15:04:05")
		}
	}
	unit := q.curveUnit()
	p := kit.Part{Kind: "settling-test", Inputs: []kit.Input{
		kit.Chosen("meter", "", kit.IDs(kit.MeterIDs(st.File)...)),
		kit.Chosen("of", "Vial", kit.IDs(vials...)),
		{Name: "at", Kind: "text", Value: last, Small: true, Hint: "Such as 11:09:40."},
		{Name: "background", Unit: "MBq"},
	}}
	for n := 1; n <= mostRows; n++ {
		row := "readings." + strconv.Itoa(n) + "."
		p.Inputs = append(p.Inputs,
			kit.Input{Name: row + "since", Label: "Reading " + strconv.Itoa(n) + ": time since resuspension", Kind: "amount", Units: []string{"s"}, Unit: "s", Must: n <= leastRows},
			kit.Input{Name: row + "gross", Label: "Reading " + strconv.Itoa(n) + ": as displayed", Kind: "amount", Units: []string{unit}, Unit: unit, Must: n <= leastRows})
	}
	at := curveHref(unit)
	return &kit.Form{
		ID: "curve", Title: "Enter a settling test", Action: at, Button: "Record the readings", Act: people.ReadMeter, Expanded: true,
		To: at, Said: "The readings are recorded.", Parts: []kit.Part{p}, Permit: q.curvePermit, After: curveFits,
	}
}

// curvePermit refuses readings that are still to come.
func (q *request) curvePermit(_ *kit.State, facts []fact.Fact) error {
	for _, x := range fact.Of[*fact.SettlingTest](facts) {
		if fact.At(x).After(q.Now.Add(kit.Soonest)) {
			return kit.Faults{kit.Control(0, "at"): {Text: "the last reading is in the future", Way: "check the time of resuspension, and the times since"}}
		}
	}
	return nil
}

// curveFits refuses readings that no curve can be fitted to.
func curveFits(before, after *kit.State) error {
	for _, x := range after.Case.Curves {
		if _, old := before.File.Entry(x.Entry); old {
			continue
		}
		if _, err := settling.FitReadings(x.Readings); err != nil {
			e, _ := err.(*settling.Error) // the package gives no other error
			return kit.Faults{"": {Text: e.Msg, Way: e.Hint}}
		}
	}
	return nil
}

// curveShow shows what is known of the meters and vials of the case, and asks
// for readings.
func (q *request) curveShow(st *kit.State, status int, sent *view.Form) error {
	p := Curves{
		Page: q.Page("Settling test"), Back: view.Link{Text: "Board", Href: "/"},
		Intro: "The spheres of a vial in the well sink to where the meter sees more or less of them. Resuspend a vial, put it into the well, and read it again and again until it has settled. Leave it in the well all the time. " +
			"The bench shows the newest result of a meter and a kind of vial beside the clock. No reading is corrected by it.",
	}
	var kinds []string
	for _, v := range st.Case.Vials {
		if kind := v.Kind(); !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
	}
	for _, m := range kit.MeterIDs(st.File) {
		for _, kind := range kinds {
			p.Cards = append(p.Cards, q.curveCard(m, kind))
		}
	}
	for _, unit := range kit.ActivityUnits {
		p.Units = append(p.Units, view.Link{Text: "Readings in " + unit, Href: curveHref(unit), Current: unit == q.curveUnit()})
	}
	switch {
	case sent != nil:
		p.Form = sent
	case q.Sheet() != nil || len(kinds) == 0:
		p.Why = "There is no vial yet to read."
		if len(kinds) > 0 {
			p.Why = "A settling test is not entered from paper: end the late entry first."
		}
	default:
		f := q.FormOf(q.curveForm(st), st.File.Taken, nil, nil)
		if slices.ContainsFunc(p.Cards, func(c CurveCard) bool { return c.None == "" }) {
			for i := range f.Fields {
				f.Fields[i].Focus = false // what is known stands first, and stays in sight
			}
		}
		p.Form = &f
	}
	return q.Show(status, pages, p)
}

func (q *request) curveCard(meter, kind string) CurveCard {
	card := CurveCard{Title: meter + ", " + kind}
	x := q.curves.Newest(meter, kind)
	if x == nil {
		card.None = "There is no settling test of this kind of vial with this meter."
		return card
	}
	st, err := q.Reckon(q.Lab.File(x.Of), q.Now)
	switch {
	case err != nil || q.BlindAnywhere(st):
		card.None = "The test was made with " + x.Of + ". You may still do a second check of it, so the figures are not shown to you."
		return card
	case x.Err != nil:
		e, _ := x.Err.(*settling.Error) // the package gives no other error
		card.None = "The readings of " + x.Of + " give no curve: " + e.Msg + "; " + e.Hint + "."
		return card
	}
	card.From = fmt.Sprintf("%d readings of %s with %s in it, resuspended at %s.", len(x.Readings), x.Of, quantity.FormatDigits(x.Volume, 3, "mL"), st.Zone.Clock(x.At))
	card.Says = fitPairs(x)
	card.Effect = effectOf(x)
	c := courseOf(x)
	c.Mark = q.Mark()
	card.Picture = picture.ReadingCourse(c)
	return card
}

func fitPairs(x *lessons.Curve) []view.Pair {
	b, a, tau := x.Fit.U()
	change, held := quantity.Show(x.Fit.Amplitude, a).String(), quantity.Show(x.Fit.Tau, tau).String()
	if x.Fit.TauHeld {
		change += ", if it settles with " + quantity.ShowSpan(x.Fit.Tau)
		held = "not known from these readings"
	}
	fits := "fits"
	if x.Fit.P < 0.05 {
		fits = "does not fit at the 95 % level, so the uncertainties are enlarged"
	}
	return []view.Pair{
		{Name: "Freshly resuspended", Value: quantity.Both(x.Fit.Fresh, b)},
		{Name: "Change when all has settled", Value: change},
		{Name: "Time constant", Value: held},
		{Name: "Chi-square, degrees of freedom", Value: fmt.Sprintf("%.3g, %d: the curve %s", x.Fit.Chi2, x.Fit.DOF, fits)},
		{Name: "Read up to", Value: quantity.ShowSpan(x.Fit.Last) + " after resuspension"},
	}
}

func effectOf(x *lessons.Curve) view.Notice {
	n := view.Notice{Kind: "note", Word: "Effect", Text: "At the 95 % level the reading changes while the vial settles. " + words.Sentence(x.Within())}
	if !x.Fit.Effect {
		n = view.Notice{Kind: "done", Word: "No effect", Text: "At the 95 % level the reading does not change while the vial settles: " + x.Within()}
	}
	return n
}

func courseOf(x *lessons.Curve) picture.Course {
	share := func(a quantity.Activity) quantity.Fraction { return quantity.Fraction(a / x.Fit.Fresh) }
	c := picture.Course{ID: x.Meter + "-" + x.Vial, Title: "The reading of " + x.Meter + " while a vial of " + x.Vial + " settles", End: x.Fit.Last, Within: lessons.ReadingWithin, WithinText: "within 1 % of the fresh reading, an assumption"}
	for _, r := range x.Readings {
		c.Readings = append(c.Readings, picture.CourseReading{At: r.At, Of: share(r.Value) - 1, U: share(r.U)})
	}
	const points = 120
	for i := range points + 1 {
		t := x.Fit.Last * quantity.Span(i) / points
		c.Fitted = append(c.Fitted, picture.Share{At: t, Of: share(x.Fit.Reads(t)) - 1})
	}
	if until, ends := x.Fit.Within(lessons.ReadingWithin); ends {
		c.Until, c.UntilText = until, "1 % off after "+quantity.ShowSpan(quantity.Span(math.Floor(float64(until))))
	}
	_, a, _ := x.Fit.U()
	c.Desc = fmt.Sprintf("%d readings up to %s after resuspension; the fitted curve changes by %s in all. %s", len(x.Readings), quantity.ShowSpan(x.Fit.Last), quantity.Show(x.Fit.Amplitude, a), words.Sentence(x.Within()))
	return c
}
