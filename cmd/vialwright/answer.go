package main

import (
	"encoding/json"
	"io"
	"strconv"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
)

// The answer of `reckon --json`. Numbers are unrounded; a key that does not
// apply yet is left out.
type answer struct {
	HalfLife    float64           `json:"half_life_h"`
	Vials       []vialAnswer      `json:"vials"`
	Containers  []containerAnswer `json:"containers"`
	Orders      []orderAnswer     `json:"orders"`
	Consistency consistencyAnswer `json:"consistency"`
	Findings    []findingAnswer   `json:"findings"`
	Assumed     []assumedAnswer   `json:"assumed,omitempty"`
}

type vialAnswer struct {
	ID              string   `json:"id"`
	Measured        *float64 `json:"measured_MBq,omitempty"`
	U               *float64 `json:"u_MBq,omitempty"`
	At              string   `json:"at"`
	LabelRatio      *float64 `json:"label_ratio,omitempty"`
	Remaining       *float64 `json:"remaining_MBq,omitempty"`
	RemainingVolume *float64 `json:"remaining_mL,omitempty"`
}

type containerAnswer struct {
	ID       string   `json:"id"`
	Kind     string   `json:"kind"`
	Activity float64  `json:"activity_MBq"`
	U        float64  `json:"u_MBq"`
	At       string   `json:"at"`
	Volume   *float64 `json:"volume_mL,omitempty"` // left out where it is not known
}

type planAnswer struct {
	From        string  `json:"from"`
	Draw        float64 `json:"draw_mL"`
	Exact       float64 `json:"draw_mL_exact"`
	Conformance float64 `json:"predicted_conformance"`
	Readings    *int    `json:"readings_needed,omitempty"`
	// What the site's cases have taught; left out where nothing was learned.
	Learned *learnedPlan `json:"learned,omitempty"`
}

type orderAnswer struct {
	ID               string      `json:"id"`
	Wanted           float64     `json:"wanted_MBq"`
	WantedAt         string      `json:"wanted_at"`
	Plan             *planAnswer `json:"plan,omitempty"`
	Dispensed        *float64    `json:"dispensed_MBq,omitempty"`
	U                *float64    `json:"u_MBq,omitempty"`
	At               string      `json:"at,omitempty"`
	Ratio            *float64    `json:"ratio,omitempty"`
	Conformance      *float64    `json:"conformance,omitempty"`
	Verdict          string      `json:"verdict,omitempty"`
	ValidFrom        string      `json:"valid_from,omitempty"`
	ValidUntil       string      `json:"valid_until,omitempty"`
	Delivered        *float64    `json:"delivered_MBq,omitempty"`
	DeliveredU       *float64    `json:"delivered_u_MBq,omitempty"`
	ResidualFraction *float64    `json:"residual_fraction,omitempty"`
}

type consistencyAnswer struct {
	Chi2 float64  `json:"chi2"`
	DOF  int      `json:"dof"`
	P    *float64 `json:"p,omitempty"`
}

// learnedPlan is what a draw is expected to yield, and to be at infusion time.
type learnedPlan struct {
	Expect    float64 `json:"expected_MBq"`
	ExpectU   float64 `json:"expected_u_MBq"`
	Yield     float64 `json:"draw_yield"`
	YieldU    float64 `json:"draw_yield_u"`
	YieldFrom string  `json:"draw_yield_from"`
}

func learnedPlanOf(p *dispensing.Plan) *learnedPlan {
	if p.YieldFrom == "" {
		return nil
	}
	return &learnedPlan{p.Expect.MBq(), p.ExpectU.MBq(), p.Yield.Value, p.Yield.U, p.YieldFrom}
}

type assumedAnswer struct {
	Setting string `json:"setting"`
	Value   string `json:"value"`
	Source  string `json:"source"`
}

