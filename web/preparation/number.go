package preparation

import (
	"math"
	"slices"
	"strings"

	"vialwright/dispensing"
	"vialwright/ledger"
	"vialwright/picture"
	"vialwright/procedure"
	"vialwright/quantity"
)

// numbers puts the one number that the step needs on the page. A step that
// asks for a measurement shows none: anyone who reads a meter with the expected
// number before their eyes reads that number.
func (b *bench) numbers(p *Bench, key procedure.Key) {
	g := b.Case.Policy.Graduation
	if b.Out.Withheld != "" {
		// Entries contradict one another: the only instruction is to read again, and after
		// that to correct the one that slipped, since no further reading ends it.
		if b.readSince() && !b.Blind() {
			p.Do, p.Number = "One entry does not fit", "correct it first"
			return
		}
		p.Number = b.Out.Read
		if key == procedure.Readiness && b.Prep.Step(key).State == procedure.Now { // whose form is on the page
			p.Do = "Check that everything is ready, then read again"
			return
		}
		p.Do = "Read again, without looking at the first figure"
		return
	}
	if b.Out.HiddenBy != "" && slices.Contains([]procedure.Key{procedure.Draw, procedure.Adjust, procedure.MakeUp, procedure.Transfer}, key) {
		p.Do, p.Number = "A volume is in doubt", "correct its entry first"
		return
	}
	switch key {
	case procedure.Draw:
		// Nothing is drawn on a label alone, on the wrong scale or after the time.
		if plan := b.Out.Plan; plan != nil && b.Out.Next == dispensing.DrawDose {
			b.volume(p, "Draw from "+plan.From+" to the mark", plan.Draw)
		}
	case procedure.Adjust:
		if a := b.Out.Adjust; a != nil && a.TopUp {
			b.volume(p, "Draw more", a.Volume)
		} else if a != nil {
			b.volume(p, "Return", a.Volume)
		}
	case procedure.MakeUp:
		if b.Out.Volume < b.Case.Policy.MakeUpMin {
			add := quantity.Volume(math.Ceil(float64((b.Case.Policy.MakeUpMin-b.Out.Volume)/g)-1e-9)) * g
			b.volume(p, "Add at least", add)
			p.Also = "to between " + quantity.ShowGraduated(b.Case.Policy.MakeUpMin, g) + " and " + quantity.ShowGraduated(b.Case.Policy.MakeUpMax, g)
		}
	case procedure.Transfer:
		if b.Prep.Step(key).State != procedure.Done && b.MayStep(key) != nil {
			return // what is refused is not asked for
		}
		b.volume(p, "Transfer all of "+b.Out.Container+", once", b.Out.Volume)
	case procedure.Label, procedure.Release, procedure.HandOver, procedure.TimeOut, procedure.Infusion:
		if d := b.Out.Dispensed; d != nil {
			b.activity(p, "at "+b.OnDay(d.At), d.Activity, d.U)
		}
	case procedure.Survey, procedure.Close, "":
		if d := b.Out.Delivered; d != nil {
			b.activity(p, "delivered", d.Activity, d.U)
		}
	}
}

func (b *bench) volume(p *Bench, words string, v quantity.Volume) {
	p.Do = words
	p.Number, p.Unit = split(quantity.ShowGraduated(v, b.Case.Policy.Graduation))
}

func (b *bench) activity(p *Bench, words string, a, u quantity.Activity) {
	p.Number, p.Unit = split(b.figure(a))
	f := quantity.Round(a, u, p.Unit)
	if len(f.Value) < len(p.Number) { // the uncertainty allows fewer digits
		p.Number = f.Value
	}
	other, older := quantity.Pair(a, u)
	if p.Unit != older.Unit {
		other = older
	}
	p.Also = words + " · ± " + f.U + " " + p.Unit + " · " + other.String()
	if said := dispensing.Said(a, u); strings.HasPrefix(said, "nothing") {
		p.Also = words + ": " + said
	}
}

// split takes a text apart at its last space.
func split(text string) (number, unit string) {
	if i := strings.LastIndexByte(text, ' '); i >= 0 {
		return text[:i], text[i+1:]
	}
	return text, ""
}

