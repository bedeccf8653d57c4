package preparation

import (
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/view"
)

// experience says at the draw what it rests on and how likely it lands, and leads
// to the page.
func (b *bench) experience(p *Bench, key procedure.Key) {
	plan := b.Out.Plan
	if key != procedure.Draw && key != procedure.Adjust || plan == nil || !plan.Assayed {
		return
	}
	from := plan.YieldFrom
	if from == "" {
		from = books.Percents(quantity.Fraction(plan.Yield.Value), quantity.Fraction(plan.Yield.U)) + ", as the policy states"
		for _, a := range b.Result.Assumed {
			if a.Setting == "draw-yield" {
				from = a.Value + ": " + a.Source
			}
		}
	}
	p.Outcome = append(p.Outcome, view.Pair{Name: "Draw yield expected", Value: from})
	if l, ok := b.Case.UsualResidual(); ok {
		p.Outcome = append(p.Outcome, view.Pair{Name: "Residual so far, for information", Value: l.Sentence()})
	}
	p.Links = append(p.Links, view.Link{Text: "Site experience", Href: "/experience"})
}
