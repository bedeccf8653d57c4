package plan

import (
	"strconv"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

func setupPage(q *request) error { return q.CasePage(q.setupForm, q.setupShow) }

func (q *request) setupShow(st *kit.State, status int, sent *view.Form) error {
	p := view.FormPage{
		Page: q.Page("Set-up of the day"), Heading: "Set-up of the day", Back: view.Link{Text: "Day plan", Href: "/plan"},
		Intro: "What a day plan is made with, beside orders, vials and the settings of the site.",
	}
	if now, _ := q.inForce(q.Now.In(st.Zone.Loc())); now != nil {
		p.Facts = words.Pairs(now, st.Zone)
	}
	p.Form = q.Offered(q.setupForm(st), st, sent)
	return q.Show(status, view.Common, p)
}

// setupForm asks for the set-up, filled with the one that is there.
func (q *request) setupForm(st *kit.State) *kit.Form {
	x, _ := q.inForce(q.Now.In(st.Zone.Loc()))
	if x == nil {
		x = &fact.DaySetup{}
	}
	count := func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	}
	in := func(name, value, example string) kit.Input {
		x := kit.Input{Name: name, Must: true, Small: true}
		x.Carry("day-setup", value, "For example "+example+".")
		return x
	}
	span := func(name, value, example string) kit.Input {
		x := in(name, value, example)
		x.Units = []string{"min", "h"}
		return x
	}
	hold := span("hold", x.Hold.Text, "4 h")
	receipt := span("receipt", x.Receipt.Text, "90 min")
	hold.Must, receipt.Must = false, false
	punctures, staff := in("punctures", count(x.Punctures), "10"), in("staff", x.Staff, "T1 08:00-16:00; T2 09:00-13:00")
	punctures.Must, staff.Must, staff.Small = false, false, false
	return &kit.Form{
		ID: "day-setup", Title: "Set the day up", Action: "/plan/setup", Button: "Record the set-up", Act: people.SetPolicy, To: "/plan", Said: "The set-up is recorded.", Expanded: true,
		Parts: []kit.Part{{Kind: "day-setup", Inputs: []kit.Input{
			in("opens", x.Opens, "08:00"), in("closes", x.Closes, "17:00"), in("benches", count(x.Benches), "2"), in("suites", count(x.Suites), "1"),
			span("takes", x.Takes.Text, "45 min"), span("check", x.Check.Text, "15 min"), span("lead", x.Lead.Text, "30 min"),
			hold, span("infusion", x.Infusion.Text, "60 min"), span("step", x.Step.Text, "15 min"), in("dead", x.Dead.Text, "0.3 mL"), in("syringe", x.Syringe.Text, "5 mL"),
			in("yield-u", x.YieldU.Text, "1 %"), in("scatter", x.Scatter.Text, "2 %"), in("hand-dose", x.HandDose.Text, "0.15 mSv"),
			punctures, receipt, staff,
			{Name: "from", Kind: "time"},
		}}},
		Permit: plannable,
	}
}

// plannable refuses a set-up of which no day can be planned, at the form where it is
// typed.
func plannable(_ *kit.State, facts []fact.Fact) error {
	wrong := kit.Faults{}
	for _, x := range fact.Of[*fact.DaySetup](facts) {
		for _, f := range []struct {
			name      string
			bad       bool
			text, way string
		}{
			{"check", x.Check.Value > x.Takes.Value, "the second check takes longer than the draw it is part of", "write a shorter check, or a longer draw"},
			{"step", x.Step.Value < 60 || x.Step.Value > 3600, "a step of the plan is from 1 min to 60 min", "write it again"},
			{"closes", x.Closes <= x.Opens, "the bench closes before it opens", "write the hours again, like 08:00 and 17:00"},
			{"hold", !x.Hold.IsZero() && x.Hold.Value < x.Lead.Value, "the most from draw to infusion is less than the least", "write a longer time, or leave it empty"},
		} {
			if f.bad {
				wrong[kit.Control(0, f.name)] = kit.Fault{Text: f.text, Way: f.way}
			}
		}
	}
	if len(wrong) > 0 {
		return wrong
	}
	return nil
}
