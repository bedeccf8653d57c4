package rules

import (
	"strconv"
	"strings"

	"vialwright/quantity"
)

// Key names what a value decides.
type Key string

// The keys that something is decided by; those that are shown alone stand in [Keys].
const (
	DispenseLimit       Key = "dispense-limit"
	EventUnder          Key = "event-under"
	EventOver           Key = "event-over"
	EventOutsideRange   Key = "event-outside-range"
	EventWrongPatient   Key = "event-wrong-patient"
	EventWrongRoute     Key = "event-wrong-route"
	EventWrongSite      Key = "event-wrong-site"
	EventOrganFloor     Key = "event-organ-floor"
	PatientIntervention Key = "except-patient-intervention"
	ExceptStasis        Key = "except-stasis"
	ExceptEmergent      Key = "except-emergent"
	ReviseWithin        Key = "revise-within"
	CompleteInRecovery  Key = "complete-in-recovery"
	CompleteWithin      Key = "complete-within"
	NotifyAuthority     Key = "notify-authority"
	TellPatient         Key = "tell-patient"
	WrittenReport       Key = "written-report"
	ReleaseLimit        Key = "release-limit"
	ReleaseInstructions Key = "release-instructions"
	WasteHalfLife       Key = "waste-half-life"
	WasteHalfLives      Key = "waste-half-lives"
	WasteLevel          Key = "waste-level"
	EffectiveLimit      Key = "effective-limit"
	SkinLimit           Key = "skin-limit"
	ReceiptSurvey       Key = "receipt-survey"
	PackageWipe         Key = "package-wipe"
	MicrosphereRule     Key = "microsphere-rule"
	ConstancyTolerance  Key = "meter-constancy-tolerance"
	LinearityTolerance  Key = "meter-linearity-tolerance"
	LinearityEvery      Key = "meter-linearity-every"
	AccuracyTolerance   Key = "meter-accuracy-tolerance"
	AccuracyEvery       Key = "meter-accuracy-every"
	SurveyTolerance     Key = "survey-meter-tolerance"
	SurveyEvery         Key = "survey-meter-every"
	MeterOverdue        Key = "meter-overdue"
	PackageSurface      Key = "package-surface"
	PackageMetre        Key = "package-metre"
	SkinArea            Key = "skin-area"
	LensLimit           Key = "lens-limit"
	FetusLimit          Key = "fetus-limit"
	ClearanceY90        Key = "clearance-y-90"
)

// ClearanceOf is the key of the concentration at which a nuclide may leave.
func ClearanceOf(nuclide string) Key { return Key("clearance-" + strings.ToLower(nuclide)) }

// shape is what the figure of a key is.
type shape struct {
	want string
	read func(text string) (float64, bool)
}

func amount[Q quantity.Kind](want string) shape {
	return shape{want, func(text string) (float64, bool) {
		q, err := quantity.Parse[Q](text)
		return float64(q.Value), err == nil
	}}
}

func word(words ...string) shape {
	return shape{"one of its words", func(text string) (float64, bool) {
		for i, w := range words {
			if text == w {
				return float64(i), true
			}
		}
		return 0, false
	}}
}

var (
	share    = amount[quantity.Fraction]("a percentage such as 20 %")
	span     = amount[quantity.Span]("a length of time such as 24 h")
	sieverts = amount[quantity.DoseEquivalent]("a dose such as 5 mSv")
	yesNo    = word("no", "yes")
	count    = shape{"a number such as 10 half-lives", func(text string) (float64, bool) {
		digits, ok := strings.CutSuffix(text, " half-lives")
		n, err := strconv.ParseUint(digits, 10, 16)
		return float64(n), ok && err == nil
	}}
	perGram = shape{"a concentration such as 1000 Bq/g", func(text string) (float64, bool) {
		one, ok := strings.CutSuffix(text, "/g")
		q, err := quantity.Parse[quantity.Activity](one)
		return float64(q.Value), ok && err == nil
	}}
	rate = amount[quantity.DoseRate]("a dose rate such as 2 mSv/h")
	free = shape{"a text", func(text string) (float64, bool) { return 0, text != "" }}
)

// Entry declares a key.
type Entry struct {
	Key Key
	// Says is what the value decides, in words.
	Says string
	// Compared tells that something is held against it, by > or >=.
	Compared bool
	shape    shape
}

