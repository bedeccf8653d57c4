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
// apply yet is left out, and one whose figure is withheld is null.
type answer struct {
	HalfLife    float64           `json:"half_life_h"`
	Vials       []vialAnswer      `json:"vials"`
	Containers  []containerAnswer `json:"containers"`
	Orders      []orderAnswer     `json:"orders"`
	Consistency consistencyAnswer `json:"consistency"`
	Findings    []findingAnswer   `json:"findings"`
	Assumed     []assumedAnswer   `json:"assumed,omitempty"`
	Withheld    []withheldAnswer  `json:"withheld,omitempty"`
}

// withheldAnswer is a figure that is not given, and the finding that says why.
type withheldAnswer struct {
	Key  string `json:"key"`
	Code string `json:"code"`
}

// figure is left out where it is nil, and null where what it points to is.
type figure[T any] = **T

func some[T any](v T) figure[T] { p := &v; return &p }

func mbq(a quantity.Activity) figure[float64] { return some(a.MBq()) }

type vialAnswer struct {
	ID              string          `json:"id"`
	Measured        figure[float64] `json:"measured_MBq,omitempty"`
	U               figure[float64] `json:"u_MBq,omitempty"`
	At              string          `json:"at"`
	LabelRatio      figure[float64] `json:"label_ratio,omitempty"`
	Remaining       figure[float64] `json:"remaining_MBq,omitempty"`
	RemainingVolume figure[float64] `json:"remaining_mL,omitempty"`
}

type containerAnswer struct {
	ID       string          `json:"id"`
	Kind     string          `json:"kind"`
	Activity *float64        `json:"activity_MBq"`
	U        *float64        `json:"u_MBq"`
	At       string          `json:"at"`
	Volume   figure[float64] `json:"volume_mL,omitempty"` // left out where it is not known
}

type planAnswer struct {
	From        string  `json:"from"`
	Draw        float64 `json:"draw_mL"`
	Exact       float64 `json:"draw_mL_exact"`
	Conformance float64 `json:"predicted_conformance"`
	Readings    *int    `json:"readings_needed,omitempty"`
	// Site experience; left out where there is none.
	Experience *expectedPlan `json:"experience,omitempty"`
}

type orderAnswer struct {
	ID               string             `json:"id"`
	Wanted           float64            `json:"wanted_MBq"`
	WantedAt         string             `json:"wanted_at"`
	Plan             figure[planAnswer] `json:"plan,omitempty"`
	Dispensed        figure[float64]    `json:"dispensed_MBq,omitempty"`
	U                figure[float64]    `json:"u_MBq,omitempty"`
	At               string             `json:"at,omitempty"`
	Ratio            figure[float64]    `json:"ratio,omitempty"`
	Conformance      figure[float64]    `json:"conformance,omitempty"`
	Verdict          figure[string]     `json:"verdict,omitempty"`
	ValidFrom        figure[string]     `json:"valid_from,omitempty"`
	ValidUntil       figure[string]     `json:"valid_until,omitempty"`
	Delivered        figure[float64]    `json:"delivered_MBq,omitempty"`
	DeliveredU       figure[float64]    `json:"delivered_u_MBq,omitempty"`
	ResidualFraction figure[float64]    `json:"residual_fraction,omitempty"`
}

type consistencyAnswer struct {
	Chi2 float64  `json:"chi2"`
	DOF  int      `json:"dof"`
	P    *float64 `json:"p,omitempty"`
}

// expectedPlan is what a draw is expected to yield, and to be at infusion time.
type expectedPlan struct {
	Expect    float64 `json:"expected_MBq"`
	ExpectU   float64 `json:"expected_u_MBq"`
	Yield     float64 `json:"draw_yield"`
	YieldU    float64 `json:"draw_yield_u"`
	YieldFrom string  `json:"draw_yield_from"`
}

