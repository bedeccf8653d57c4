package dispensing

import (
	"cmp"
	"fmt"
	"slices"
)

// Severity says what a finding asks for: Stop forbids going on, Warn asks
// for a look, Note tells.
type Severity string

// The severities.
const (
	Stop Severity = "stop"
	Warn Severity = "warn"
	Note Severity = "note"
)

// Rank is 0 for a stop, and more for what asks for less.
func (s Severity) Rank() int { return slices.Index([]Severity{Stop, Warn, Note}, s) }

// Code names a finding for ever; texts may change, codes do not.
type Code string

// The findings.
const (
	// Before the draw.
	SmallPrescription   Code = "small-prescription"
	ImplausibleActivity Code = "implausible-activity"
	ResidualNotStated   Code = "residual-not-stated"
	ResidualExperience  Code = "residual-experience"
	VialNotAssayed      Code = "vial-not-assayed"
	LabelMismatch       Code = "label-mismatch"
	VialExpired         Code = "vial-expired"
	VialInsufficient    Code = "vial-insufficient"
	DrawTooLarge        Code = "draw-too-large"
	DrawLate            Code = "draw-late"
	ReadingsCannotReach Code = "readings-cannot-reach"
	PlanMisses          Code = "plan-misses"
	ResidualLarge       Code = "residual-large"
	OrderWindow         Code = "order-window"
	OneIdentifier       Code = "one-identifier"

	// The draw and what was achieved.
	DrawNotAssayed      Code = "draw-not-assayed"
	DrawUnread          Code = "draw-unread-vial"
	DrawElsewhere       Code = "draw-other-vial"
	DrawSettled         Code = "draw-settled"
	DrawYieldUnusual    Code = "draw-yield-unusual"
	OutsideTolerance    Code = "outside-tolerance"
	BeyondLimit         Code = "beyond-limit"
	ConfidenceLow       Code = "confidence-low"
	MarginSmall         Code = "margin-small"
	MakeUpVolume        Code = "make-up-volume"
	DiluentRefused      Code = "diluent-refused"
	DiluentUnknown      Code = "diluent-unknown"
	DeliveredOutside    Code = "delivered-outside"
	TreatedElsewhere    Code = "treated-elsewhere"
	DeliveredReportable Code = "delivered-reportable"
	PartsMissing        Code = "residual-parts-missing"
	ResidualExtreme     Code = "residual-extreme"
	HeldUp              Code = "held-up"
	TransferUnconfirmed Code = "transfer-unconfirmed"
	WindowClosed        Code = "window-closed"
	LabelDrift          Code = "label-drift"
	BaselineMissing     Code = "baseline-missing"
	JarDisagrees        Code = "jar-disagrees"
	ResidualTimes       Code = "residual-times"
	DirectionsDiffer    Code = "directions-differ"
	PartOutsideSet      Code = "part-outside-set"
	SetLot              Code = "set-lot"

	// The record.
	ReadingDisagrees  Code = "reading-disagrees"
	ReadingsDisagree  Code = "readings-disagree"
	BasisSetAside     Code = "basis-set-aside"
	BasisMismatch     Code = "basis-mismatch"
	NotReconciled     Code = "not-reconciled"
	TimeBackwards     Code = "time-backwards"
	BackgroundHigh    Code = "background-high"
	ReadingEmpty      Code = "reading-empty"
	OffsetUnusual     Code = "offset-unusual"
	LimitExceeded     Code = "limit-exceeded"
	LimitNotSet       Code = "limit-not-set"
	SettingAssumed    Code = "setting-assumed"
	BasisStated       Code = "basis"
	ResidualUncertain Code = "residual-uncertain"
)

// Finding is something a person should know. Entry is the number of the
// entry it speaks of, from 1; 0 is the case as a whole.
type Finding struct {
	Code     Code
	Severity Severity
	Entry    int
	// Order is the order it speaks of; empty where it speaks of the whole case,
	// or of a shipping vial, which is Vial then. [Result.Concerns] tells which
	// orders it bears on.
	Order, Vial string
	Text        string
}

// find adds a finding about an entry. What the entry names says whom it
// concerns: an order before a container, whose order it is, before a vial.
func (r *reckoner) find(code Code, s Severity, entry int, format string, args ...any) {
	f := Finding{Code: code, Severity: s, Entry: entry, Text: fmt.Sprintf(capital(format), args...)}
	for _, id := range r.Names[entry] {
		if slices.ContainsFunc(r.Orders, func(o Order) bool { return o.ID == id }) {
			f.Order = id
			break
		}
		if of := r.Serves[id]; of != "" && f.Order == "" {
			f.Order = of
		}
		if slices.ContainsFunc(r.Vials, func(v Vial) bool { return v.ID == id }) {
			f.Vial = id
		}
	}
	if f.Order != "" {
		f.Vial = ""
	}
	r.out.Findings = append(r.out.Findings, f)
}

// capital begins a text with a capital. One that begins with an id or a figure
// stays as it is.
func capital(text string) string {
	if text != "" && text[0] >= 'a' && text[0] <= 'z' {
		return string(text[0]-'a'+'A') + text[1:]
	}
	return text
}

// Concerns tells whether a finding bears on an order. One of a vial bears on
// the orders that were drawn from it and, before a draw, on those planned from
// it; without a plan any vial may be the one. That vials hold too little for
// several orders bears on those still to be drawn.
func (r Result) Concerns(f Finding, order string) bool {
	if f.Order != "" || f.Vial == "" {
		return f.Order == "" || f.Order == order
	}
	i := slices.IndexFunc(r.Orders, func(o OrderResult) bool { return o.Order.ID == order })
	if i < 0 {
		return true
	}
	switch o := r.Orders[i]; {
	case len(o.Sources) > 0:
		return f.Code != VialInsufficient && slices.Contains(o.Sources, f.Vial)
	case o.Plan != nil:
		return o.Plan.From == f.Vial
	case o.Order.Cancelled:
		return false
	}
	return true
}

// ofTheRecord are findings of how something was written down, or of the rooms:
// no figure of a dose rests on them.
var ofTheRecord = []Code{TimeBackwards, OffsetUnusual, LimitExceeded, LimitNotSet}

// Add adds findings that others have, in their places.
func (r *Result) Add(more ...Finding) {
	r.Findings = append(slices.Clone(r.Findings), more...)
	sortFindings(r.Findings)
}

// sortFindings puts stops first, then warnings, then notes; of each those of the
// doses before those of the record, in the order of the entries.
func sortFindings(f []Finding) {
	aside := func(x Finding) int {
		if slices.Contains(ofTheRecord, x.Code) {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(f, func(a, b Finding) int {
		return cmp.Or(a.Severity.Rank()-b.Severity.Rank(), aside(a)-aside(b), a.Entry-b.Entry)
	})
}