type findingAnswer struct {
	Code     string `json:"code"`
	Severity string `json:"severity"`
	Entry    int    `json:"entry,omitempty"`
	Order    string `json:"order,omitempty"`
	Text     string `json:"text"`
}

func writeJSON(w io.Writer, zone *time.Location, r dispensing.Result) error {
	a := answer{
		HalfLife: hours(r.HalfLife), Vials: []vialAnswer{}, Containers: []containerAnswer{},
		Orders: []orderAnswer{}, Findings: []findingAnswer{},
	}
	for _, v := range r.Vials {
		a.Vials = append(a.Vials, vialOf(v, zone))
	}
	for _, c := range r.Containers {
		k := containerAnswer{ID: c.Container.ID, Kind: string(c.Container.Kind), Activity: c.Activity.MBq(), U: c.U.MBq(), At: quantity.FormatTime(c.At, zone)}
		if v := float64(c.Volume); !c.Stopped {
			k.Volume = &v
		}
		a.Containers = append(a.Containers, k)
	}
	for _, o := range r.Orders {
		a.Orders = append(a.Orders, orderOf(o, zone))
	}
	// With no degree of freedom chi-square is rounding noise, and p says nothing.
	if c := r.Consistency; c.DOF > 0 {
		a.Consistency = consistencyAnswer{Chi2: c.Chi2, DOF: c.DOF, P: &c.P}
	}
	for _, f := range r.Findings {
		a.Findings = append(a.Findings, findingAnswer{string(f.Code), string(f.Severity), f.Entry, f.Order, f.Text})
	}
	for _, x := range r.Learned() {
		a.Assumed = append(a.Assumed, assumedAnswer{x.Setting, x.Value, x.Source})
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(a)
}

// hours undoes the rounding of the way through seconds: 64.0417 h is to read
// 64.0417, not 64.04169999999999.
func hours(s quantity.Span) float64 {
	h, err := strconv.ParseFloat(strconv.FormatFloat(s.Hours(), 'g', 15, 64), 64)
	if err != nil {
		return s.Hours()
	}
	return h
}

func mbq(a quantity.Activity) *float64 { v := a.MBq(); return &v }

func vialOf(v dispensing.VialResult, zone *time.Location) vialAnswer {
	left := float64(v.RemainingVolume)
	a := vialAnswer{
		ID: v.Vial.ID, At: quantity.FormatTime(v.Vial.Reference, zone),
		Remaining: mbq(v.Remaining), RemainingVolume: &left,
	}
	if v.Assayed {
		a.Measured, a.U = mbq(v.Measured), mbq(v.U)
	}
	if v.LabelRatio > 0 {
		a.LabelRatio = &v.LabelRatio
	}
	return a
}

func orderOf(o dispensing.OrderResult, zone *time.Location) orderAnswer {
	a := orderAnswer{ID: o.Order.ID, Wanted: o.Wanted.MBq(), WantedAt: quantity.FormatTime(o.WantedAt, zone)}
	if p := o.Plan; p != nil {
		a.Plan = &planAnswer{
			From: p.From, Draw: float64(p.Draw), Exact: float64(p.Exact), Conformance: p.Conformance,
			Learned: learnedPlanOf(p),
		}
		if p.Readings > 0 {
			a.Plan.Readings = &p.Readings
		}
	}
	if d := o.Dispensed; d != nil {
		a.Dispensed, a.U, a.At = mbq(d.Activity), mbq(d.U), quantity.FormatTime(d.At, zone)
		a.Ratio, a.Conformance, a.Verdict = &d.Ratio, &d.Conformance, d.Verdict
		if !d.ValidUntil.IsZero() {
			a.ValidFrom, a.ValidUntil = quantity.FormatTime(d.ValidFrom, zone), quantity.FormatTime(d.ValidUntil, zone)
		}
	}
	if d := o.Delivered; d != nil {
		a.Delivered, a.DeliveredU, a.ResidualFraction = mbq(d.Activity), mbq(d.U), &d.Fraction
	}
	return a
}