func expectedPlanOf(p *dispensing.Plan) *expectedPlan {
	if p.YieldFrom == "" {
		return nil
	}
	return &expectedPlan{p.Expect.MBq(), p.ExpectU.MBq(), p.Yield.Value, p.Yield.U, p.YieldFrom}
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
		k := containerAnswer{ID: c.Container.ID, Kind: string(c.Container.Kind), At: quantity.FormatTime(c.At, zone)}
		switch {
		case c.Withheld != "" || c.VolumeHeld != "":
			k.Volume = new(*float64)
		case !c.Stopped:
			k.Volume = some(float64(c.Volume))
		}
		if c.Withheld == "" {
			k.Activity, k.U = *mbq(c.Activity), *mbq(c.U)
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
	for _, x := range r.FromExperience() {
		a.Assumed = append(a.Assumed, assumedAnswer{x.Setting, x.Value, x.Source})
	}
	for _, x := range r.Withheld {
		a.Withheld = append(a.Withheld, withheldAnswer{x.Key, string(x.Code)})
	}
	return indented(w, a)
}

// indented writes an answer as JSON that people can read too.
func indented(w io.Writer, a any) error {
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

func vialOf(v dispensing.VialResult, zone *time.Location) vialAnswer {
	a := vialAnswer{ID: v.Vial.ID, At: quantity.FormatTime(v.Vial.Reference, zone)}
	if v.Withheld != "" {
		none := new(*float64)
		a.Measured, a.U, a.LabelRatio, a.Remaining, a.RemainingVolume = none, none, none, none, none
		return a
	}
	a.Remaining, a.RemainingVolume = mbq(v.Remaining), some(float64(v.RemainingVolume))
	if v.VolumeHeld != "" {
		a.RemainingVolume = new(*float64)
	}
	if v.Assayed {
		a.Measured, a.U = mbq(v.Measured), mbq(v.U)
	}
	if v.LabelRatio > 0 {
		a.LabelRatio = some(v.LabelRatio)
	}
	return a
}

func orderOf(o dispensing.OrderResult, zone *time.Location) orderAnswer {
	a := orderAnswer{ID: o.Order.ID, Wanted: o.Wanted.MBq(), WantedAt: quantity.FormatTime(o.WantedAt, zone)}
	a.withhold(o)
	if p := o.Plan; p != nil {
		plan := planAnswer{
			From: p.From, Draw: float64(p.Draw), Exact: float64(p.Exact), Conformance: p.Conformance,
			Experience: expectedPlanOf(p),
		}
		if p.Readings > 0 {
			plan.Readings = &p.Readings
		}
		a.Plan = some(plan)
	}
	if d := o.Dispensed; d != nil {
		a.Dispensed, a.U, a.At = mbq(d.Activity), mbq(d.U), quantity.FormatTime(d.At, zone)
		a.Ratio, a.Conformance, a.Verdict = some(d.Ratio), some(d.Conformance), some(d.Verdict)
		if !d.ValidUntil.IsZero() {
			a.ValidFrom, a.ValidUntil = some(quantity.FormatTime(d.ValidFrom, zone)), some(quantity.FormatTime(d.ValidUntil, zone))
		}
	}
	if d := o.Delivered; d != nil {
		a.Delivered, a.DeliveredU, a.ResidualFraction = mbq(d.Activity), mbq(d.U), some(d.Fraction)
	}
	return a
}

// withhold makes null what the result lists as withheld of the order.
func (a *orderAnswer) withhold(o dispensing.OrderResult) {
	for _, key := range o.Hidden {
		switch key {
		case "plan":
			a.Plan = new(*planAnswer)
		case "dispensed_MBq":
			a.Dispensed, a.U, a.Ratio, a.Conformance = new(*float64), new(*float64), new(*float64), new(*float64)
			a.Verdict, a.ValidFrom, a.ValidUntil = new(*string), new(*string), new(*string)
		case "delivered_MBq":
			a.Delivered, a.DeliveredU, a.ResidualFraction = new(*float64), new(*float64), new(*float64)
		}
	}
}
