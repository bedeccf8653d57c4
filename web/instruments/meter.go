package instruments

import (
	"cmp"
	"net/url"
	"regexp"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// mostRanges is how many ranges of volume one kind of container can have.
const mostRanges = 8

func metersPage(q *request) error {
	form := func(st *kit.State) *kit.Form { return q.meterForm(st, q.R.URL.Query().Get("meter"), q.R.PostForm) }
	return q.CasePage(form, q.metersShow)
}

// meterIn is a meter of a case as it is in force; nil for none.
func meterIn(st *kit.State, id string) *fact.Meter {
	_, _, all := fact.Settings(st.File.Facts())
	for _, m := range all {
		if m.ID == id {
			return m
		}
	}
	return nil
}

// metersShow lists the meters of a case, and asks for the one in the address,
// or for a new one.
func (q *request) metersShow(st *kit.State, status int, sent *view.Form) error {
	id := q.R.URL.Query().Get("meter")
	p := view.FormPage{
		Page: q.Page("Meters"), Heading: "Activity meters of the site", Back: view.Link{Text: "Board", Href: "/"},
		Intro: "A factor is the reading divided by the activity, for one kind of container. A new calibration holds from now on, or from the time that you give; a reading keeps the one that held when it was taken, also where it is entered later.",
	}
	for _, known := range kit.MeterIDs(st.File) {
		p.Links = append(p.Links, view.Link{Text: "Meter " + known, Href: "/meters?meter=" + url.QueryEscape(known)})
	}
	p.Links = append(p.Links, view.Link{Text: "A new meter", Href: "/meters"})
	m := meterIn(st, id)
	if m != nil {
		p.Facts = words.Pairs(m, st.Zone)
		if m.From.After(q.Now) {
			p.Cautions = append(p.Cautions, view.Notice{Kind: "warn", Word: "Not in force yet", Text: "This calibration holds from " + st.Zone.Clock(m.From) + "; until then the one before it.", Hint: "A newer one begins after it."})
		}
		if q.R.URL.Query().Get("ranges") == "" {
			p.Links = append(p.Links, view.Link{Text: "More ranges of volume", Href: "/meters?ranges=1&meter=" + url.QueryEscape(id)})
		}
	}
	p.Form = q.Offered(q.meterForm(st, id, nil), st, sent)
	return q.Show(status, pages, p)
}

// meterForm asks for a meter, filled with the one that is there. typed is what
// was sent, which has as many ranges as it was shown with.
func (q *request) meterForm(st *kit.State, id string, typed url.Values) *kit.Form {
	old := meterIn(st, id)
	have := map[string]string{}
	if old != nil {
		have = map[string]string{"id": old.ID, "calibration-u": old.CalibrationU.Text, "repeatability": old.Repeatability.Text}
	}
	p := kit.Part{Kind: "meter", Inputs: []kit.Input{
		{Name: "id", Value: have["id"], Focus: true, Hint: "Its id, such as M1."},
		{Name: "calibration-u", Value: bare(have["calibration-u"]), Small: true, Hint: "One standard uncertainty (k = 1): half of what a certificate states with k = 2."},
		{Name: "repeatability", Value: bare(have["repeatability"]), Small: true, Hint: "Standard deviation of one reading."},
	}}
	for _, kind := range fact.Containers() {
		var list []fact.Geometry
		if old != nil && old.Geometry != nil {
			list = old.Geometry.For(kind)
		}
		for n := range q.ranges(kind, len(list), typed) {
			var g fact.Geometry
			if n < len(list) {
				g = list[n]
			}
			p.Inputs = append(p.Inputs, factorInputs(kind, n, g)...)
		}
	}
	p.Inputs = append(p.Inputs, kit.FromInput, kit.ReasonInput)
	at := "/meters"
	e := &kit.Form{
		ID: "meter", Title: "Set a new meter", Action: at, Button: "Record the meter", Act: people.SetMeter, To: at,
		Said: "The meter is recorded.", Parts: []kit.Part{p}, Setting: q.meterFacts, TypedAs: typedAs, Expanded: true,
	}
	if old != nil {
		e.Title, e.Action = "Set meter "+id, at+"?meter="+url.QueryEscape(id)
	}
	return e
}

// ranges is how many ranges of volume are asked for a kind of container.
func (q *request) ranges(kind string, have int, typed url.Values) int {
	n := max(have, 1)
	if q.R.URL.Query().Get("ranges") != "" {
		n += 2
	}
	for k := n; k < mostRanges; k++ {
		if typed.Has(kit.Control(0, factorPath(kind, k, "factor"))) {
			n = k + 1
		}
	}
	return min(n, mostRanges)
}

func factorPath(kind string, n int, field string) string {
	return "geometry." + kind + "." + strconv.Itoa(n) + "." + field
}

func bare(text string) string {
	number, _, _ := strings.Cut(text, " ")
	return number
}

func factorInputs(kind string, n int, g fact.Geometry) []kit.Input {
	name := strings.ReplaceAll(kind, "-", " ")
	if n > 0 {
		name += ", range " + strconv.Itoa(n+1)
	}
	fill := ""
	if g.Fill != nil {
		low, _ := g.Fill.Min.Split()
		high, _ := g.Fill.Max.Split()
		fill = low + " " + high
	}
	at := func(field string) string { return factorPath(kind, n, field) }
	return []kit.Input{
		{Name: at("factor"), Label: "Factor, " + name, Kind: "number", Value: g.Factor.Text, Small: true, Hint: "Empty where it has none."},
		{Name: at("u"), Label: "Its uncertainty, " + name, Kind: "amount", Units: kit.ShareUnits, Unit: "%", Value: bare(g.U.Text), Small: true, Hint: "k = 1."},
		{Name: at("basis"), Label: "Calibration basis, " + name, Kind: "choice", Choices: kit.Choices("label", "traceable"), Value: string(g.Basis), Small: true},
		{Name: at("fill"), Label: "Fill volumes, " + name, Kind: "amounts", Units: kit.VolumeUnits, Unit: "mL", Value: fill, Small: true, Hint: "From and to, such as 1 3; empty for all."},
	}
}

func (q *request) meterFacts(parts []kit.Part, typed url.Values, zone string) ([]fact.Fact, error) {
	wrong := kit.Faults{}
	flat := parts[0].Texts(0, typed, wrong)
	meter, geometry := map[string]any{}, map[string]any{}
	for path, v := range flat {
		if !strings.HasPrefix(path, "geometry.") {
			meter[path] = v
		}
	}
	for _, kind := range fact.Containers() {
		var list []any
		for n := range mostRanges {
			row := map[string]any{}
			for _, field := range []string{"factor", "u", "basis", "fill"} {
				if v, given := flat[factorPath(kind, n, field)]; given {
					row[field] = v
				}
			}
			if _, given := row["factor"]; !given {
				continue
			}
			list = append(list, row)
		}
		if len(list) > 0 {
			geometry[kind] = list
		}
	}
	meter["geometry"] = geometry
	return q.SettingFacts(parts, meter, wrong, zone, typedAs)
}

// factorPlace is the place of a factor in a case file: its kind of container,
// its number in the list, and the field.
var factorPlace = regexp.MustCompile(`^geometry\.([a-z-]+)\[(\d+)\]\.?([a-z]*)`)

// typedAs is the path under which a field of a meter is asked.
func typedAs(field string) string {
	m := factorPlace.FindStringSubmatch(field)
	if m == nil {
		return field
	}
	n, err := strconv.Atoi(m[2])
	if err != nil {
		return field
	}
	return factorPath(m[1], n-1, cmp.Or(m[3], "factor"))
}
