package preparation

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"vialwright/dispensing"
	"vialwright/meterbook"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/forms"
	"vialwright/web/view"
	"vialwright/web/words"
)

// weight orders notices, the worst first.
var weight = map[string]int{"stop": 0, "warn": 1, "note": 2, "done": 3, past: 4}

// past is the kind of a notice about what is over: it is read behind the verdict.
const past = "past"

// awaited are findings that say no more than that a step is still to be done:
// while it is, the step itself says so, and nothing is wrong.
var awaited = map[dispensing.Code]procedure.Key{
	dispensing.VialNotAssayed: procedure.Assay, dispensing.DrawNotAssayed: procedure.Remainder, dispensing.MakeUpVolume: procedure.MakeUp,
	dispensing.BaselineMissing: procedure.Baseline,
}

// ahead tells a finding that the next normal step will end.
func (b *bench) ahead(f dispensing.Finding) bool {
	key, ok := awaited[f.Code]
	if !ok {
		return false
	}
	state := b.Prep.Step(key).State
	return state == procedure.Now || state == procedure.Later
}

// isPast tells a warning about how a draw was made once readings have told what it took,
// or the preparation was cancelled: nothing is left to be done about it.
func (b *bench) isPast(f dispensing.Finding) bool {
	return (f.Code == dispensing.DrawSettled || f.Code == dispensing.DrawUnread) && (b.Out.Dispensed != nil || b.Prep.Cancelled != "")
}

// pending is the weight of what a step still asks for: a warning once it is due.
func (b *bench) pending(key procedure.Key) string {
	if b.Prep.Step(key).State == procedure.Later {
		return "note"
	}
	return "warn"
}

// otherwise are findings that no correction of their entry puts right: what was
// entered is true, and what is to be done is something else, on the page of the link
// where there is one.
var otherwise = map[dispensing.Code]view.Link{
	dispensing.VialInsufficient: {Text: "Receive another vial", Href: "/day/enter/receive"}, dispensing.VialExpired: {}, dispensing.BasisMismatch: {}, dispensing.WindowClosed: {}, dispensing.DeliveredOutside: {},
	dispensing.DeliveredReportable: {}, dispensing.ResidualExtreme: {}, dispensing.PartsMissing: {}, dispensing.LimitExceeded: {},
	meterbook.MeterOverdue: {Text: "See what is due", Href: "/instruments"},
}

// mended is a finding with the way to where it is put right.
func (b *bench) mended(f dispensing.Finding) view.Notice {
	n := books.FindingNotice(f)
	if b.isPast(f) {
		n.Kind = past
	}
	link, isTrue := otherwise[f.Code]
	if f.Code != dispensing.VialInsufficient || people.May(b.Q.Who.Person, people.ReceiveVial) == nil {
		n.Mend = link
	}
	for _, h := range b.Prep.Holds {
		if h.Finding == f && !procedure.ByCorrection(h.Code) && people.May(b.Q.Who.Person, h.Act) == nil {
			n.Mend = view.Link{Text: "Override", Href: "#" + forms.OverrideWord + string(h.Code)}
		}
	}
	if f.Entry > 0 && n.Mend.Href == "" && !isTrue {
		if e, ok := b.File.Entry(f.Entry); ok && e.Fact != nil && books.MayCorrect(b.Q, b.State, e.Fact, b.File.Records[e.Place].By, "?") == nil {
			n.Mend = view.Link{Text: "Correct entry " + strconv.Itoa(f.Entry), Href: b.correctHref(f.Entry)}
		}
	}
	return n
}

// correctHref is where an entry is corrected, and from there back to this bench.
func (b *bench) correctHref(entry int) string {
	return "/entry/" + strconv.Itoa(entry) + "/correct?for=" + b.Order.ID
}

