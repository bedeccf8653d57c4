package kit

import (
	"net/http"
	"net/url"
	"slices"

	"vialwright/web/view"
)

// Keys are those that can be chosen for a touch of the screen, as browsers name
// them (KeyboardEvent.code): none of them types, so that no scanner and no word
// in a field can press it. A foot pedal is set to one of them.
var Keys = []string{
	"F2", "F4", "F6", "F7", "F8", "F9", "F10", "F13", "F14", "F15", "F16", "F17", "F18", "F19", "F20",
	"PageUp", "PageDown", "Insert", "Pause", "ScrollLock",
}

// aidsCookie keeps how a screen helps who looks elsewhere. It is no secret, and
// belongs to the browser: a bench has its pedal, no matter who works there.
const aidsCookie = "aids"

// Aids are how this screen helps who looks elsewhere: all off unless chosen.
func (q *Request) Aids() view.Aids {
	c, err := q.R.Cookie(aidsCookie)
	if err != nil {
		return view.Aids{}
	}
	v, err := url.ParseQuery(c.Value)
	if err != nil {
		return view.Aids{}
	}
	a, err := ReadAids(v)
	if err != nil {
		return view.Aids{}
	}
	return a
}

// ReadAids reads them from a form. Errors: a key that is not among [Keys], and one
// that was chosen for two things.
func ReadAids(v url.Values) (view.Aids, error) {
	a := view.Aids{Tones: v.Get("tones") == "yes", Speech: v.Get("speech") == "yes", Resuspended: v.Get("resuspended"), Take: v.Get("take"), Record: v.Get("record")}
	var used []string
	for _, k := range []string{a.Resuspended, a.Take, a.Record} {
		switch {
		case k == "":
			continue
		case !slices.Contains(Keys, k):
			return view.Aids{}, noKey("this key cannot be chosen", "choose one of the list above, and set the pedal to it")
		case slices.Contains(used, k):
			return view.Aids{}, noKey(k+" is chosen for two things", "choose another key for one of them")
		}
		used = append(used, k)
	}
	return a, nil
}

// KeepAids keeps them in this browser for a year.
func (q *Request) KeepAids(a view.Aids) {
	v := url.Values{}
	for name, on := range map[string]bool{"tones": a.Tones, "speech": a.Speech} {
		if on {
			v.Set(name, "yes")
		}
	}
	for name, key := range map[string]string{"resuspended": a.Resuspended, "take": a.Take, "record": a.Record} {
		if key != "" {
			v.Set(name, key)
		}
	}
	q.SetCookie(aidsCookie, v.Encode(), 365*24*3600)
}

func noKey(text, hint string) error {
	return &Refusal{http.StatusUnprocessableEntity, "Sound and keys", text, hint, "/screen"}
}
