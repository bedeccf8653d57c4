package preparation

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"vialwright/procedure"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// resuspendDo records that a vial was resuspended now, and goes back to where the
// touch was. It rests on nothing that the page showed, so it is behind nothing.
func (b *bench) resuspendDo() error {
	q := b.Q
	q.R.PostForm.Set("head", strconv.FormatUint(b.File.Taken, 10))
	e := b.Resuspended()
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
