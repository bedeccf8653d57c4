package hotlab

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"vialwright/dispensing"
)

// Page is where a finding is shown.
type Page string

// The pages.
const (
	Parcels   Page = "parcels"
	Surveys   Page = "surveys"
	Persons   Page = "persons"
	Waste     Page = "waste"
	Inventory Page = "inventory"
)

// Code names a kind of finding for ever.
type Code string

// What can be found.
const (
	ParcelOverdue      Code = "parcel-overdue"
	ParcelTwice        Code = "parcel-twice"
	ParcelUnknown      Code = "parcel-unknown"
	ParcelContents     Code = "parcel-contents"
	ParcelNotSurveyed  Code = "parcel-not-surveyed"
	ParcelSurveyedLate Code = "parcel-surveyed-late"
	ParcelOpenedEarly  Code = "parcel-opened-early"
	ParcelDiffers      Code = "parcel-differs"
	ParcelMislabelled  Code = "parcel-mislabelled"
	ParcelAboveLimit   Code = "parcel-above-limit"
	ParcelWipeBlind    Code = "parcel-wipe-blind"
	ParcelNotWiped     Code = "parcel-not-wiped"
	ParcelPapers       Code = "parcel-papers"
	ParcelDamaged      Code = "parcel-damaged"
	ParcelZone         Code = "parcel-zone"
	MeterOverdue       Code = "meter-overdue"
	MeterUnknown       Code = "meter-unknown"
	MeterWithdrawn     Code = "meter-withdrawn"
	PointAction        Code = "point-action"
	PointBlind         Code = "point-blind"
	PointUnknown       Code = "point-unknown"
	RoomWithoutPoints  Code = "room-without-points"
	RoomReleasedEarly  Code = "room-released-early"
	DayNotSurveyed     Code = "day-not-surveyed"
	SpillOpen          Code = "spill-open"
	SkinOpen           Code = "skin-contamination-open"
	SkinDoseHigh       Code = "skin-dose-high"
	DoseOverLimit      Code = "dose-over-limit"
	DoseInvestigate    Code = "dose-investigate"
	DoseOfNobody       Code = "dose-of-nobody"
	DosemeterMissing   Code = "dosemeter-missing"
	FingerRatioMissing Code = "finger-ratio-missing"
	FetusDose          Code = "fetus-dose"
	TrainingLapsed     Code = "training-lapsed"
	ContainerNowhere   Code = "container-nowhere"
	StockOverdue       Code = "stock-overdue"
	BinReleasedEarly   Code = "bin-released-early"
	BinAboveBackground Code = "bin-above-background"
	BinSurveyedPoorly  Code = "bin-surveyed-poorly"
	BinNotClosed       Code = "bin-not-closed"
	BinAddedAfter      Code = "bin-added-after"
	BinSlow            Code = "bin-slow"
	BinImpurity        Code = "bin-impurity"
	BinUnknown         Code = "bin-unknown"
	EmptyPackage       Code = "empty-package"
	LineExceeded       Code = "line-exceeded"
	LineMissing        Code = "line-missing"
	ActivityLost       Code = "activity-lost"
	RuleMissing        Code = "rule-missing"
)

// Finding is something that is wrong, or that somebody should look at. The tags are the
// keys of the command that prints them.
type Finding struct {
	Code     Code                `json:"code"`
	Severity dispensing.Severity `json:"severity"`
	Page     Page                `json:"page"`
	// About is what it speaks of, such as a parcel or a person.
	About string `json:"about"`
	// Entry is the number of the entry it rests on, 0 for none.
	Entry int `json:"entry,omitempty"`
	// Private: shown to the person it is about, and to those who have to act on it.
	Private bool `json:"-"`
	// Text is one sentence, Do what to do.
	Text string `json:"text"`
	Do   string `json:"do"`
}

// find adds a finding. An error at its end brings its own full stop.
func (r *reader) find(f Finding, format string, args ...any) {
	f.Text = strings.TrimSuffix(fmt.Sprintf(format, args...), ".") + "."
	r.out.Findings = append(r.out.Findings, f)
}

// sortFindings puts the heaviest first, and keeps the order of the entries.
func sortFindings(all []Finding) {
	slices.SortStableFunc(all, func(a, b Finding) int {
		return cmp.Or(a.Severity.Rank()-b.Severity.Rank(), cmp.Compare(a.Page, b.Page), a.Entry-b.Entry)
	})
}

// On are the findings of one page.
func (b Book) On(page Page) []Finding {
	return slices.DeleteFunc(slices.Clone(b.Findings), func(f Finding) bool { return f.Page != page })
}
