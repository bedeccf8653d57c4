package web

import (
	"slices"
	"strings"

	"vialwright/fact"
)

// The units that are offered, the commonest first.
var (
	activityUnits = []string{"GBq", "MBq", "mCi"}
	volumeUnits   = []string{"mL"}
	shareUnits    = []string{"%"}
	rateUnits     = []string{"uSv/h", "mSv/h", "mrem/h"}
	wipeUnits     = []string{"Bq/cm2", "dpm/100cm2"}
	doseUnits     = []string{"mSv", "uSv", "mrem"}
)

// askedAs is how a field of a shape is asked: by which kind of input, and with
// which units.
var askedAs = map[fact.Shape]struct {
	kind  string
	units []string
}{
	fact.TextShape: {"text", nil}, fact.IDShape: {"id", nil}, fact.TimeShape: {"time", nil}, fact.WordShape: {"choice", nil},
	fact.BareShape: {"number", nil}, fact.ActivityShape: {"amount", activityUnits}, fact.VolumeShape: {"amount", volumeUnits},
	fact.FractionShape: {"amount", shareUnits}, fact.DoseRateShape: {"amount", rateUnits},
	fact.ContaminationShape: {"amount", wipeUnits}, fact.DoseEquivalentShape: {"amount", doseUnits},
}

// declared fills in what the inputs of a form do not say themselves by what the
// journal says of the field: its label, how it is asked, its units or words, and
// that an entry cannot be without it.
func (e *entryForm) declared() *entryForm {
	out := *e
	out.parts = slices.Clone(e.parts)
	for i, p := range out.parts {
		inputs := slices.Clone(p.inputs)
		for k := range inputs {
			inputs[k].declare(fact.FieldOf(p.kind, inputs[k].name))
		}
		out.parts[i].inputs = inputs
	}
	return &out
}

func (in *input) declare(f fact.Field) {
	if f.Path == "" {
		return // not a field of the entry by itself, such as a row of a list
	}
	how := askedAs[f.Shape]
	in.must = in.must || f.Must && !strings.Contains(f.Path, ".") // a group may be left out whole
	if in.label == "" {
		in.label = f.Label
	}
	if in.kind == "" {
		in.kind = how.kind
	}
	if in.kind == "amount" && in.units == nil {
		in.units = how.units
		if len(how.units) == 1 {
			in.unit = how.units[0]
		}
	}
	if in.kind == "choice" && in.choices == nil {
		in.choices = words(f.Words...)
	}
}
