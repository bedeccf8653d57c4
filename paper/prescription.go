package paper

import "vialwright/dose"

// yesNo is an answer in a word.
var yesNo = map[bool]string{true: "yes", false: "no"}

func lines(all []dose.Line) (rows []Row) {
	for _, l := range all {
		rows = append(rows, Words(l.Name, l.Value))
	}
	return rows
}

// clauses are what an order says beside its amount, where it says it.
func (w writer) clauses() (rows []Row) {
	o := w.o.Order
	if o.OrStasis != nil {
		rows = append(rows, Words(`The order says "or at stasis"`, yesNo[*o.OrStasis]))
	}
	if !o.NotBefore.IsZero() {
		rows = append(rows, Instant("Infusion not before", o.NotBefore, w.zone))
	}
	if !o.NotAfter.IsZero() {
		rows = append(rows, Instant("Infusion not after", o.NotAfter, w.zone))
	}
	return rows
}

// prescription is the check of what was prescribed; nothing where the order does not
// say what it rests on.
func (w writer) prescription() []Row {
	d := w.o.Dose
	if d == nil {
		return nil
	}
	return append([]Row{Words("Check of the prescription", "never a plan; the physician decides")}, lines(d.Lines())...)
}

// residual is what stayed behind and what was delivered, with the doses of that.
func (w writer) residual() Section {
	s := w.residuals()
	if d := w.o.Dose; d != nil && len(d.After) > 0 {
		s.Rows = append(s.Rows, lines(d.AfterLines())...)
		s.Rows = append(s.Rows, Words("Dose constant", d.Order.Constant.String()))
	}
	return s
}
