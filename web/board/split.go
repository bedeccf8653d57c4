package board

import (
	"strconv"
	"strings"

	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// splits puts the doses of each vial side by side, numbered and named, with
// what is still to be drawn against what the vial holds. Who may still do a
// second check sees the orders without what was drawn.
func (q *request) splits(st *kit.State) []Split {
	if len(st.Case.Orders) < 2 {
		return nil
	}
	blind := q.BlindAnywhere(st)
	var out []Split
	for _, v := range st.Case.Vials {
		s := Split{Vial: v.ID}
		var volume quantity.Volume
		var activity quantity.Activity
		for i, o := range st.Case.Orders {
			drawn, from := drawnFor(st, o.ID)
			plan := st.Result.Orders[i].Plan
			b, _ := books.BenchOf(q.Request, st, o.ID)
			p := b.Prep
			if p.Cancelled != "" || drawn > 0 && from != v.ID || drawn == 0 && (plan == nil || plan.From != v.ID) {
				continue
			}
			row := SplitRow{
				Number: strconv.Itoa(i + 1), ID: o.ID, Href: kit.OrderHref(o.ID), Name: strings.Trim(o.Territory+", "+p.Expect.Patient, ", "),
				Prescribed: b.Prescribed(), At: st.Zone.Wall(o.At, q.Now), Label: labelsOf(p),
			}
			row.State, row.Now = q.standing(p)
			switch {
			case drawn > 0 && !blind:
				row.Volume = "drawn " + quantity.ShowGraduated(drawn, st.Case.Policy.Graduation)
			case drawn > 0:
				row.Volume = "drawn"
			default:
				volume += plan.Draw
				activity += o.Wanted(st.Result.At, st.Result.HalfLife)
				if row.Volume = "to draw"; !blind {
					row.Volume += " " + quantity.ShowGraduated(plan.Draw, st.Case.Policy.Graduation)
				}
			}
			s.Rows = append(s.Rows, row)
		}
		if len(s.Rows) == 0 {
			continue
		}
		if !blind {
			s.Total = total(st, v.ID, volume, activity)
		}
		out = append(out, s)
	}
	return out
}

func drawnFor(st *kit.State, order string) (v quantity.Volume, from string) {
	for _, d := range st.Case.Draws {
		if d.For == order {
			v, from = v+d.Volume, d.From
		}
	}
	return v, from
}

func labelsOf(p procedure.Preparation) string {
	var out []string
	for _, l := range p.Labels {
		if l.Void == "" {
			out = append(out, l.Serial.String())
		}
	}
	return strings.Join(out, ", ")
}

func total(st *kit.State, vial string, volume quantity.Volume, activity quantity.Activity) []view.Pair {
	for _, k := range st.Result.Containers {
		if k.Container.ID != vial || k.Withheld != "" {
			continue
		}
		g := st.Case.Policy.Graduation
		left := func(sum, has string, enough bool) string {
			if enough {
				return sum + " of " + has
			}
			return sum + " of only " + has + ": not enough"
		}
		known := ""
		if !k.Assayed {
			known = " by its label"
		}
		return []view.Pair{
			{Name: "Still to draw, together", Value: left(quantity.ShowGraduated(volume, g), quantity.ShowGraduated(k.Volume, g), volume <= k.Volume)},
			{Name: "Activity wanted now, together", Value: left(quantity.Show(activity, 0).String(), quantity.Show(k.Activity, k.U).String()+known, activity <= k.Activity)},
		}
	}
	return nil
}
