package kit

import (
	"slices"
	"strings"

	"vialwright/fact"
)

// The units that are offered, the commonest first.
var (
	ActivityUnits = []string{"GBq", "MBq", "mCi"}
	VolumeUnits   = []string{"mL"}
	ShareUnits    = []string{"%"}
	RateUnits     = []string{"uSv/h", "mSv/h", "mrem/h"}
	MeterUnits    = []string{"uSv/h", "mR/h", "cps"} // one of each kind; others are typed behind the number
	wipeUnits     = []string{"Bq/cm2", "dpm/100cm2"}
	doseUnits     = []string{"mSv", "uSv", "mrem"}
	massUnits     = []string{"kg", "g"}
	lengthUnits   = []string{"cm", "m", "mm"}
	grayUnits     = []string{"Gy"}
	areaUnits     = []string{"cm2"}
	countUnits    = []string{"cps", "cpm"}
	spanUnits     = []string{"s", "min", "h", "d", "a"}
)

// askedAs is how a field of a shape is asked: by which kind of input, and with
// which units.
var askedAs = map[fact.Shape]asked{
	fact.TextShape: {"text", nil}, fact.IDShape: {"id", nil}, fact.TimeShape: {"time", nil}, fact.WordShape: {"choice", nil},
	fact.BareShape: {"number", nil}, fact.ActivityShape: {"amount", ActivityUnits}, fact.VolumeShape: {"amount", VolumeUnits},
	fact.FractionShape: {"amount", ShareUnits}, fact.DoseRateShape: {"amount", RateUnits}, fact.MeterRateShape: {"amount", MeterUnits},
	fact.ContaminationShape: {"amount", wipeUnits}, fact.DoseEquivalentShape: {"amount", doseUnits},
	fact.RatioShape: counted(fact.RatioShape), fact.MillionShape: counted(fact.MillionShape), fact.CountsShape: counted(fact.CountsShape), fact.PixelsShape: counted(fact.PixelsShape),
	fact.MassShape: {"amount", massUnits}, fact.LengthShape: {"amount", lengthUnits}, fact.AbsorbedDoseShape: {"amount", grayUnits},
	fact.AreaShape: {"amount", areaUnits}, fact.CountRateShape: {"amount", countUnits}, fact.SpanShape: {"amount", spanUnits},
}

// asked is a kind of input, with the units it offers.
type asked struct {
	kind  string
	units []string
}

// counted asks for a number that is written with one word, which need not be typed.
func counted(s fact.Shape) asked { return asked{"amount", []string{string(s)}} }

// declared fills in what the inputs of a form do not say themselves by what the
// journal says of the field: its label, how it is asked, its units or words, and
// that an entry cannot be without it.
func (e *Form) declared() *Form {
	out := *e
	out.Parts = slices.Clone(e.Parts)
	for i, p := range out.Parts {
		inputs := slices.Clone(p.Inputs)
		for k := range inputs {
			inputs[k].declare(fact.FieldOf(p.Kind, inputs[k].Name))
		}
		out.Parts[i].Inputs = inputs
	}
	return &out
}

// Carry proposes in an input of a kind what an earlier entry has there, and marks it.
func (in *Input) Carry(kind, text, mark string) {
	in.declare(fact.FieldOf(kind, in.Name))
	in.Value, in.Hint = text, strings.TrimSpace(in.Hint+" "+mark)
	switch number, unit, _ := strings.Cut(text, " "); {
	case in.Kind == "amounts":
		in.Value = strings.NewReplacer(", ", " ", " "+in.Unit, "").Replace(text)
	case slices.Contains(in.Units, unit):
		in.Value, in.Unit = number, unit
	}
}

func (in *Input) declare(f fact.Field) {
	if f.Path == "" {
		return // not a field of the entry by itself, such as a row of a list
	}
	how := askedAs[f.Shape]
	in.Must = in.Must || f.Must && !strings.Contains(f.Path, ".") // a group may be left out whole
	if in.Label == "" {
		in.Label = f.Label
	}
	if in.Kind == "" {
		in.Kind = how.kind
	}
	if in.Kind == "amount" && in.Units == nil {
		in.Units = how.units
		if len(how.units) == 1 {
			in.Unit = how.units[0]
		}
	}
	if in.Kind == "choice" && in.Choices == nil {
		in.Choices = Choices(f.Words...)
	}
}
