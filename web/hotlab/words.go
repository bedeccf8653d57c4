package hotlab

import (
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/quantity"
)

// routeSays is how a bin left, by its route.
var routeSays = map[fact.Route]string{
	fact.Trash: "released to the trash", fact.Clinical: "released to clinical waste", fact.Sewer: "released to the sewer", fact.SentBack: "sent back", fact.Handed: "handed on",
}

// BinSays is a bin in one line; clock says a time.
func BinSays(b hotlab.Bin, clock func(time.Time) string) string {
	says := []string{quantity.Both(b.Activity, b.U)}
	for _, x := range b.Impure {
		says = append(says, "with "+x.Content.Text+" of "+x.Nuclide+" on "+clock(x.At))
	}
	at, ready := b.ReadyAt()
	switch {
	case b.Released != nil:
		says = append(says, routeSays[b.Released.Route]+" "+clock(b.Released.At))
	case b.Closed == nil:
		says = append(says, "open")
	case b.Slow != nil:
		says = append(says, "held: it decays more slowly than Y-90")
	case ready:
		says = append(says, "closed "+clock(b.Closed.At), "ready to be surveyed "+clock(at))
	case b.Held() != "":
		says = append(says, "held: "+b.Held())
	default:
		says = append(says, "closed "+clock(b.Closed.At), "no rule in force says when it is ready")
	}
	if b.Seen && b.Released == nil {
		says = append(says, "expected at its surface now: "+quantity.FormatDigits(b.Expected, 2, b.Family)+" over background")
	}
	return strings.Join(says, "; ")
}

// wornOrder is the order in which doses are said.
var wornOrder = []fact.Worn{fact.WornBody, fact.WornRing, fact.WornTip, fact.WornLens, fact.WornFetus}

// DosesSay are the doses of a person in one line, each beside its limit and the level of the
// site.
func DosesSay(p hotlab.Person, b hotlab.Book) string {
	against := func(w fact.Worn, d quantity.DoseEquivalent) string {
		text := hotlab.Dose(d)
		if l, ok := b.Limits[w]; ok {
			text = hotlab.Dose(d, quantity.DoseEquivalent(l.Number())) + " of " + l.Figure + " (" + quantity.FormatDigits(quantity.Fraction(float64(d)/l.Number()), 2, "%", 1) + ")"
		}
		if l, ok := b.Levels[w]; ok {
			text += ", looked into above " + l.Text
		}
		return text
	}
	var says []string
	for _, w := range wornOrder {
		if d, ok := p.Year[w]; ok {
			says = append(says, string(w)+" "+against(w, d))
		}
	}
	if tip, _ := p.Fingertip(); p.Ratio > 0 && p.RingAlone > 0 { // else what was measured says it all
		says = append(says, "fingertips "+against(fact.WornTip, tip)+" by the ratio of the person")
	}
	if p.Skin > 0 {
		says = append(says, "skin by contamination "+hotlab.Dose(p.Skin))
	}
	if len(says) == 0 {
		return "no dose reported this year"
	}
	return strings.Join(says, "; ")
}
