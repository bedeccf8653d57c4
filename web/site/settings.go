package site

import (
	"cmp"
	"maps"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// setting is one field of the policy as it is asked: the unit of its number, if it
// is one, and a hint.
type setting struct {
	fact.Field
	unit, hint string
}

// units are those in which a setting is asked, by what it holds, and where that is
// another one by its path.
var units = map[string]string{
	string(fact.FractionShape): "%", string(fact.VolumeShape): "mL", string(fact.DoseRateShape): "uSv/h",
	string(fact.ContaminationShape): "Bq/cm2", string(fact.DoseEquivalentShape): "mSv", string(fact.LengthShape): "mm",
	string(fact.SpanShape): "s", string(fact.TemperatureShape): "C", string(fact.ActivityShape): "Bq",
	"settling.diameter": "um", "settling.diameter-sd": "um", "settling.density": "g/cm3",
}

var hints = map[string]string{
	"tolerance":                "Departure from the prescription up to which a dose conforms.",
	"limit":                    "Departure beyond which only the authorised physician may direct a dose; empty for none.",
	"confidence":               "Probability within tolerance that a plan aims for.",
	"label-drift":              "How far readings made later may move the dose from its printed label before a new label is asked for.",
	"make-up":                  "Two numbers with a space between, such as 3 5.",
	"draw-yield.q":             "Activity share per volume share in the site's own draws, such as 97.",
	"draw-yield.u":             "In the same unit: with a yield of 97 % such as 3.",
	"learn":                    "Unless you choose, they do where no draw yield is stated.",
	"order-signature":          "Required unless you say otherwise.",
	"take-over":                "Required unless you say otherwise.",
	"check-limit":              "It may not differ by more than 3 standard uncertainties of the difference either.",
	"check-reads":              "The remainder of the vial, or either that or the container with the dose.",
	"limits.area-rate":         "No limit is assumed. Where all eight limits are empty, a note says that nothing was compared.",
	"verdicts.conforms":        "Empty for the program's own term; the same for each of the four.",
	"settling.cone":            "Empty for a flat one.",
	"settling.spheres":         "Digits only. Empty where you give the activity of one.",
	"settling.sphere-activity": "Instead of the number of spheres.",
}

// policySettings are all fields of the policy but its reason and its time,
// as they are declared; the words of the decision stand behind what is measured.
var policySettings = func() (out []setting) {
	for _, f := range fact.Entered("policy") {
		if f.Path != "from" && f.Path != "reason" {
			out = append(out, setting{f, cmp.Or(units[f.Path], units[string(f.Shape)]), hints[f.Path]})
		}
	}
	rank := func(s setting) int {
		group, _, _ := strings.Cut(s.Path, ".")
		return slices.Index([]string{"verdicts", "settling"}, group)
	}
	slices.SortStableFunc(out, func(a, b setting) int { return rank(a) - rank(b) })
	return out
}()

// settingGroup is some of the settings, at most five, that are decided together.
// It goes from one path to the first of the next group.
type settingGroup struct{ word, first, title, means string }

var settingGroups = []settingGroup{
	{"dose", "tolerance", "The dose", "How far a dose may be from its prescription, and how sure the plan is to be."},
	{"draw", "make-up", "The draw", "Volumes of the draw, and the draw yield of this site."},
	{"signing", "basis", "Signing", "Calibration basis, use of site experience, and required signatures."},
	{"check", "check-limit", "The second check", "How close the second reading must be, and what is read."},
	{"area", "limits.area-rate", "Limits for room and hands", "Limits for surveys. None is assumed."},
	{"staff", "limits.package-rate", "Limits for packages and staff", "Limits for packages and staff doses. None is assumed."},
	{"words", "verdicts.conforms", "Words of the decision", "How the four decisions are said on screen and on paper."},
	{"vial", "settling.bore", "Shape of the vial", "For the settling clock."},
	{"clock", "settling.draw-time", "Settling clock", "How long a draw takes, and how far it may be off."},
	{"spheres", "settling.spheres", "Spheres", "For the settling clock."},
}

func settingsOf(g settingGroup) (out []setting) {
	in := false
	for _, s := range policySettings {
		if i := slices.IndexFunc(settingGroups, func(x settingGroup) bool { return x.first == s.Path }); i >= 0 {
			in = settingGroups[i].word == g.word
		}
		if in {
			out = append(out, s)
		}
	}
	return out
}

// groupAsked is the group in the address; false for all settings.
func (q *request) groupAsked() (settingGroup, bool) {
	word := q.R.URL.Query().Get("group")
	for _, g := range settingGroups {
		if g.word == word {
			return g, true
		}
	}
	return settingGroup{}, false
}

func settingsPage(q *request) error { return q.CasePage(q.policyForm, q.settingsShow) }

func (q *request) policyForm(st *kit.State) *kit.Form {
	_, policy, _ := q.SettingsInForce(q.Now)
	have := map[string]string{}
	if policy != nil {
		for _, l := range words.Held(policy) {
			have[l.Path] = l.Text
		}
	}
	p := kit.Part{Kind: "policy"}
	for _, s := range policySettings {
		in := kit.Input{Name: s.Path, Label: s.Label, Kind: "text", Value: have[s.Path], Hint: s.hint, Small: true}
		for _, a := range slices.Concat(st.Case.Assumed, books.SettlingAssumed(st)) {
			if in.Value == "" && strings.HasPrefix(s.Path, a.Setting) && (s.Path == a.Setting || s.Path == a.Setting+".q") {
				in.Hint = strings.TrimSpace(in.Hint + " Assumed: " + a.Value + " (" + a.Source + ").")
			}
		}
		if s.unit != "" {
			in.Kind, in.Units, in.Unit = "amount", []string{s.unit}, s.unit
			in.Value = strings.ReplaceAll(strings.ReplaceAll(in.Value, " "+s.unit, ""), ",", "")
		}
		switch {
		case s.List:
			in.Kind = "amounts"
		case s.Number:
			in.Kind = "number"
		case s.Words != nil:
			in.Kind, in.Choices = "choice", kit.Choices(s.Words...)
		}
		p.Inputs = append(p.Inputs, in)
	}
	e := &kit.Form{
		ID: "policy", Title: "Change the site settings", Action: "/settings", Button: "Record the settings",
		Act: people.SetPolicy, To: "/settings", Said: "The settings are recorded.", Setting: q.policyFacts(p), Expanded: true,
	}
	if g, ok := q.groupAsked(); ok {
		own := settingsOf(g)
		p.Inputs = slices.DeleteFunc(slices.Clone(p.Inputs), func(in kit.Input) bool {
			return !slices.ContainsFunc(own, func(s setting) bool { return s.Path == in.Name })
		})
		e.Title, e.Action, e.To = g.title, "/settings?group="+g.word, "/start"
	}
	p.Inputs[0].Focus = true
	p.Inputs = append(p.Inputs, kit.FromInput, kit.ReasonInput)
	e.Parts = []kit.Part{p}
	return e
}

// policyFacts reads the form as the policy of a case file. Settings that the form
// does not ask for stay as they are.
func (q *request) policyFacts(whole kit.Part) func(parts []kit.Part, typed url.Values, zone string) ([]fact.Fact, error) {
	return func(parts []kit.Part, typed url.Values, zone string) ([]fact.Fact, error) {
		wrong := kit.Faults{}
		flat := parts[0].Texts(0, typed, wrong)
		stays, asIs := kit.Part{Kind: whole.Kind}, url.Values{}
		for _, in := range whole.Inputs {
			if !slices.ContainsFunc(parts[0].Inputs, func(x kit.Input) bool { return x.Name == in.Name }) {
				stays.Inputs = append(stays.Inputs, in)
				asIs.Set(kit.Control(0, in.Name), in.Value)
				asIs.Set(kit.Control(0, in.Name)+kit.UnitOf, in.Unit)
			}
		}
		maps.Copy(flat, stays.Texts(0, asIs, wrong))
		return q.SettingFacts(parts, kit.Nest(flat), wrong, zone, nil)
	}
}

// keptBy says what goes on under the settings it began with, and what was recorded
// to begin later.
func (q *request) keptBy() (out []view.Notice) {
	for _, r := range q.Lab.File().Records {
		if p, ok := r.Fact.(*fact.Policy); ok && p.From.After(q.Now) {
			out = []view.Notice{{Kind: "warn", Word: "Not in force yet", Text: "Settings that hold from " + words.Zoned{Location: q.Location()}.Clock(p.From) + " are recorded already, in entry " + strconv.Itoa(r.N) + ".", Hint: "Your new settings replace them too."}}
		} else if ok {
			out = nil // recorded behind it
		}
	}
	st, err := q.Reckon(q.OpenFile(q.Now), q.Now)
	if err != nil {
		return out
	}
	var ids []string
	for _, o := range st.Case.Orders {
		if p := st.Preparation(o.ID); o.Rules != nil && *o.Rules != st.Case.Policy.Rules && !p.Over() {
			ids = append(ids, o.ID)
		}
	}
	if len(ids) > 0 {
		out = append(out, view.Notice{Kind: "note", Word: "Kept", Text: "These orders keep the rules they were signed under, which differ from those in force: " + strings.Join(ids, ", ") + ".", Hint: "A new revision of an order, signed again, takes the rules in force at that time."})
	}
	return out
}

func (q *request) settingsShow(st *kit.State, status int, sent *view.Form) error {
	p := view.FormPage{
		Page: q.Page("Settings"), Heading: "Settings of the site", Back: view.Link{Text: "Board", Href: "/"},
		Intro: "New settings hold from now on, or from the time that you give. An order keeps the tolerance, limit, confidence, basis and words it was signed under, a vial the label tolerance of its receipt, a draw and a make-up what was in force when they were recorded.",
		Facts: books.SettingsPairs(st), Cautions: q.keptBy(), Form: q.Offered(q.policyForm(st), st, sent),
	}
	if _, one := q.groupAsked(); one { // beside whose fields it stands what is assumed
		p.Back, p.Facts = view.Link{Text: "First start", Href: "/start"}, nil
	}
	return q.Show(status, pages, p)
}