// judge puts the verdict on the page: the worst that is to be said, and the rest
// behind it. The same fault is said once. Where nothing is wrong it says how the
// step stands.
func (b *bench) judge(p *Bench, step procedure.Step, says []view.Notice) {
	says = append(says, b.standsAt(p, step)...)
	if b.Out.Withheld != "" && !b.Blind() && !b.readSince() {
		// The figures that disagree are behind the verdict: who reads again reads
		// without them before their eyes.
		when := "before anything else"
		if step.Key == procedure.Readiness && step.State == procedure.Now {
			when = "once everything is ready"
		}
		says = append([]view.Notice{{Kind: "stop", Word: "Stop", Text: "Entries contradict one another. Read " + b.Out.Read + " again " + when + "."}}, says...)
	}
	slices.SortStableFunc(says, func(x, y view.Notice) int { return weight[x.Kind] - weight[y.Kind] })
	var once []view.Notice
	for _, n := range says {
		if n.Kind == past {
			n.Kind = "note"
		}
		n.Text = words.TimesOnTheWall(words.Sentence(n.Text), b.Q.Now)
		same := func(o view.Notice) bool { return tells(o.Text, n.Text) || tells(n.Text, o.Text) }
		if i := slices.IndexFunc(once, same); i < 0 {
			once = append(once, n)
		} else if once[i].Hint == "" {
			once[i].Hint = n.Hint // what to do is kept of a fault that is said once
		}
	}
	p.Verdict = Verdict{Worst: once[0], More: once[1:]}
	if b.Out.Withheld != "" && !b.Blind() && b.readSince() && strings.HasPrefix(once[0].Mend.Href, "/") && b.Q.R.Method == http.MethodGet {
		p.Form = nil // one more reading ends nothing, and stays below the button
	}
	idle := len(p.Main) == 0 && (p.Form == nil || len(p.Done) > 0 && !p.Form.Open())
	// What stops the work is corrected by the one button; an override stands behind the
	// verdict, and so does the correction of what is odd and may be true.
	if mend := once[0].Mend; idle && p.Form == nil && once[0].Kind == "stop" && strings.HasPrefix(mend.Href, "/") {
		mend.Main = true
		p.Main, idle = []view.Link{mend}, false
	}
	if due, ok := b.Prep.Current(); idle && ok && due.Key != step.Key && b.Prep.Cancelled == "" {
		p.Main = []view.Link{{Text: "Go to: " + words.Inside(due.Title), Href: b.Href(), Main: true}}
	}
}

// readSince tells that what was to be read again was: what contradicts the rest is now
// told from its correction. An entry that is no reading is contradicted by the first
// reading after it, and only the second reads again.
func (b *bench) readSince() bool {
	return slices.ContainsFunc(b.Result.Findings, func(f dispensing.Finding) bool {
		since, asked := 0, 2
		for _, x := range b.Case.Readings {
			switch {
			case x.Entry == f.Entry:
				asked = 1
			case x.Of == b.Out.Read && x.Entry > f.Entry:
				since++
			}
		}
		return f.Entry > 0 && f.Severity == dispensing.Stop && (f.Code == b.Out.Withheld || f.Code == dispensing.ReadingEmpty) && b.Result.Concerns(f, b.Order.ID) && since >= asked
	})
}

// tells is whether a sentence says another one.
func tells(all, part string) bool {
	return strings.Contains(strings.ToLower(all), strings.ToLower(strings.TrimSuffix(part, ".")))
}

