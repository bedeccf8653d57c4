package books

import (
	"cmp"
	"net/http"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// FindingNotice is a finding as a sentence with its weight.
func FindingNotice(f dispensing.Finding) view.Notice {
	return view.Notice{Kind: string(f.Severity), Word: view.Weights[string(f.Severity)], Text: f.Text + "."}
}

// Withheld stands for the figures of a set whose entries contradict one another.
const Withheld = "withheld, since entries contradict one another: read again"

// SettingsPairs are the settings in force, those assumed marked as such.
func SettingsPairs(st *kit.State) []view.Pair {
	p := st.Case.Policy
	out := []view.Pair{
		{Name: "Zone", Value: st.Zone.Loc().String()},
		{Name: "Half-life", Value: quantity.FormatDigits(st.Result.HalfLife, 6, "h") + " (" + st.Result.HalfLifeSource + ")"},
		{Name: "Tolerance", Value: quantity.Show(p.Tolerance, 0).String()},
		{Name: "Limit of the site", Value: quantity.Show(p.Limit, 0).String()},
		{Name: "Label tolerance", Value: quantity.Show(p.LabelTolerance, 0).String()},
		{Name: "Wanted confidence", Value: quantity.FormatDigits(p.Confidence, 12, "%")},
		{Name: "Volume after make-up", Value: quantity.Show(p.MakeUpMin, 0).String() + " to " + quantity.Show(p.MakeUpMax, 0).String()},
	}
	if p.Limit == 0 {
		out[3].Value = "none set"
	}
	for _, a := range st.Result.Assumed {
		name := strings.TrimSuffix(words.Sentence(cmp.Or(a.Name, a.Setting)), ",")
		if a.FromExperience {
			out = append(out, view.Pair{Name: name + ", site experience", Value: a.Value + " (" + a.Source + ")"})
		} else {
			out = append(out, view.Pair{Name: name + ", assumed", Value: a.Value})
		}
	}
	for _, m := range kit.MeterIDs(st.File) {
		out = append(out, view.Pair{Name: "Meter", Value: m})
	}
	return out
}

// Percents is a share in per cent with its uncertainty.
func Percents(x, u quantity.Fraction) string { return quantity.Show(x, u).String() }

// SettlingAssumed are the inputs of the clock that the site has not set, as
// settings of the policy.
func SettlingAssumed(st *kit.State) []dispensing.Assumed {
	out := slices.Clone(st.Case.Settling.Assumed)
	for i := range out {
		out[i].Setting = "settling." + out[i].Setting
	}
	return out
}

// OrderOf is the order that a fact is about; empty for one of none, or of
// several.
func OrderOf(st *kit.State, f fact.Fact) string {
	for _, l := range words.Held(f) {
		switch l.Path {
		case "for":
			return l.Text
		case "of", "into", "from":
			if of := st.Case.Serves[l.Text]; of != "" {
				return of
			}
		}
	}
	if o, ok := f.(*fact.Order); ok {
		return o.ID
	}
	return ""
}

// LastResuspended is when a vial was last resuspended, by an entry of its own or by what
// a draw says of it, but not after a time; zero where nobody noted it. The zero
// time asks for the last of all.
func LastResuspended(f *kit.File, id string, until time.Time) time.Time {
	var last time.Time
	take := func(of string, at time.Time) {
		if of == id && at.After(last) && (until.IsZero() || !at.After(until)) {
			last = at
		}
	}
	for _, e := range f.Entries() {
		switch x := e.Fact.(type) {
		case *fact.Agitate:
			take(x.Of, x.At)
		case *fact.Draw:
			take(x.From, x.Agitated)
		case *fact.SettlingTest:
			take(x.Of, x.At)
		}
	}
	return last
}

// MayCorrect says whether this person may correct what was recorded by a
// person, with the case as it is.
func MayCorrect(q *kit.Request, st *kit.State, f fact.Fact, by, reason string) error {
	if v, ok := f.(*fact.SecondCheck); ok && st != nil {
		return procedure.MayStrikeCheck(q.Who.Person, st.Preparation(v.For), by, reason)
	}
	k := fact.KindOf(f)
	if k.Mend == fact.Never {
		return &kit.Refusal{Status: http.StatusConflict, Heading: "This entry is not corrected", Text: "an entry of this kind stays as it is (" + k.Past + ")", Hint: "enter a setting again; correct a correction at its first entry; shown figures stay shown", Back: "/history"}
	}
	return people.MayCorrect(q.Who.Person, k.Act, reason)
}
