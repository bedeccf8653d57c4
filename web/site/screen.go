package site

import (
	"net/http"

	"vialwright/web/kit"
	"vialwright/web/view"
)

// screenPage chooses the sounds and keys that help a person whose eyes are on the syringe.
func screenPage(q *request) error { return q.screen(http.StatusOK, q.Aids(), nil) }

func (q *request) screen(status int, a view.Aids, err error) error {
	key := func(name, label, value string) view.Field {
		return view.Field{Kind: "key", Name: name, Label: label, Value: value, Hint: "Press the key or the pedal here; empty for none."}
	}
	f := kit.PlainForm("screen", "Sound and keys of this screen", "/screen", "Keep",
		view.Field{Kind: "check", Name: "tones", Label: "Tones: when the vial has settled, at a stop, and when a form was recorded", Value: yes(a.Tones)},
		view.Field{Kind: "check", Name: "speech", Label: "Speech: the settling clock, the time-out and every stop are read aloud", Value: yes(a.Speech)},
		key("resuspended", "Key for: resuspended", a.Resuspended),
		key("take", "Key for: take the reading of the meter", a.Take),
		key("record", "Key for: the button of the form", a.Record))
	f = kit.WithError(f, err)
	f.Quiet, f.Notices = true, append(f.Notices, view.Notice{Kind: "note", Word: "Note", Text: "Everything that is heard is also written on the page, and every key is a button there."})
	return q.Show(status, view.Common, view.FormPage{
		Page: q.Page("Sound and keys"), Heading: "Sound and keys of this screen", Form: &f,
		Intro: "For this browser, and for everybody who works at it. A foot pedal is a key: set it to one of F2, F4, F6 to F10, F13 to F20, PageUp, PageDown, Insert, Pause or ScrollLock.",
	})
}

func screenDo(q *request) error {
	a, err := kit.ReadAids(q.R.PostForm)
	if err != nil {
		v := q.R.PostFormValue
		return q.screen(http.StatusUnprocessableEntity, view.Aids{Tones: v("tones") != "", Speech: v("speech") != "", Resuspended: v("resuspended"), Take: v("take"), Record: v("record")}, err)
	}
	q.KeepAids(a)
	q.Say(kit.SaidDone, "Sound and keys of this screen are kept.")
	return q.See("/screen")
}

func yes(on bool) string {
	if on {
		return "yes"
	}
	return ""
}