// standsAt says how a step stands where nothing is wrong with it.
func (b *bench) standsAt(p *Bench, step procedure.Step) []view.Notice {
	blind := b.Blind()
	switch {
	case b.Prep.Cancelled != "":
		out := []view.Notice{{Kind: "note", Word: "Cancelled", Text: "The reason: " + b.Prep.Cancelled + "."}}
		if in := b.Prep.StillIn; in != "" {
			left := view.Notice{Kind: "warn", Word: "Dose left", Text: "The dose is still in " + in + ".", Hint: "Add it to waste, or give it to another order."}
			if people.May(b.Q.Who.Person, people.Discard) == nil {
				left.Mend = view.Link{Text: "Add to waste", Href: "/day/enter/discard?place=" + in}
			}
			out = append(out, p.turnTo(left))
		}
		return out
	case step.Key == "" && b.owed(): // what, the rule profile says
		return nil
	case step.Key == "":
		return []view.Notice{{Kind: "done", Word: "Closed", Text: "The record of this order is complete."}}
	case step.State == procedure.Done:
		return []view.Notice{{Kind: "done", Word: "Recorded", Text: "By " + step.By + ", " + b.OnDay(step.At) + "."}}
	case blind:
		return []view.Notice{{Kind: "note", Word: "Due", Text: step.Due}}
	case step.State == procedure.Blocked && b.Prep.Signature.Why() == "":
		return []view.Notice{{Kind: "stop", Word: "Stop", Text: step.Why}}
	case step.State == procedure.Skipped:
		return []view.Notice{{Kind: "note", Word: "Not needed", Text: cmp.Or(step.Why, "this step is not needed")}}
	}
	out := []view.Notice{b.expects(step)}
	if step.Why != "" && !(step.Key == procedure.Readiness && b.unchecked()) {
		out = append(out, view.Notice{Kind: "note", Word: "Due", Text: step.Why})
	}
	return out
}

// owed tells that something is still asked for of an order whose record is closed: a
// clock of the rule profile runs, or it cannot be decided whether one does.
func (b *bench) owed() bool { return !b.Blind() && b.Unfinished() }

// expects is what is expected of a step that is to be done: of a draw what it
// will give, of a dose whether it conforms, else that it is due.
func (b *bench) expects(step procedure.Step) view.Notice {
	due := view.Notice{Kind: "note", Word: "Due", Text: step.Due}
	if step.Why != "" && !(step.Key == procedure.Readiness && b.unchecked()) {
		due.Text = words.Sentence(step.Why) + "."
	}
	if b.Out.Withheld != "" || b.Out.HiddenBy != "" {
		return due
	}
	plan, d := b.Out.Plan, b.Out.Dispensed
	switch {
	case step.Key == procedure.Draw && plan != nil && b.Out.Next == dispensing.DrawDose:
		kind := "done"
		if plan.Conformance < float64(b.Case.RulesOf(b.Order).Confidence) {
			kind = "note"
		}
		return view.Notice{Kind: kind, Word: dispensing.Chance(plan.Conformance), Text: "Probability within tolerance. Expected at infusion: " + quantity.Both(plan.Expect, plan.ExpectU) + "."}
	case b.Out.Delivered != nil:
		x := b.Out.Delivered
		return view.Notice{Kind: "note", Word: "Delivered", Text: strings.TrimPrefix(x.OfPrescribed()+", known by "+x.KnownBy(), ", ")}
	case d != nil && !b.Prep.Given && step.Key != procedure.Remainder && step.Key != procedure.Adjust && step.Why == "":
		kind := "done"
		if d.Conformance < float64(b.Case.RulesOf(b.Order).Confidence) {
			kind = "note"
		}
		return view.Notice{Kind: kind, Word: words.Sentence(d.Verdict), Text: "The probability of being within tolerance at the planned infusion is " + d.Chance() + "."}
	}
	return due
}

// sentence is the sentence that says what to do now.
func (b *bench) sentence(key procedure.Key) string {
	step, blind := b.Prep.Step(key), b.Blind()
	switch {
	case b.Prep.Cancelled != "":
		return "Cancelled"
	case key == "" && b.owed():
		return "The record is closed, and more is to be done"
	case key == "" && !blind && slices.ContainsFunc(b.cautions(), func(n view.Notice) bool { return n.Kind == "stop" }):
		return "The record is closed"
	case key == "":
		return "Everything is done"
	case step.State != procedure.Now:
		return step.Title
	case key == procedure.SecondCheck && !blind && people.MayCheck(b.Q.Who.Person, b.Prep.Deeds) != nil:
		return "Another person checks this dose"
	}
	vial, dose := "the vial", cmp.Or(b.Prep.Container, "the dose")
	if v := b.Clock().Vial(); v != nil && !blind {
		vial = v.Vial.ID
	}
	return step.Sentence(vial, dose)
}
