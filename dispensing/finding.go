package dispensing

import "sort"

// Severity says what a finding asks for: Stop forbids going on, Warn asks
// for a look, Note tells.
type Severity string

// The severities.
const (
	Stop Severity = "stop"
	Warn Severity = "warn"
	Note Severity = "note"
)

func (s Severity) rank() int {
	switch s {
	case Stop:
		return 0
	case Warn:
		return 1
	default:
		return 2
	}
}

// Code names a finding for ever; texts may change, codes do not.
type Code string

// The findings.
const (
	// Before the draw.
	SmallPrescription   Code = "small-prescription"
	ImplausibleActivity Code = "implausible-activity"
	ResidualNotStated   Code = "residual-not-stated"
	ResidualLearned     Code = "residual-learned"
	VialNotAssayed      Code = "vial-not-assayed"
	LabelMismatch       Code = "label-mismatch"
	VialExpired         Code = "vial-expired"
	VialInsufficient    Code = "vial-insufficient"
	DrawTooLarge        Code = "draw-too-large"
	DrawLate            Code = "draw-late"
	ReadingsCannotReach Code = "readings-cannot-reach"
	PlanMisses          Code = "plan-misses"
	ResidualLarge       Code = "residual-large"

	// The draw and what was achieved.
	DrawNotAssayed      Code = "draw-not-assayed"
	DrawYieldUnusual    Code = "draw-yield-unusual"
	OutsideTolerance    Code = "outside-tolerance"
	BeyondLimit         Code = "beyond-limit"
	ConfidenceLow       Code = "confidence-low"
	MakeupVolume        Code = "makeup-volume"
	DiluentRefused      Code = "diluent-refused"
	DiluentUnknown      Code = "diluent-unknown"
	DeliveredOutside    Code = "delivered-outside"
	DeliveredReportable Code = "delivered-reportable"
	HeldUp              Code = "held-up"
	WindowClosed        Code = "window-closed"
	BaselineMissing     Code = "baseline-missing"
	ResidualTimes       Code = "residual-times"
	DirectionsDiffer    Code = "directions-differ"

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
	Text     string
}

// sortFindings puts stops first, then warnings, then notes, each in the order
// of the entries.
func sortFindings(f []Finding) {
	sort.SliceStable(f, func(i, j int) bool {
		if a, b := f[i].Severity.rank(), f[j].Severity.rank(); a != b {
			return a < b
		}
		return f[i].Entry < f[j].Entry
	})
}
