package main

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"vialwright/dispensing"
	"vialwright/ledger"
	"vialwright/paper"
	"vialwright/quantity"
)

// pageWidth fits a terminal beside the bench and A4 in a readable size.
const pageWidth = 78

// page writes a result for a person: what to do now first, then what stops or
// warns, then the figures of each order as its sheet has them.
type page struct {
	w    *bufio.Writer
	r    dispensing.Result
	zone *time.Location
	// decide says what a rule profile says of an infusion; nil without a profile.
	decide decider
}

// answer prints what a command has found, as JSON or as a page that text writes with the
// times of a zone, and gives its exit status.
func (e *edge) answer(asJSON bool, found any, zone *time.Location, text func(*page), stopped bool) error {
	if asJSON {
		return stoppedIf(stopped, indented(e.out, found))
	}
	return stoppedIf(stopped, written(e.out, zone, text))
}

// written writes a page.
func written(w io.Writer, zone *time.Location, text func(*page)) error {
	p := &page{w: bufio.NewWriter(w), zone: zone}
	text(p)
	return p.w.Flush()
}

// reckoned is the page of a case, with how each figure was worked out where that is asked.
func (p *page) reckoned(name string, c dispensing.Case, r dispensing.Result, decide decider, working bool) {
	p.r, p.decide = r, decide
	if r.At.IsZero() {
		p.line("CASE %s: no entry has a time, so nothing is reckoned", name)
	} else {
		p.line("CASE %s, reckoned for %s", name, p.time(r.At))
	}
	p.findings(dispensing.Stop, "STOP")
	for _, o := range r.Orders {
		p.now(o)
	}
	p.findings(dispensing.Warn, "WARNING")
	for _, o := range r.Orders {
		p.section(strings.TrimSuffix("ORDER "+o.Order.ID+", "+o.Order.Territory, ", "))
		p.figures(paper.FromResult(c, r, o.Order.ID, paper.Record{}), working)
		p.decided(o)
	}
	if c, r := ofNoOrder(c, r); len(r.Vials) > 0 {
		p.section("VIALS OF NO ORDER")
		p.figures(paper.FromResult(c, r, "", paper.Record{}), working)
	}
	if len(r.Containers) > 0 {
		p.containers()
		p.consistency()
	}
	p.findings(dispensing.Note, "NOTE")
	p.settings()
	p.cautions()
}

// ofNoOrder are the vials that stand in the figures of no order.
func ofNoOrder(c dispensing.Case, r dispensing.Result) (dispensing.Case, dispensing.Result) {
	var taken []string
	for _, o := range r.Orders {
		taken = append(taken, paper.Vials(c, o)...)
	}
	c.Vials = slices.DeleteFunc(slices.Clone(c.Vials), func(v dispensing.Vial) bool { return slices.Contains(taken, v.ID) })
	r.Vials = slices.DeleteFunc(slices.Clone(r.Vials), func(v dispensing.VialResult) bool { return slices.Contains(taken, v.Vial.ID) })
	return c, r
}

func (p *page) line(format string, args ...any) { fmt.Fprintf(p.w, format+"\n", args...) }

// row writes a label and a value; a long value goes on beneath itself.
func (p *page) row(label, format string, args ...any) {
	for i, s := range wrap(fmt.Sprintf(format, args...), pageWidth-20) {
		if i > 0 {
			label = ""
		}
		p.line("  %-17s %s", label, s)
	}
}

func (p *page) section(title string) {
	p.line("")
	p.line("%s", title)
}

// now is the framed block with the one number needed now.
func (p *page) now(o dispensing.OrderResult) {
	do, number, more := headline(o, p)
	title := []string{"ORDER " + o.Order.ID + "   " + do}
	if p.r.Stopped() && !slices.Contains([]dispensing.Act{dispensing.Complete, dispensing.ReadResidual, dispensing.AssayResidual, dispensing.Cancelled}, o.Next) {
		title = append(title, "Do not go on before the STOP above is settled.")
	}
	p.line("")
	p.framed(number, more, title...)
}

