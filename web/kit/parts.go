package kit

import (
	"net/url"
	"strings"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/view"
)

// Chosen asks for one of a few, and fills the only one in. The label is that of the
// declaration where none is given.
func Chosen(name, label string, choices []view.Choice) Input {
	in := Input{Name: name, Label: label, Kind: "choice", Choices: choices, Must: true, Small: len(choices) < 3}
	switch len(choices) {
	case 0:
		in.Kind = "id"
	case 1:
		in.Value = choices[0].Value
	}
	return in
}

// Choices are values as one of which is chosen, each said by its own word.
func Choices(values ...string) []view.Choice {
	out := make([]view.Choice, len(values))
	for i, v := range values {
		out[i] = view.Choice{Value: v, Text: strings.ReplaceAll(v, "-", " ")}
	}
	return out
}

// IDs are ids as one of which is chosen, each as it is written.
func IDs(ids ...string) []view.Choice {
	out := make([]view.Choice, len(ids))
	for i, id := range ids {
		out[i] = view.Choice{Value: id, Text: id}
	}
	return out
}

// At asks when it happened; empty for now.
var At = Input{Name: "at", Label: "When", Kind: "time", Must: true}

// MeterIDs are the ids of the meters of the site.
func MeterIDs(f *File) []string {
	_, _, all := fact.Settings(f.Facts())
	out := make([]string, len(all))
	for i, m := range all {
		out[i] = m.ID
	}
	return out
}

// PlainForm is a form without nonce or head: it records nothing in the journal.
func PlainForm(id, title, action, button string, fields ...view.Field) view.Form {
	for i := range fields {
		fields[i].ID = id + "-" + fields[i].Name
	}
	return view.Form{ID: id, Title: title, Action: action, Button: button, Fields: fields}
}

// WithError puts a refusal above a form.
func WithError(f view.Form, err error) view.Form {
	if err != nil {
		e := refused(err)
		f.Notices = append(f.Notices, view.Notice{Kind: "stop", Word: "Error", Text: e.Text, Hint: e.Hint})
	}
	return f
}

// PlainNotice is a refusal as a notice.
func PlainNotice(err error) view.Notice {
	switch e := err.(type) {
	case *procedure.Error:
		return view.Notice{Kind: "note", Word: "Not now", Text: e.Msg, Hint: e.Hint}
	case *people.Error:
		return view.Notice{Kind: "note", Word: "Not you", Text: e.Msg, Hint: e.Hint, Mend: view.Link{Text: "Change person", Href: "/change"}}
	}
	return view.Notice{Kind: "note", Word: "Not now", Text: err.Error()}
}

// ScanForm takes whatever a scanner sends, and leads to what it belongs to.
func (q *Request) ScanForm(back string, focus bool) *view.Form {
	f := PlainForm("scan", "Scan", "/scan?back="+url.QueryEscape(back), "Find",
		view.Field{Kind: "id", Name: "raw", Label: "Scan a label, a vial or its pack, or a wristband", Required: true, Focus: focus})
	f.Quiet, f.Nonce = true, q.Nonce()
	return &f
}