// look draws the vessels and the strip, in the one width of the column beside.
func (b *bench) look(p *Bench, key procedure.Key) {
	v := picture.Bench{ID: "bench", Vessels: b.vessels(key), Graduation: b.Case.Policy.Graduation, Next: b.next(), Mark: b.Q.Mark()}
	p.Vessels = picture.Vessels(v)
	s := b.strip()
	s.Form = picture.Narrow
	p.Strip = picture.TimeStrip(s)
}

// noLevel draws no liquid: of a volume that is held back a level would say how much it is.
var noLevel = quantity.Volume(math.NaN())

// vessels are the containers of this order and what it is drawn from.
func (b *bench) vessels(key procedure.Key) []picture.Vessel {
	kinds := map[ledger.Kind]picture.Kind{
		ledger.ShippingVial: picture.ShippingVial, ledger.Syringe: picture.Syringe, ledger.AdministrationVial: picture.AdministrationVial,
	}
	var out []picture.Vessel
	syringe := false
	for _, k := range b.Result.Containers {
		kind, drawn := kinds[k.Container.Kind]
		of := b.Case.Serves[k.Container.ID]
		if !drawn || of != "" && of != b.Order.ID || b.Finished(k.Container.ID) {
			continue
		}
		syringe = syringe || kind == picture.Syringe
		v := picture.Vessel{Kind: kind, ID: k.Container.ID, Volume: k.Volume, VolumeText: quantity.Show(k.Volume, 0).String()}
		switch {
		case k.Withheld != "":
			v.Volume, v.State, v.VolumeText = noLevel, "withheld", ""
		case k.VolumeHeld != "":
			v.Volume, v.State, v.VolumeText = noLevel, "volume in doubt", ""
		case !k.Here:
			v.State, v.VolumeText = k.ToCome(), ""
		case k.Stopped:
			v.Volume, v.VolumeText = noLevel, ""
			v.Activity, v.State = figureOf(k), "volume not known since its infusion was stopped"
		case k.Activity == 0 && k.Volume < 1e-6:
			v.State = "empty"
		case k.Volume < 1e-6: // the residual
			v.Activity, v.State, v.VolumeText = figureOf(k), "known by "+k.KnownBy(), ""
		case k.Assayed:
			v.Activity, v.State = figureOf(k), "now"
		default:
			v.State = "not measured"
		}
		b.Clock().AddSediment(&v, key)
		out = append(out, v)
	}
	if plan := b.Out.Plan; plan != nil && !syringe {
		g := b.Case.Policy.Graduation
		v := picture.Vessel{Kind: picture.Syringe, ID: b.Free("Y"), Expected: true}
		if b.Out.Next == dispensing.DrawDose {
			v.Target = &picture.Target{Volume: plan.Draw, Text: quantity.ShowGraduated(plan.Draw, g), Words: "draw to"}
		}
		out = append(out, v)
	}
	return out
}

// figureOf is what a container holds, in the unit of the page.
func figureOf(k dispensing.ContainerResult) string {
	said, _, _ := strings.Cut(dispensing.Said(k.Activity, k.U), " (")
	return said
}

// next is the movement that is due.
func (b *bench) next() []picture.Movement {
	due, _ := b.Prep.Current()
	g := b.Case.Policy.Graduation
	switch due.Key {
	case procedure.Draw:
		if plan := b.Out.Plan; plan != nil {
			return []picture.Movement{{From: plan.From, To: b.Free("Y"), Words: "draw"}}
		}
	case procedure.MakeUp:
		return []picture.Movement{{To: b.Out.Container, Words: "add diluent"}}
	case procedure.Adjust:
		if a := b.Out.Adjust; a != nil && a.TopUp && b.Out.Plan != nil {
			return []picture.Movement{{From: b.Out.Plan.From, To: b.Out.Container, Words: "add " + quantity.ShowGraduated(a.Volume, g)}}
		} else if a != nil && b.Out.Plan != nil {
			return []picture.Movement{{From: b.Out.Container, To: b.Out.Plan.From, Words: "return " + quantity.ShowGraduated(a.Volume, g)}}
		}
	}
	return nil
}

// strip is the dose of this order on the time axis.
func (b *bench) strip() picture.Strip {
	return picture.Strip{ID: "strip", Zone: b.Zone.Loc(), Now: b.Q.Now, HalfLife: b.Result.HalfLife, Tracks: []picture.Track{b.Track()}, Mark: b.Q.Mark()}
}