// framed is a block between two bars: the lines of a title and the one number needed now,
// where there are such, and the rest.
func (p *page) framed(number, rest string, title ...string) {
	bar := strings.Repeat("=", pageWidth)
	p.line("%s", bar)
	for _, t := range title {
		p.line("  %s", t)
	}
	if number != "" {
		p.line("\n      >>>   %s\n", number)
	}
	for _, s := range wrap(rest, pageWidth-4) {
		p.line("  %s", s)
	}
	p.line("%s", bar)
}

// headline says what the order asks for: the act, the number, and the rest.
func headline(o dispensing.OrderResult, p *page) (do, number, more string) {
	if o.Withheld != "" {
		return "READ AGAIN", o.Read, "Entries contradict one another, so no figure is shown. Read it without looking at the first figure; then correct the entry that slipped, with a reason."
	}
	if o.HiddenBy != "" && (o.Next == dispensing.MakeUpDose || o.Next == dispensing.AdjustDose) {
		return "CORRECT THE ENTRY", "a volume is in doubt", "What rests on it is withheld. The readings stand. " + held(o)
	}
	if o.Dispensed == nil && slices.Contains([]dispensing.Act{dispensing.ReadResidual, dispensing.AssayResidual, dispensing.Complete}, o.Next) {
		return "NOT KNOWN", "no reading tells the dose", "It was given before a reading had told what was drawn. A reading of " + o.Container + " tells the residual alone."
	}
	switch o.Next {
	case dispensing.Cancelled:
		if o.Container == "" {
			return "CANCELLED", "nothing is drawn for it", "What it would have taken is free for other orders."
		}
		return "CANCELLED", both(o), "still holds what was drawn for it: return or discard that."
	case dispensing.ReceiveVial:
		return "RECEIVE A VIAL", quantity.Both(o.Wanted, 0), "is wanted for it at " + p.time(o.WantedAt)
	case dispensing.AssayVial:
		if o.Plan == nil {
			return "READ A VIAL", "none is known to hold enough", "Nothing is drawn on a label alone."
		}
		more = "Nothing is drawn on a label alone."
		switch {
		case o.Plan.Assayed:
			more = "What has been read of it cannot be used: see above."
		case o.Order.Rules == nil || o.Plan.Basis == o.Order.Rules.Basis:
			more += " If the label is right the draw will be about " + quantity.Show(o.Plan.Draw, 0).String() + "."
		}
		return "RESUSPEND AND READ THE VIAL", o.Plan.From, more
	case dispensing.NotEnough:
		return "NOT ENOUGH", quantity.Show(o.Plan.Exact, 0).String() + " would be needed from " + o.Plan.From, "Another vial is needed for this order."
	case dispensing.ConfirmTime:
		return "ASK FOR A NEW TIME", p.time(o.Order.At) + " has passed", "Nothing is drawn for a time that has passed; enter the order again with its new time."
	case dispensing.AwaitSignature:
		more = "The order changed after it was signed. The authorised physician signs the present version first."
		if o.Dispensed != nil {
			more = held(o) + " " + more
		}
		return "WAIT FOR THE SIGNATURE", "nothing is drawn or returned", more
	case dispensing.DrawDose:
		pl := o.Plan
		return "DRAW NOW", fmt.Sprintf("%s from %s", quantity.Show(pl.Draw, 0), pl.From),
			fmt.Sprintf("at %s: %s there, %s at infusion time. Resuspend first; then read %s again.", p.time(pl.At), quantity.Both(o.Wanted, 0), quantity.Both(pl.Expect, 0), pl.From)
	case dispensing.AssayRemainder:
		return "RESUSPEND AND READ", o.Read, "The draw is not known until that has been read."
	case dispensing.AdjustDose:
		return adjustHeadline(o)
	case dispensing.MakeUpDose:
		return "MAKE UP", fmt.Sprintf("%s holds %s", o.Container, quantity.Show(o.Volume, 0)), "Bring it to the site's volume with water for injection; record the lot. " + held(o)
	case dispensing.TransferDose:
		if syringes, vials := p.divided(o); len(vials) > 0 {
			return "TRANSFER THE REST", "all of " + strings.Join(syringes, " and "), "into " + strings.Join(vials, " and ") + ", which holds the other part. " + p.parts(o) + " " + held(o)
		}
		return "TRANSFER", both(o), "into the administration vial, once. " + held(o)
	case dispensing.Infuse:
		d := o.Dispensed
		return strings.ToUpper(d.Verdict), quantity.Both(d.Activity, 0),
			fmt.Sprintf("in %s at %s. %s", both(o), p.time(d.At), p.window(d))
	case dispensing.ReadResidual:
		return "READ THE RESIDUAL", o.Container, "in the geometry of the reading before, while the patient is still in the room. " + held(o)
	case dispensing.AssayResidual:
		return "READ THE RESIDUAL", o.Container, "in the activity meter: no dose rate before the infusion can be compared with one after it. " + held(o)
	default:
		return "DELIVERED", dispensing.Said(o.Delivered.Activity, o.Delivered.U),
			deliveredMore(o, p)
	}
}

