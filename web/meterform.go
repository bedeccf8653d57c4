package web

import (
	"cmp"
	"encoding/json"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/ledger"
	"vialwright/people"
	"vialwright/web/view"
)

// factorKinds are the kinds of container that a meter has factors for.
var factorKinds = []ledger.Kind{ledger.ShippingVial, ledger.Syringe, ledger.AdministrationVial, ledger.ResidualParts, ledger.WasteItem}

// mostRanges is how many ranges of volume one kind of container can have.
const mostRanges = 8

func metersPage(q *request) error {
	st, err := q.caseState()
	if err != nil {
		return err
	}
	return q.metersShow(st, http.StatusOK, nil)
}

func metersDo(q *request) error {
	st, err := q.caseState()
	if err != nil {
		return err
	}
	return q.enter(q.meterForm(st, q.r.URL.Query().Get("meter"), q.r.PostForm), st, func(status int, f view.Form) error {
		now, err := q.caseState()
		if err != nil {
			return err
		}
		return q.metersShow(now, status, &f)
	})
}

// meterIn is a meter of a case as it is in force; nil for none.
func meterIn(st *state, id string) *fact.Meter {
	_, _, all := fact.Settings(st.file.Facts())
	for _, m := range all {
		if m.ID == id {
			return m
		}
	}
	return nil
}

// metersShow lists the meters of a case, and asks for the one in the address,
// or for a new one.
func (q *request) metersShow(st *state, status int, sent *view.Form) error {
	id := q.r.URL.Query().Get("meter")
	p := view.FormPage{
		Page: q.page("Meters"), Heading: "Activity meters of the site", Back: view.Link{Text: "Board", Href: "/"},
		Intro: "A factor is reading over activity, for one kind of container. A new calibration holds from now on, or from the time that you give; a reading keeps the one that held when it was taken, also where it is entered later.",
	}
	for _, known := range meters(st.file) {
		p.Links = append(p.Links, view.Link{Text: "Meter " + known, Href: "/meters?meter=" + url.QueryEscape(known)})
	}
	p.Links = append(p.Links, view.Link{Text: "A new meter", Href: "/meters"})
	m := meterIn(st, id)
	if m != nil {
		p.Facts = pairs(m, st.zone)
		if m.From.After(q.now) {
			p.Cautions = append(p.Cautions, view.Notice{Kind: "warn", Word: "To come", Text: "This calibration holds from " + st.zone.clock(m.From) + "; until then the one before it.", Hint: "A newer one begins after it."})
		}
		if q.r.URL.Query().Get("ranges") == "" {
			p.Links = append(p.Links, view.Link{Text: "More ranges of volume", Href: "/meters?ranges=1&meter=" + url.QueryEscape(id)})
		}
	}
	err := people.May(q.who.Person, people.SetMeter)
	switch {
	case sent != nil:
		p.Form = sent
	case err != nil:
		p.Cautions = append(p.Cautions, plainNotice(err))
	default:
		f := q.form(q.meterForm(st, id, nil), st.file.Taken, nil, nil)
		p.Form = &f
	}
	return q.show(status, p)
}

// meterForm asks for a meter, filled with the one that is there. typed is what
// was sent, which has as many ranges as it was shown with.
func (q *request) meterForm(st *state, id string, typed url.Values) *entryForm {
	old := meterIn(st, id)
	have := map[string]string{}
	if old != nil {
		have = map[string]string{"id": old.ID, "calibration-u": old.CalibrationU.Text, "repeatability": old.Repeatability.Text}
	}
	p := part{kind: "meter", inputs: []input{
		{name: "id", label: "Id of the meter", kind: "id", value: have["id"], must: true, focus: true},
		share("calibration-u", "Uncertainty common to all its readings", have["calibration-u"], true),
		share("repeatability", "Repeatability of one reading", have["repeatability"], true),
	}}
	for _, kind := range factorKinds {
		var list []fact.Geometry
		if old != nil && old.Geometry != nil {
			list = old.Geometry.For(string(kind))
		}
		for n := range q.ranges(kind, len(list), typed) {
			var g fact.Geometry
			if n < len(list) {
				g = list[n]
			}
			p.inputs = append(p.inputs, factorInputs(kind, n, g)...)
		}
	}
	p.inputs = append(p.inputs, fromInput, reasonInput)
	at := "/meters"
	e := &entryForm{
		id: "meter", title: "Set a new meter", action: at, button: "Record the meter", act: people.SetMeter, to: at,
		said: "The meter is recorded.", parts: []part{p}, head: q.meterFacts, typedAs: typedAs, flat: true,
	}
	if old != nil {
		e.title, e.action = "Set meter "+id, at+"?meter="+url.QueryEscape(id)
	}
	return e
}