// Keys are all of them, in the order in which they are shown.
var Keys = []Entry{
	{DispenseLimit, "A dose further than this from what is prescribed is not used", true, share},
	{EventUnder, "Delivered below what is prescribed, by this share of it: an event", true, share},
	{EventOver, "Delivered above what is prescribed, by this share of it: an event", true, share},
	{EventOutsideRange, "Delivered outside a prescribed range: an event", false, yesNo},
	{EventWrongPatient, "Given to another patient: an event", false, yesNo},
	{EventWrongRoute, "Given by another route: an event", false, yesNo},
	{EventWrongSite, "Given to another site than the order says: an event", false, yesNo},
	{EventOrganFloor, "The departure counts from this dose to an organ", true, sieverts},
	{PatientIntervention, "What the patient did is set apart from events", false, yesNo},
	{ExceptStasis, "Stasis is no event where the order says \"or at stasis\"", false, yesNo},
	{ExceptEmergent, "An emergent condition is no event where the order is revised in time", false, yesNo},
	{ReviseWithin, "The order is revised within this time of the end of the procedure", false, span},
	{CompleteInRecovery, "The order is completed before the patient leaves recovery", false, yesNo},
	{CompleteWithin, "Or else the order is completed within this time of the end of the procedure", false, span},
	{NotifyAuthority, "The authority is told by the end of this calendar day after discovery", false, span},
	{TellPatient, "Referring physician and patient are told within this time of discovery", false, span},
	{WrittenReport, "The written report is sent by the end of this calendar day after discovery", false, span},
	{"oral-order", "An oral order is written within this time", false, span},
	{ReleaseLimit, "A patient is not released where another person may get more", true, sieverts},
	{ReleaseInstructions, "Written instructions are given where another person may get more", true, sieverts},
	{WasteHalfLife, "Waste is not held for decay where the half-life is longer", true, span},
	{WasteHalfLives, "Waste is held for this many half-lives", false, count},
	{WasteLevel, "Waste is held until it has decayed to this activity, bin by bin", false, amount[quantity.Activity]("an activity such as 0.37 MBq")},
	{"waste-survey", "What the survey at the end of decay has to show", false, free},
	{"keep-directive", "The order is kept", false, span},
	{"keep-dosage-record", "The record of a dose is kept", false, span},
	{"keep-waste-record", "The record of waste that left is kept", false, span},
	{EffectiveLimit, "Staff, effective dose of a year", true, sieverts},
	{SkinLimit, "Staff, skin and extremities of a year", true, sieverts},
	{"public-limit", "Public, effective dose of a year", true, sieverts},
	{ReceiptSurvey, "A package is surveyed within this working time", false, span},
	{PackageWipe, "Removable contamination of a package", true, amount[quantity.Contamination]("a contamination such as 4 Bq/cm2")},
	{PackageSurface, "Dose rate at the surface of a package", true, rate},
	{PackageMetre, "Dose rate at 1 m from a package", true, rate},
	{SkinArea, "The dose of the skin is averaged over this area", false, amount[quantity.Area]("an area such as 10 cm2")},
	{LensLimit, "Staff, lens of the eye of a year", true, sieverts},
	{FetusLimit, "Unborn child, from the declaration of a pregnancy to its end", true, sieverts},
	{ClearanceY90, "Y-90 may leave at this concentration, or with others at a sum of fractions of 1", false, perGram},
	{"clearance-y-91", "Y-91 likewise", false, perGram},
	{"clearance-sr-90", "Sr-90 likewise", false, perGram},
	{"clearance-co-57", "Co-57 likewise", false, perGram},
	{"clearance-eu-152", "Eu-152 likewise", false, perGram},
	{"clearance-eu-154", "Eu-154 likewise", false, perGram},
	{MicrosphereRule, "A rule for microspheres that is being made", false, free},
	{ConstancyTolerance, "Activity meter: constancy departs by no more than this", false, share},
	{LinearityTolerance, "Activity meter: linearity departs by no more than this", false, share},
	{LinearityEvery, "Activity meter: linearity is tested this often", false, span},
	{AccuracyTolerance, "Activity meter: accuracy departs by no more than this", false, share},
	{AccuracyEvery, "Activity meter: accuracy is tested this often", false, span},
	{SurveyTolerance, "Survey meter: it is not used where it departs by more than this", false, share},
	{SurveyEvery, "Survey meter: it is calibrated this often", false, span},
	{MeterOverdue, "What an overdue test of a meter does", false, word("warns", "blocks")},
}

func entry(k Key) (Entry, bool) {
	for _, e := range Keys {
		if e.Key == k {
			return e, true
		}
	}
	return Entry{}, false
}