// deliveredMore says when, and what share of the prescription it is.
func deliveredMore(o dispensing.OrderResult, p *page) string {
	of := o.Delivered.OfPrescribed()
	if of == "" {
		return "at " + p.time(o.Delivered.At) + ", of the prescribed " + o.Order.PrescribedText() + "."
	}
	return "at " + p.time(o.Delivered.At) + ": " + of + ", " + o.Order.PrescribedText() + "."
}

func adjustHeadline(o dispensing.OrderResult) (do, number, more string) {
	switch {
	case o.Adjust == nil:
		return "NOT FIT FOR USE", both(o), held(o) + " Neither a top-up nor a return is possible: ask the physicist."
	case o.Adjust.TopUp:
		return "TOP UP", fmt.Sprintf("%s more from %s", quantity.Show(o.Adjust.Volume, 0), o.Plan.From), held(o) + " Resuspend first; read again after."
	default:
		return "GIVE BACK", fmt.Sprintf("%s into %s", quantity.Show(o.Adjust.Volume, 0), o.Plan.From), held(o) + " Read again after."
	}
}

// divided gives the syringes that hold a dose, and the administration vials that hold
// some of it already.
func (p *page) divided(o dispensing.OrderResult) (syringes, vials []string) {
	for _, k := range p.r.Containers {
		switch id := k.Container.ID; {
		case !slices.Contains(o.Containers, id):
		case k.Container.Kind == ledger.Syringe:
			syringes = append(syringes, id)
		default:
			vials = append(vials, id)
		}
	}
	return syringes, vials
}

// parts says what each container of a dose that is in several holds.
func (p *page) parts(o dispensing.OrderResult) string {
	var all []string
	for _, k := range p.r.Containers {
		if slices.Contains(o.Containers, k.Container.ID) {
			all = append(all, fmt.Sprintf("%s of order %s in %s", quantity.Both(k.Activity, k.U), o.Order.ID, k.Container.ID))
		}
	}
	return "At " + p.time(p.r.At) + ": " + strings.Join(all, ", ") + "."
}

// both names every container of a dose.
func both(o dispensing.OrderResult) string { return strings.Join(o.Containers, " and ") }

func held(o dispensing.OrderResult) string {
	d := o.Dispensed
	return fmt.Sprintf("%s: %s, %s from what is wanted: %s.", both(o), quantity.Both(d.Activity, 0), d.FromWanted(), d.Verdict)
}

func (p *page) findings(s dispensing.Severity, word string) {
	for _, f := range p.r.Findings {
		if f.Severity != s {
			continue
		}
		where := ""
		if f.Entry > 0 {
			where = fmt.Sprintf("entry %d: ", f.Entry)
		}
		text := wrap(fmt.Sprintf("%s%s. [%s]", where, f.Text, f.Code), pageWidth-10)
		p.line("")
		for i, t := range text {
			label := word
			if i > 0 {
				label = ""
			}
			p.line("%-9s %s", label, t)
		}
	}
}

// figures are those of the steps of a sheet, each on a line of its own.
func (p *page) figures(s paper.Sheet, working bool) {
	for _, section := range s.Sections {
		if section.Step == "" {
			continue
		}
		for _, r := range section.Rows {
			value := r.Said()
			if r.Also != "" {
				value += " (" + r.Also + ")"
			}
			p.named(r.Label, strings.TrimSpace(value+" "+r.When))
			for how := range strings.SplitSeq(r.How, "\n") {
				if working && how != "" {
					p.named("", how)
				}
			}
		}
	}
}

