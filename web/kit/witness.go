package kit

import (
	"vialwright/web/view"
	"vialwright/web/words"
)

// LateWitnesses are the places that take no notes of the journal's head, with since
// when and why. Nothing waits for them.
func (q *Request) LateWitnesses() (out []view.Notice) {
	w := q.Lab.Witness()
	if w == nil {
		return nil
	}
	for _, s := range w.Standing() {
		if s.Since.IsZero() {
			continue
		}
		out = append(out, view.Notice{
			Kind: "warn", Word: "Check",
			Text: "The witness " + s.Place + " has taken no note of the journal since " + words.Zoned{Location: q.Location()}.Wall(s.Since, q.Now) + ": " + s.Why + ".",
			Hint: "Entries are recorded as before. Make room there, or bring it back: until then it does not show what is changed in the journal.",
		})
	}
	return out
}
