package dispensing_test

import (
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
)

func said[Q quantity.Kind](t *testing.T, text string) quantity.Stated[Q] {
	t.Helper()
	s, err := quantity.Parse[Q](text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// showQuestion is a question in one line, empty for none.
func showQuestion(q *dispensing.Question) string {
	if q == nil {
		return ""
	}
	return q.Text + " " + strings.Join(q.Meant, " or ")
}

// TestQuestions: what a slip of unit or point makes of an amount is asked
// about with what was meant first, and honest amounts are not. By hand: a vial of
// 3.0 GBq at 18:00 holds 3.0·2^(7/64.0417) = 3.236 GBq at 11:00, 87.5 mCi; 2.2 of
// its 5.0 mL hold 1.42 GBq at 11:16, and the 2.8 mL left 1.81 GBq.
func TestQuestions(t *testing.T) {
	s := toDraw()
	fresh := assayed(1.30*quantity.GigaBecquerel, "13:30", 0.02)
	planned := dispensing.Reckon(fresh.Case, time.Time{})
	reading := func(c dispensing.Case, of, when, text string) string {
		return showQuestion(c.AskReading(of, at(when), said[quantity.Activity](t, text)))
	}
	background := func(gross, text string) string {
		return showQuestion(dispensing.AskBackground(said[quantity.Activity](t, text), said[quantity.Activity](t, gross)))
	}
	volume := func(text string) quantity.Stated[quantity.Volume] { return said[quantity.Volume](t, text) }
	drawn := dispensing.Reckon(s.Case, time.Time{})
	much := assayed(1.30*quantity.GigaBecquerel, "13:30", 0.02)
	much.draw("S1", "Y1", "P1", "11:10", 2.6)
	much.read("S1", "11:14", 1.57*quantity.GigaBecquerel)
	given, short := whole(), whole()
	given.Infusions[0].Reason, short.Infusions[0].Reason = "complete", "blockage"
	rich := dispensing.Reckon(much.Case, time.Time{})
	for _, c := range []struct{ got, want string }{
		// The numbers of one vial under each wrong unit, and with the point moved.
		{reading(fresh.Case, "S1", "11:00", "87.5 GBq"), "87.5 GBq is 27 times what labels and volumes say: is it 87.5 mCi? 87.5 mCi"},
		{reading(fresh.Case, "S1", "11:00", "87.5 MBq"), "87.5 MBq is 1/37 of what labels and volumes say: is it 87.5 mCi? 87.5 mCi"},
		{reading(fresh.Case, "S1", "11:00", "3.24 mCi"), "3.24 mCi is 1/27 of what labels and volumes say: is it 3.24 GBq? 3.24 GBq"},
		{reading(fresh.Case, "S1", "11:00", "3.24 MBq"), "3.24 MBq is 1/999 of what labels and volumes say: is it 3.24 GBq? 3.24 GBq"},
		{reading(fresh.Case, "S1", "11:00", "32.4 GBq"), "32.4 GBq is 10 times what labels and volumes say: is it 3.24 GBq? 3.24 GBq"},
		{reading(s.Case, "S1", "11:16", "18.5 GBq"), "18.5 GBq is 10 times what labels and volumes say: is it 1.85 GBq? 1.85 GBq"},
		{reading(s.Case, "Y1", "11:16", "13.1 GBq"), "13.1 GBq is 9.2 times what labels and volumes say: is it 1.31 GBq? 1.31 GBq"},
		// A background in the unit of the reading; honest ones of a full vial, of an
		// emptied syringe and of swabs.
		{background("1.58 GBq", "0.2 GBq"), "0.2 GBq is high for a background: is it 0.2 MBq? 0.2 MBq or 0.2 mCi or 0.002 GBq"},
		{background("22 MBq", "4 MBq"), "4 MBq is high for a background: is it 0.4 MBq? 0.4 MBq or 0.04 MBq"},
		{background("1.85 GBq", "0.2 MBq"), ""},
		{background("20.4 MBq", "0.9 MBq"), ""},
		{background("0.7 MBq", "0.2 MBq"), ""},
		// Odd without a slip that explains it.
		{reading(fresh.Case, "S1", "11:00", "0.9 GBq"), "0.9 GBq is 28 % of what labels and volumes say: is it so? "},
		// An empty well, read for a full vial; of an emptied one it is expected.
		{reading(fresh.Case, "S1", "11:00", "0 GBq"), "0 GBq is nothing beside what labels and volumes say: is it so? "},
		{reading(s.Case, "Y9", "11:00", "0 GBq"), ""},
		// Honest ones: a label 15 % off, a traceable basis 26 % apart, a poor yield.
		{reading(fresh.Case, "S1", "11:00", "2.75 GBq"), ""},
		{reading(fresh.Case, "S1", "11:00", "4.08 GBq"), ""},
		{reading(s.Case, "Y1", "11:16", "1.0 GBq"), ""},
		{reading(s.Case, "Y9", "11:16", "13.1 GBq"), ""},
		// An emptied vial or syringe: the residual in a wrong unit; 1.42 GBq came into A1.
		{reading(given.Case, "A1", "15:12", "22.0 GBq"), "22.0 GBq is 16 times what A1 held before it was emptied: is it 22.0 MBq? 22.0 MBq or 0.220 GBq"},
		{reading(given.Case, "Y1", "11:30", "22.0 GBq"), "22.0 GBq is 16 times what Y1 held before it was emptied: is it 22.0 MBq? 22.0 MBq or 0.220 GBq"},
		{reading(given.Case, "A1", "15:12", "220 MBq"), ""},
		// A reading of the time before it was emptied, entered late.
		{reading(given.Case, "Y1", "11:16", "1.4 GBq"), ""},
		{reading(given.Case, "A1", "11:30", "1.4 GBq"), ""},
		{reading(given.Case, "Y1", "11:16", "14 GBq"), "14 GBq is 9.9 times what labels and volumes say: is it 1.4 GBq? 1.4 GBq"},
		{reading(short.Case, "A1", "15:12", "1.1 GBq"), ""},
		{reading(short.Case, "A1", "15:12", "22 GBq"), "22 GBq is 16 times what A1 held before it was emptied: is it 22 MBq? 22 MBq or 22 mCi or 2.2 GBq"},

		{showQuestion(dispensing.AskActivity(said[quantity.Activity](t, "35 GBq"))), "35 GBq is outside the usual 0.1 to 10 GBq: is it 35 mCi? 35 mCi or 3.5 GBq or 0.35 GBq"},
		{showQuestion(dispensing.AskActivity(said[quantity.Activity](t, "1.3 mCi"))), "1.3 mCi is outside the usual 0.1 to 10 GBq: is it 1.3 GBq? 1.3 GBq or 13 mCi or 130 mCi"},
		{showQuestion(dispensing.AskActivity(said[quantity.Activity](t, "0.1 GBq"))), ""},
		{showQuestion(dispensing.AskActivity(said[quantity.Activity](t, "81 mCi"))), ""},
		{showQuestion(dispensing.AskLabelled(said[quantity.Activity](t, "3.0 mCi"))), "3.0 mCi is outside the usual 0.5 to 10 GBq of a shipping vial: is it 3.0 GBq? 3.0 GBq or 30 mCi"},
		{showQuestion(dispensing.AskLabelled(said[quantity.Activity](t, "81 mCi"))), ""},
		{showQuestion(dispensing.AskVialVolume(said[quantity.Volume](t, "50 mL"))), "50 mL is outside the usual 1 to 25 mL: is it 5.0 mL? 5.0 mL"},
		{showQuestion(dispensing.AskVialVolume(said[quantity.Volume](t, "5 uL"))), "5 uL is outside the usual 1 to 25 mL: is it 5 mL? 5 mL"},

		{showQuestion(planned.AskDraw("P1", "S1", volume("21 mL"))), "21 mL is 10 times the planned volume: is it 2.1 mL? 2.1 mL"},
		{showQuestion(planned.AskDraw("P1", "S1", volume("0.21 mL"))), "0.21 mL is 1/10 of the planned volume: is it 2.1 mL? 2.1 mL"},
		{showQuestion(planned.AskDraw("P1", "S1", volume("2.4 mL"))), ""},
		{showQuestion(planned.AskDraw("P2", "S1", volume("21 mL"))), ""},

		// Y1 holds 2.2 mL, and this site makes up to 3 to 5 mL.
		{showQuestion(s.AskMakeUp("Y1", volume("13 mL"))), "13 mL added would make 15.2 mL; the site makes up to between 3 mL and 5 mL: is it 1.3 mL? 1.3 mL"},
		{showQuestion(s.AskMakeUp("Y1", volume("0.13 mL"))), "0.13 mL added would make 2.33 mL; the site makes up to between 3 mL and 5 mL: is it 1.3 mL? 1.3 mL"},
		{showQuestion(s.AskMakeUp("Y1", volume("3.1 mL"))), "3.1 mL added would make 5.3 mL; the site makes up to between 3 mL and 5 mL: is it 0.9 mL, up to 3.1 mL? 0.9 mL"},
		{showQuestion(s.AskMakeUp("Y1", volume("7 mL"))), "7 mL added would make 9.2 mL; the site makes up to between 3 mL and 5 mL: is it so? "},
		{showQuestion(s.AskMakeUp("Y1", volume("1300 uL"))), ""},
		{showQuestion(s.AskMakeUp("Y1", volume("0.8 mL"))), ""},
		{showQuestion(s.AskMakeUp("Y1", volume("2.8 mL"))), ""},
		{showQuestion(s.AskMakeUp("Y9", volume("13 mL"))), ""},

		{showQuestion(drawn.AskTransfer("Y1", volume("0.22 mL"))), "0.22 mL is 1/10 of what Y1 holds: is it 2.2 mL? 2.2 mL"},
		{showQuestion(drawn.AskTransfer("Y1", volume("22 mL"))), "22 mL is 10 times what Y1 holds: is it 2.2 mL? 2.2 mL"},
		{showQuestion(drawn.AskTransfer("Y1", volume("1.1 mL"))), "1.1 mL is 50 % of what Y1 holds: is it so? "},
		{showQuestion(drawn.AskTransfer("Y1", volume("2.2 mL"))), ""},
		{showQuestion(drawn.AskTransfer("Y9", volume("2.2 mL"))), ""},

		// Too much was drawn: (1.62 - 1.3265)/1.62 of 2.6 mL, about 0.5 mL, is to go back.
		{showQuestion(rich.AskReturn("Y1", volume("5 mL"))), "5 mL is 10 times the planned volume: is it 0.5 mL? 0.5 mL"},
		{showQuestion(rich.AskReturn("Y1", volume("0.05 mL"))), "0.05 mL is 1/10 of the planned volume: is it 0.5 mL? 0.5 mL"},
		{showQuestion(rich.AskReturn("Y1", volume("2.1 mL"))), "2.1 mL is 4.2 times the planned volume: is it 0.5 mL, down to 2.1 mL? 0.5 mL"},
		{showQuestion(rich.AskReturn("Y1", volume("1.3 mL"))), "1.3 mL is 2.6 times the planned volume: is it so? "},
		{showQuestion(rich.AskReturn("Y1", volume("0.5 mL"))), ""},
		{showQuestion(drawn.AskReturn("Y1", volume("0.22 mL"))), "0.22 mL is 1/10 of what Y1 holds: is it 2.2 mL? 2.2 mL"},
	} {
		if c.got != c.want {
			t.Errorf("asked %q\n want %q", c.got, c.want)
		}
	}
	// Once it is in the books nothing is different: the question reads no reading.
	before := reading(fresh.Case, "S1", "11:02", "87.5 GBq")
	fresh.read("S1", "11:01", 87.5*quantity.GigaBecquerel)
	if after := reading(fresh.Case, "S1", "11:02", "87.5 GBq"); after != before {
		t.Errorf("an earlier reading changes the question from %q to %q", before, after)
	}
}