// named writes a name and its value; a long one goes on below, further in.
func (p *page) named(name, value string) {
	for i, s := range wrap(strings.TrimPrefix(name+": "+value, ": "), pageWidth-6) {
		if i > 0 || name == "" {
			s = "  " + s
		}
		p.line("  %s", s)
	}
}

// inDoubt stands for a volume whose entry has probably slipped.
const inDoubt = "a volume that is in doubt"

// withheld stands for a figure that is not shown.
func withheld(code dispensing.Code) string { return "withheld, see " + string(code) + " above" }

// window says in a sentence when a dose is valid.
func (p *page) window(d *dispensing.Dispensed) string {
	if d.ValidUntil.IsZero() {
		return "Valid at no time."
	}
	return "Valid from " + p.time(d.ValidFrom) + " to " + p.time(d.ValidUntil) + "."
}

func (p *page) containers() {
	p.section("WHERE THE ACTIVITY IS at " + p.time(p.r.At))
	for _, c := range p.r.Containers {
		kind := strings.ReplaceAll(string(c.Container.Kind), "-", " ")
		known := kind + ", known by " + c.KnownBy()
		switch {
		case !c.Here:
			p.row(c.Container.ID, "%s (%s)", c.ToCome(), kind)
		case c.Withheld != "":
			p.row(c.Container.ID, "%s", withheld(c.Withheld))
		case c.Stopped:
			p.row(c.Container.ID, "%s, in a volume that is not known since its infusion was stopped (%s)", dispensing.Said(c.Activity, c.U), known)
		case c.Activity == 0 && c.Volume == 0:
			p.row(c.Container.ID, "empty (%s)", kind)
		case c.VolumeHeld != "":
			p.row(c.Container.ID, "%s in %s (%s)", dispensing.Said(c.Activity, c.U), inDoubt, known)
		case c.Volume == 0:
			p.row(c.Container.ID, "%s (%s)", dispensing.Said(c.Activity, c.U), known)
		default:
			p.row(c.Container.ID, "%s in %s (%s)", dispensing.Said(c.Activity, c.U), quantity.Show(c.Volume, 0), known)
		}
	}
}

func (p *page) consistency() {
	p.section("DO THE READINGS AGREE")
	p.row("", "%s", dispensing.Agreement(p.r.Consistency))
}

func (p *page) settings() {
	p.section("RECKONED WITH")
	half := quantity.FormatDigits(p.r.HalfLife, 6, "h")
	if strings.HasPrefix(p.r.HalfLifeSource, half) {
		p.row("half-life", "%s", p.r.HalfLifeSource)
	} else {
		p.row("half-life", "%s (%s)", half, p.r.HalfLifeSource)
	}
	for _, a := range p.r.Assumed {
		word := "assumed"
		if a.FromExperience {
			word = "experience"
		}
		p.row(word, "%s %s (%s)", cmp.Or(a.Name, a.Setting), a.Value, a.Source)
	}
}

func (p *page) cautions() {
	p.line("")
	p.row("±", "%s", quantity.Meaning)
	p.row("not checked here", "readiness checks, second checks, labels, hand-overs and time-outs: the bench does (vialwright serve)")
	p.closing()
}

// closing is the foot of a page.
func (p *page) closing() {
	p.line("")
	p.line("%s", strings.Repeat("-", pageWidth))
	p.text(cautions)
}

// text writes lines as wide as the page.
func (p *page) text(text string) {
	for _, s := range wrap(text, pageWidth) {
		p.line("%s", s)
	}
}

const cautions = "Not a medical device. Verify every figure independently before acting on it. " +
	"Local codes, the licence, the package insert and licensed practice decide."

// time shows an instant in the site's zone.
func (p *page) time(t time.Time) string { return quantity.ShowTime(t.In(p.zone)) }

// wrap breaks a text into lines of so many characters; an empty one has one.
func wrap(text string, width int) []string {
	lines := quantity.Lines(text, func(line string) bool { return utf8.RuneCountInString(line) <= width })
	if lines == nil {
		return []string{""}
	}
	return lines
}
