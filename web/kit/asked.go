package kit

import (
	"fmt"
	"hash/crc32"
	"maps"
	"net/url"
	"regexp"
	"slices"
	"strings"
)

// askedIn is the control that holds what each control of the page asked for when it was
// made, so that nothing that was typed is ever read under another label: the part with
// the number of before may be another container by the time the form is sent.
const askedIn = "asked"

// things are the fields of a part which say what it is about, where they are not asked.
// Others, such as the serial of the next label, may differ each time a form is made.
var things = []string{"of", "from", "for", "container", "what", "test", "point", "room", "entry", "code"}

// controlName is that of the control of an input of a part.
var controlName = regexp.MustCompile(`^p\d+\.`)

// asksFor is what each control of a form asks for, as one short word of the kind of the
// part, what that is about, the field and its label. Two that are alike are numbered.
func (e *Form) asksFor() map[string]string {
	out, alike := map[string]string{}, map[string]int{}
	for p, part := range e.Parts {
		about := []any{part.Kind}
		for _, field := range things {
			about = append(about, part.Fixed[field])
		}
		for _, in := range part.Inputs {
			if in.SharedWith == "" {
				text := fmt.Sprintf("%q %q %q", about, in.Name, in.Label)
				alike[text]++
				out[Control(p, in.Name)] = fmt.Sprintf("%08x", crc32.ChecksumIEEE(fmt.Append([]byte(text), alike[text])))
			}
		}
	}
	return out
}

// Settle takes what was typed as what the form of now asks for, where no page of ours that
// was made earlier says what it asked for.
func (e *Form) Settle(typed url.Values) { e.declared().settle(typed) }

// settle puts what was typed on a page under the controls of the form of now that ask for
// the same, and takes away what none asks for. changed is what to say of it; empty where
// all of it stands where it was typed. What says nothing of what it was asked for, such as
// the one press that tells a resuspension, is taken by the names of its controls.
func (e *Form) settle(typed url.Values) (changed string) {
	now, then, place, shared := e.asksFor(), map[string]string{}, map[string]string{}, map[string]string{}
	for _, one := range strings.Fields(typed.Get(askedIn)) {
		name, what, _ := strings.Cut(one, "=")
		then[name] = what
	}
	var mark, look, lost []string
	for name, in := range inputs(e.Parts) {
		shared[name] = in.SharedWith
		if what := now[name]; what != "" && place[what] == "" {
			place[what] = name
			mark = append(mark, name+"="+what)
			if then[name] != "" && then[name] != what {
				look = append(look, in.Label)
			}
		}
	}
	moved := url.Values{}
	for _, name := range slices.Sorted(maps.Keys(typed)) {
		of := controlOf(name, then, now, shared)
		to := of
		if then[of] != "" {
			to = place[then[of]]
		}
		if !controlName.MatchString(name) || to != "" && to == of || e.unread(name) {
			continue
		}
		if text := strings.TrimSpace(typed.Get(name)); to != "" {
			moved[to+name[len(of):]] = typed[name]
		} else if text != "" && !strings.HasSuffix(name, UnitOf) && !strings.HasSuffix(name, answerOf) {
			lost = append(lost, name[strings.LastIndexByte(name, '.')+1:]+": "+text)
		}
		delete(typed, name)
	}
	maps.Copy(typed, moved)
	typed[askedIn] = []string{strings.Join(mark, " ")}
	if len(look) == 0 && len(lost) == 0 {
		return ""
	}
	maps.DeleteFunc(typed, func(name string, _ []string) bool { return name == answeredIn || strings.HasSuffix(name, answerOf) })
	changed = "the form has changed since it was opened"
	if len(lost) > 0 {
		changed += ", and no longer asks for " + strings.Join(lost, ", ")
	}
	if len(look) > 0 {
		changed += ". Look at: " + strings.Join(look, "; ")
	}
	return changed
}

// controlOf is the control that a name belongs to: a unit, an answer or a meter's line
// stands below its control. It is empty for a name of none.
func controlOf(name string, some ...map[string]string) string {
	for of := name; of != ""; of = of[:max(0, strings.LastIndexByte(of, '.'))] {
		for _, known := range some {
			if known[of] != "" {
				return of
			}
		}
	}
	return ""
}

// unread tells of a control that its page has, and that is not read as the form was
// filled in.
func (e *Form) unread(name string) bool {
	return slices.ContainsFunc(e.Unread, func(of string) bool {
		of = Control(0, of)
		return name == of || strings.HasPrefix(name, of+".")
	})
}
