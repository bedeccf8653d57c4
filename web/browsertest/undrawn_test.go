package browsertest

import (
	"testing"

	"vialwright/rules"
	"vialwright/web"
	"vialwright/web/webtest"
)

// TestUndrawnVial walks a reported event at the bench (NRC event notification 55947: 5.1
// GBq given for 2.2 ordered): all of the vial is taken for an order of less than half of
// it. The bench asks at the draw, stops after it, and offers neither release nor infusion;
// it is given in spite of that, under a deviation, and what the parts in the activity
// meter leave is an event, with its clocks on the board.
func TestUndrawnVial(t *testing.T) {
	needsBrowser(t)
	us, err := rules.Load("us")
	if err != nil {
		t.Fatal(err)
	}
	s := webtest.NewStory(webtest.New(t, func(c *web.Config) { c.Practice, c.Rules = true, &us }).Hire())
	s.LargeVial()
	worker, nurse := sit(t, s.HTTP.URL, "T1", touch{}), sit(t, s.HTTP.URL, "SN1", touch{})
	worker.signIn(webtest.Password)
	nurse.signIn(webtest.Password)

	worker.see(webtest.Bench)
	worker.fill("step", "p0.volume", "5.0")
	if r := worker.send("step"); r.Status != 422 {
		t.Fatalf("%d: nobody asks about a draw of the whole vial:\n%s", r.Status, worker.text("main"))
	}
	worker.says("form#step .question", "5.0 mL")
	worker.leads("answering that it is so", press("1"))
	worker.says("#notices", "recorded")

	s.Clock.Set("11:14")
	worker.reads(webtest.Bench, "step", "0.4")
	worker.says("main", "Beyond the site's limit of 20 %")
	worker.says("main", "+134.5 % from the prescribed 2.20 GBq")
	for _, step := range []string{"release", "infusion"} {
		nurse.see(webtest.Bench + "/step/" + step)
		if ask[bool](nurse, `!!document.querySelector("form#step")`) {
			t.Errorf("the whole vial can be let go at the step %s:\n%s", step, nurse.text("main"))
		}
	}
	worker.see(webtest.Bench)
	worker.opens("deviation")
	worker.fill("deviation", "p0.text", "the vial went to the suite undrawn")
	worker.fill("deviation", "pin", webtest.PIN)
	worker.send("deviation")
	worker.says("#notices", "recorded")

	s.Clock.Set("14:10")
	nurse.see(webtest.Bench)
	nurse.see(webtest.Bench + "/step/infusion")
	nurse.fill("step", "p0.start", "2027-03-04T13:30")
	nurse.fill("step", "p0.stop", "2027-03-04T14:05")
	nurse.pick("step", "p0.reason", "complete")
	nurse.send("step")
	nurse.says("#notices", "recorded")

	s.Clock.Set("15:12")
	worker.see(webtest.Bench)
	worker.says("main", "Read Y1 with the residual in the activity meter")
	worker.reads(webtest.Bench, "step", "36.3") // of the syringe it was given from
	worker.opens("parts")
	worker.fill("parts", "p0.holds", "line, catheter and swabs")
	worker.reads(webtest.Bench, "parts", "16.35")

	worker.see(webtest.Bench + "/step/residual")
	worker.tells("+131.8 %", "of the prescribed 2.20 GBq", "20 % or more above by 10 CFR 35.3045(a) [verified]", "Still to be entered: whether it was the patient of the order")
	worker.see("/")
	for _, clock := range []string{"Tell the referring physician and the patient by Fri 5 Mar ", "Tell the authority by telephone by the end of 2027-03-05", "Send the written report by the end of 2027-03-19"} {
		worker.says("main", "P1: "+clock)
	}
}

// reads types a reading in MBq, with its background, into a form of the bench, and sends it.
func (d *desk) reads(bench, form, gross string) {
	d.t.Helper()
	if d.location() != bench {
		d.see(bench)
	}
	d.fill(form, "p0.gross", gross)
	d.pick(form, "p0.gross.unit", "MBq")
	d.fill(form, "p0.background", "0.2")
	d.pick(form, "p0.background.unit", "MBq")
	if r := d.send(form); r.Status != 200 {
		d.t.Fatalf("the reading: %d:\n%s", r.Status, d.text("main"))
	}
	d.says("#notices", "recorded")
}
