package kit

import (
	"fmt"
	"hash/crc32"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/quantity"
	"vialwright/web/view"
)

// answerOf is behind the name of a control under which a question about it is
// answered. The answer is what was asked about, "=", and what is meant: an
// answer to another number than the one that stands there counts for nothing. That it
// is so is the [question], "=yes".
const answerOf = ".answer"

// answeredIn is the control that holds the questions answered with yes while the form is
// shown again, each by its [question]: nothing is asked twice, and no answer is taken
// for one to another question.
const answeredIn = "answered"

// question names a question: of a control, about what was filled in there, in its words.
func question(control, said, text string) string {
	return fmt.Sprintf("%08x", crc32.ChecksumIEEE([]byte(control+"\n"+said+"\n"+text)))
}

// yeses are the questions that were answered with yes.
func yeses(typed url.Values) []string {
	out := slices.Clone(typed[answeredIn])
	for name, values := range typed {
		if key, yes := strings.CutSuffix(values[0], "=yes"); yes && strings.HasSuffix(name, answerOf) {
			out = append(out, key)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// answerTo is answer n to a question, from 1; that is also its key.
func answerTo(n int, asked, meant, text string) view.Choice {
	return view.Choice{Value: asked + "=" + meant, Text: text, Key: strconv.Itoa(n)}
}

// ambiguous asks which of two numbers a comma makes.
func ambiguous(text string) Fault {
	return Fault{strings.Join(quantity.Readings(text), " or ") + "?", "The comma may be a decimal comma or a thousands separator. Nothing is recorded before the answer."}
}

// readings are the answers to an ambiguous comma; nil where there is none.
func readings(in Input, f view.Field) (out []view.Choice) {
	if in.Kind != "amount" {
		return nil
	}
	text, _ := amounts(in, f.Value, f.Unit).(string)
	for i, r := range quantity.Readings(text) {
		out = append(out, answerTo(i+1, text, r, r))
	}
	return out
}

// answered takes the answers that put something else where it was asked about,
// and gives in words what was not understood as it was typed: an answer, or a
// decimal comma.
func answered(parts []Part, typed url.Values) (understood []string) {
	for name, in := range inputs(parts) {
		text := strings.TrimSpace(typed.Get(name))
		asks := in.Kind == "amount" || typed.Has(name+answerOf) // a correction has amounts as texts
		if !asks || text == "" || in.SharedWith != "" {
			continue
		}
		whole, _ := amounts(in, text, typed.Get(name+UnitOf)).(string)
		asked, meant, _ := strings.Cut(typed.Get(name+answerOf), "=")
		switch {
		case meant != "" && meant != asked && spaceless(asked) == spaceless(whole):
		case in.Kind == "amount" && quantity.DecimalComma(whole) != whole: // in a text, such as the name of a territory, a comma is one
			meant = quantity.DecimalComma(whole)
		default:
			continue
		}
		put(typed, in, name, meant)
		understood = append(understood, whole+" is taken as "+meant+".")
	}
	return understood
}

func spaceless(s string) string { return strings.ReplaceAll(quantity.DecimalComma(s), " ", "") }

// put writes an amount into its control, and its unit into that of the unit
// where it can be chosen there.
func put(typed url.Values, in Input, name, amount string) {
	number, unit, _ := strings.Cut(amount, " ")
	if slices.Contains(in.Units, unit) {
		typed.Set(name, number)
		typed.Set(name+UnitOf, unit)
		return
	}
	typed.Set(name, amount)
}

// questions are asked before anything is recorded: what is odd, beside its
// control, with the answers to it.
type questions struct {
	Faults
	answers map[string][]view.Choice
	// open leaves the rest of the form as it is, since what was filled in is what
	// is asked about.
	open bool
}

// Doubt is a question about what was filled in as a whole, put beside a control.
type Doubt struct {
	Control, Text, Way string
	// Yes is the answer that records it, in words.
	Yes string
}

// unanswered asks it, unless it was answered with yes. Only the answer to this very
// text, and nothing else that was ever asked, lets the entry be recorded.
func (d *Doubt) unanswered(typed url.Values) error {
	if d == nil {
		return nil
	}
	key := question(d.Control, "", d.Text)
	if slices.Contains(yeses(typed), key) {
		return nil
	}
	answers := []view.Choice{answerTo(1, key, "yes", d.Yes), answerTo(2, key, "no", "No, change it")}
	return &questions{Faults{d.Control: {d.Text, d.Way}}, map[string][]view.Choice{d.Control: answers}, true}
}

// put puts the answers into the form, and folds the rest of it away: what was
// filled in is not looked at again, and question, answers and button stand together.
func (a *questions) put(f *view.Form, now time.Time) {
	if a.open {
		for _, list := range [][]view.Field{f.Fields, f.Rest} {
			for i := range list {
				if answers := a.answers[list[i].Name]; answers != nil {
					list[i].Answers = answers
				}
			}
		}
		return
	}
	var asked, rest []view.Field
	for _, in := range append(f.Fields, f.Rest...) {
		in.Answers = a.answers[in.Name]
		switch {
		case len(in.Answers) > 0:
			in.Focus, in.Live = false, nil
			asked = append(asked, in)
		case in.Kind == "pin" || in.Kind == "password" || in.Kind == "hidden":
			asked = append(asked, in)
		default:
			rest = append(rest, in)
		}
	}
	f.Fields, f.Rest, f.RestSays, f.RestOpen = asked, rest, restSays(rest, now), false
}

// questions asks about each amount that is odd beside the books, or in what they would
// be with it, and not said to be so yet, one question of a field after the other; what
// was said to be so is written into its fact. A fact without a control for it is not
// asked about.
func (q *Request) questions(e *Form, now, after *State, facts []fact.Fact, from []int, typed url.Values) error {
	open, yes := &questions{Faults: Faults{}, answers: map[string][]view.Choice{}}, yeses(typed)
	for i, f := range facts {
		if i >= len(from) {
			break
		}
		var so []fold.Asked
		for _, a := range slices.Concat(fold.Ask(now.Case, now.Result, f), fold.AskAfter(now.Result, after.Result, f)) {
			name := controlAt(e.Parts, from[i], a.Field)
			key := question(name, a.Said, a.Text)
			switch {
			case name == "":
			case slices.Contains(yes, key):
				so = append(so, a)
			case open.answers[name] == nil:
				way := "Nothing is recorded before the answer."
				if len(a.Meant) == 0 {
					way += " If not, change what is typed, or leave the form unsent."
				}
				open.Faults[name] = Fault{a.Text, way}
				open.answers[name] = choices(a, key)
			}
		}
		fold.Confirm(f, so)
	}
	if len(open.Faults) == 0 {
		return nil
	}
	return open
}

// choices are the answers to a question: what may be meant, and that it is so.
func choices(a fold.Asked, key string) (out []view.Choice) {
	for i, m := range a.Meant {
		out = append(out, answerTo(i+1, a.Said, m, "Change to "+m))
	}
	return append(out, answerTo(len(out)+1, key, "yes", "Record "+a.Said+" as typed"))
}