// ranges is how many ranges of volume are asked for a kind of container.
func (q *request) ranges(kind ledger.Kind, have int, typed url.Values) int {
	n := max(have, 1)
	if q.r.URL.Query().Get("ranges") != "" {
		n += 2
	}
	for k := n; k < mostRanges; k++ {
		if typed.Has(control(0, factorPath(kind, k, "factor"))) {
			n = k + 1
		}
	}
	return min(n, mostRanges)
}

func factorPath(kind ledger.Kind, n int, field string) string {
	return "geometry." + string(kind) + "." + strconv.Itoa(n) + "." + field
}

// share is a percentage with the value it has.
func share(name, label, text string, must bool) input {
	number, _, _ := strings.Cut(text, " ")
	return input{name: name, label: label, kind: "amount", units: shareUnits, unit: "%", value: number, must: must, small: true}
}

// factorInputs ask for one factor of a meter.
func factorInputs(kind ledger.Kind, n int, g fact.Geometry) []input {
	name := strings.ReplaceAll(string(kind), "-", " ")
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
	return []input{
		{name: at("factor"), label: "Factor, " + name, kind: "text", value: g.Factor.Text, small: true, hint: "Empty where it has none."},
		share(at("u"), "Its uncertainty, "+name, g.U.Text, false),
		{name: at("basis"), label: "Made on the scale of, " + name, kind: "choice", choices: words("label", "traceable"), value: string(g.Basis), small: true},
		{name: at("fill"), label: "Volumes it is for, " + name, kind: "amounts", units: volumeUnits, unit: "mL", value: fill, small: true, hint: "From and to, such as 1 3; empty for all."},
	}
}

// meterFacts reads the form as a meter of a case file.
func (q *request) meterFacts(parts []part, typed url.Values, zone string) ([]fact.Fact, error) {
	wrong := faults{}
	flat := parts[0].texts(0, typed, wrong)
	if len(wrong) > 0 {
		return nil, wrong
	}
	meter, geometry := map[string]any{}, map[string]any{}
	for path, v := range flat {
		if !strings.HasPrefix(path, "geometry.") {
			meter[path] = v
		}
	}
	for _, kind := range factorKinds {
		var list []any
		for n := range mostRanges {
			row := map[string]any{}
			for _, field := range []string{"factor", "u", "basis", "fill"} {
				v, given := flat[factorPath(kind, n, field)]
				if !given {
					continue
				}
				if text, ok := v.(string); ok && field == "factor" {
					if !json.Valid([]byte(text)) || text[0] < '0' || text[0] > '9' {
						return nil, faults{control(0, factorPath(kind, n, field)): {"it is no number", "such as 0.98"}}
					}
					v = json.Number(text)
				}
				row[field] = v
			}
			if _, given := row["factor"]; !given {
				continue
			}
			list = append(list, row)
		}
		if len(list) > 0 {
			geometry[string(kind)] = list
		}
	}
	meter["geometry"] = geometry
	return q.headFacts(parts, meter, zone, typedAs)
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
	return factorPath(ledger.Kind(m[1]), n-1, cmp.Or(m[3], "factor"))
}
