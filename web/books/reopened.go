package books

import (
	"slices"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// Beside are the figures of orders that a correction changes, the old beside
// the new.
func Beside(before, after *kit.State, orders []string) (out []view.Pair) {
	for _, id := range orders {
		was, is, changed := figures(before, id), figures(after, id), false
		for i, p := range was {
			if p.Value != is[i].Value {
				changed = true
				out = append(out, view.Pair{Name: id + ", " + words.Inside(p.Name), Value: p.Value + " before, " + is[i].Value + " after"})
			}
		}
		if !changed {
			out = append(out, view.Pair{Name: id, Value: "no figure of the dose changes"})
		}
	}
	return out
}

func figures(st *kit.State, order string) []view.Pair {
	out := []view.Pair{{Name: "Prescribed", Value: "nothing"}, {Name: "Dispensed, at infusion", Value: "not known"}, {Name: "Delivered", Value: "not known"}}
	for _, o := range st.Result.Orders {
		if o.Order.ID != order {
			continue
		}
		out[0].Value = quantity.Show(o.Order.Prescribed, 0).String()
		if d := o.Dispensed; d != nil {
			out[1].Value = quantity.Show(d.Activity, d.U).String()
		}
		if d := o.Delivered; d != nil {
			out[2].Value = quantity.Show(d.Activity, d.U).String()
		}
	}
	return out
}

// Reopening is what a correction changed in closed records: the old figures
// beside the new. It is empty for what reopened none.
func Reopening(q *kit.Request, r journal.Record) []view.Pair {
	c, ok := r.Fact.(*fact.Correct)
	if !ok || c.Countersigned == "" {
		return nil
	}
	f, at := q.Lab.FileOf(r.N), r.Recorded
	i := slices.IndexFunc(f.Records, func(x journal.Record) bool { return x.N == r.N })
	if i < 0 {
		return nil
	}
	before, err := q.Reckon(&kit.File{Records: f.Records[:i]}, at)
	if err != nil {
		return nil
	}
	after, err := q.Reckon(&kit.File{Records: f.Records[:i+1]}, at)
	if err != nil {
		return nil
	}
	return Beside(before, after, before.ClosedWith(c.Entry))
}
