package preparation

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/clock"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// resuspendedNow is the one touch.
func (b *bench) resuspendedNow() *kit.Form {
	return &kit.Form{
		ID: "resuspended", Title: "Resuspended", Action: b.Href() + "/resuspend", To: b.Href(), Act: people.ReadMeter, Said: "Resuspended. Clock started.", Permit: b.open, Done: true,
		Parts: []kit.Part{{Kind: "agitate", Inputs: []kit.Input{{Name: "of", Label: "What was resuspended", Kind: "id", Must: true}, kit.At}}},
	}
}

// resuspendDo records that a vial was resuspended now, and goes back to where the
// touch was. It rests on nothing that the page showed, so it is behind nothing.
func resuspendDo(q *request) error {
	b, err := q.theBench()
	if err != nil {
		return err
	}
	q.R.PostForm.Set("head", strconv.FormatUint(b.File.Taken, 10))
	e := b.resuspendedNow()
	e.To = b.back(q.CameFrom())
	return q.Enter(e, b.State, func(status int, f view.Form) error {
		text, hint := "the vial of this form is not there", "go to the bench"
		for _, n := range slices.Backward(f.Notices) {
			text, hint = strings.TrimSuffix(n.Text, "."), n.Hint
		}
		return &kit.Refusal{Status: status, Heading: "The resuspension was not recorded", Text: text, Hint: hint, Back: e.To}
	})
}

// back is the page of this bench that somebody came from, else the bench.
func (b *bench) back(from string) string {
	u, err := url.Parse(from)
	if err != nil {
		return b.Href()
	}
	step, isStep := strings.CutPrefix(u.Path, b.Href()+"/step/")
	if isStep && procedure.Key(step).Title() != "" || u.Path == b.Href()+"/check" {
		return u.Path
	}
	return b.Href()
}

// clock is that of the vial at hand.
func (b *bench) clock() *clock.Clock {
	return &clock.Clock{Bench: b.Bench, Cache: b.q.clocks, Curves: b.q.curves}
}
