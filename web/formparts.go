package web

import (
	"net/url"
	"strings"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/view"
)

// chosen asks for one of a few, and fills the only one in.
func chosen(name, label string, choices []view.Choice) input {
	in := input{name: name, label: label, kind: "choice", choices: choices, must: true, small: len(choices) < 3}
	switch len(choices) {
	case 0:
		in.kind = "id"
	case 1:
		in.value = choices[0].Value
	}
	return in
}

func words(values ...string) []view.Choice {
	out := make([]view.Choice, len(values))
	for i, v := range values {
		out[i] = view.Choice{Value: v, Text: strings.ReplaceAll(v, "-", " ")}
	}
	return out
}

var now = input{name: "at", label: "When", kind: "time", must: true}

// meters are the ids of the meters of the site.
func meters(f *file) []string {
	_, _, all := fact.Settings(f.Facts())
	out := make([]string, len(all))
	for i, m := range all {
		out[i] = m.ID
	}
	return out
}

// plain is a form without nonce or head: it records nothing in the journal.
func plain(id, title, action, button string, fields ...view.Field) view.Form {
	for i := range fields {
		fields[i].ID = id + "-" + fields[i].Name
	}
	return view.Form{ID: id, Title: title, Action: action, Button: button, Fields: fields}
}

// withError puts a refusal above a form.
func withError(f view.Form, err error) view.Form {
	if err != nil {
		f.Notices = append(f.Notices, errorNotice(err))
	}
	return f
}

func errorNotice(err error) view.Notice {
	e := refused(err)
	hint := e.hint
	if hint != "" {
		hint = sentence(hint) + "."
	}
	return view.Notice{Kind: "stop", Word: "Error", Text: sentence(e.text) + ".", Hint: hint}
}

// plainNotice is a refusal as a notice.
func plainNotice(err error) view.Notice {
	switch e := err.(type) {
	case *procedure.Error:
		return view.Notice{Kind: "note", Word: "Not now", Text: e.Msg + ".", Hint: e.Hint}
	case *people.Error:
		return view.Notice{Kind: "note", Word: "Not you", Text: e.Msg + ".", Hint: e.Hint}
	}
	return view.Notice{Kind: "note", Word: "Not now", Text: err.Error() + "."}
}

// scanForm takes whatever a scanner sends, and leads to what it belongs to.
func scanForm(back string, focus bool) *view.Form {
	f := plain("scan", "Scan", "/scan?back="+url.QueryEscape(back), "Find",
		view.Field{Kind: "id", Name: "raw", Label: "Scan a label, a vial or its pack, or a wristband", Required: true, Focus: focus})
	f.Quiet = true
	return &f
}
