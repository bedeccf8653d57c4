package fact

import (
	"iter"
	"slices"
	"time"

	"vialwright/people"
)

// Fact is one thing that was decided, seen or done. It is always a pointer to
// one of the kinds of this package; the set is closed.
type Fact interface {
	// is gives the word of its kind, and the time it speaks of: see [Word] and [At].
	is() (kind string, at time.Time)
}

// Class is what an entry is to those who record beside one another.
type Class int

// The classes.
const (
	// Consent rests on the figures that were shown: on an old page it is refused.
	Consent Class = iota
	// Act happened, whatever was shown: on an old page it is shown what moved, and
	// goes in at a second press.
	Act
	// Observation was seen, and is never refused because something moved.
	Observation
)

// Mend is how an entry that was wrong is put right.
type Mend int

// The ways.
const (
	// Replace: a correction puts another in its place, or strikes it out.
	Replace Mend = iota
	// StrikeOut: it is a decision, or holds together only as a whole. It is struck out,
	// and made again by the step that makes it, with all its rules.
	StrikeOut
	// Signed: as StrikeOut, and it is a signature under the act of its kind.
	Signed
	// Never: what it says cannot be undone, or is put right in its own way.
	Never
)

// Trait is something that is true of all facts of a kind.
type Trait int

// The traits.
const (
	// Setting says what holds, and not what was done.
	Setting Trait = 1 << iota
	// Practice is of a practice laboratory itself, and Account of the accounts of a
	// site; both are of no order or vial, so that no case file holds them.
	Practice
	Account
	// MovesActivity from one container to another, or says whose it is: figures of others that were drawn from
	// the same vial rest on it.
	MovesActivity
	// Kept is what is looked for in all years, or names what is.
	Kept
	// SiteBook is of the parcels, instruments, waste bins, places and persons of the site: no figure of
	// an order or a vial rests on it, and no file of one holds it.
	SiteBook
	// Told is a remark about the work: nothing is reckoned from it.
	Told
)

// Kind is all that is said of a kind of fact as a whole. What is said of its
// fields is said by the fact itself.
type Kind struct {
	make func() Fact
	// Act is the act by which it is recorded, and corrected.
	Act    people.Act
	Class  Class
	Mend   Mend
	Traits Trait
	// Sheet is the step under which a printed sheet lists it; empty for what stands in
	// tables of its own, or in the record alone.
	Sheet string
	// Past is what a history calls it, About what the description of the format
	// says of it.
	Past, About string
	// Old is another spelling of the word, which case files may have; a record has
	// none.
	Old string
}

// Word is the word it is entered under.
func (k Kind) Word() string { return Word(k.make()) }

// Kinds are all kinds of fact, in the order they are described in. Those up to
// and with "meter" stand at the top of a case file; the others are its entries.
func Kinds() []Kind { return kinds }

var kinds = []Kind{
	{blank[Site], people.SetPolicy, Consent, Never, Setting, "", "journal opened", "the site's zone, its half-life if it sets one, and the use of the journal", ""},
	{blank[Policy], people.SetPolicy, Consent, Never, Setting, "", "site settings", "the settings of the site; each one left out is assumed and reported", ""},
	{blank[Meter], people.SetMeter, Consent, Never, Setting, "", "meter set", "an activity meter with its common factors (in a case file: the list meters)", ""},
	{blank[Order], people.EnterOrder, Consent, Replace, MovesActivity, "", "order entered", "a physician's prescription for one territory", ""},
	{blank[Receive], people.ReceiveVial, Act, Replace, 0, "", "vial received", "a shipping vial comes in", ""},
	{blank[Read], people.ReadMeter, Observation, Replace, MovesActivity, "", "meter reading", "a meter reading of a container", ""},
	{blank[Draw], people.Draw, Act, Replace, MovesActivity, "", "drawn", "suspension goes into a syringe for an order", ""},
	{blank[Return], people.Return, Act, Replace, MovesActivity, "Draw", "returned", "suspension goes back into a container", ""},
	{blank[MakeUp], people.MakeUp, Act, Replace, MovesActivity, "", "made up", "diluent goes into a container", "makeup"},
	{blank[Transfer], people.Transfer, Act, Replace, MovesActivity, "Transfer", "transferred", "a dose goes into an administration vial", ""},
	{blank[Discard], people.Discard, Act, Replace, MovesActivity, "Waste", "added to waste", "something goes into a waste item", ""},
	{blank[Infuse], people.Infuse, Act, Replace, MovesActivity, "", "infused", "a dose is given", ""},
	{blank[Residual], people.Residual, Observation, Replace, 0, "", "dose rates", "dose rates of a dose before and after it was given", ""},
	{blank[Note], people.Note, Observation, Replace, Told, "", "note", "a remark", ""},
	{blank[Check], people.CheckReadiness, Observation, Replace, 0, "Readiness", "readiness check", "a check of readiness", ""},
	{blank[Survey], people.Survey, Observation, Replace, 0, "Surveys and contamination", "survey", "a survey of a place", ""},
	{blank[Agitate], people.ReadMeter, Observation, Replace, 0, "Draw", "resuspended", "a container is resuspended", ""},
	{blank[SecondCheck], people.SecondCheck, Consent, Signed, 0, "Independent check, labels, release", "second check", "the second check of a dose", "verify"},
	{blank[Label], people.PrintLabel, Consent, StrikeOut, 0, "Independent check, labels, release", "label printed", "a label is printed", ""},
	{blank[Override], people.OverrideStop, Consent, StrikeOut, 0, "Independent check, labels, release", "override", "a finding is overridden", ""},
	{blank[Release], people.Release, Consent, Signed, 0, "Independent check, labels, release", "released", "a dose is released", ""},
	{blank[HandOver], people.HandOver, Consent, Signed, 0, "Independent check, labels, release", "handed over", "a dose is handed to another person", "handover"},
	{blank[TimeOut], people.TimeOut, Consent, Signed, 0, "Time-out and infusion", "time-out", "the time-out before a dose is given", "timeout"},
	{blank[SeeFigures], people.SeeFigures, Observation, Never, 0, "Independent check, labels, release", "chose to see the figures", "a person chose to see the figures of a dose, and does not check it", ""},
	{blank[SignOrder], people.SignOrder, Consent, Signed, MovesActivity, "Order", "order signed", "the authorised physician signs an order", "order-sign"},
	{blank[TakeOver], people.TakeOver, Consent, Signed, 0, "Time-out and infusion", "taken over", "a dose that was handed over is taken over", "takeover"},
	{blank[Exposure], people.StaffDose, Observation, Replace, Kept, "Surveys and contamination", "staff dose", "the readings of a person's dosimeters", ""},
	{blank[Paper], people.Note, Observation, Replace, Kept, "", "late entry", "entries were made from a sheet of paper", ""},
	{blank[Supervised], people.Supervise, Observation, Never, Kept, "", "supervised", "entries of a person whose training had lapsed were made beside another person", ""},
	{blank[Reassign], people.Reassign, Consent, Signed, MovesActivity, "Independent check, labels, release", "given to another order", "a drawn dose is given to another order", ""},
	{blank[Cancel], people.Draw, Consent, StrikeOut, MovesActivity, "", "cancelled", "a preparation is cancelled", "abandon"},
	{blank[Deviation], people.Deviate, Observation, Replace, Told, "", "deviation", "something did not go as it should", ""},
	{blank[NearMiss], people.Deviate, Observation, StrikeOut, Told, "", "near miss", "something was refused before it could do harm, such as a wrong scan", ""},
	{blank[Close], people.Close, Consent, Signed, 0, "", "closed", "the record of an order is complete", ""},
	{blank[Experience], people.SetPolicy, Consent, StrikeOut, 0, "", "site experience", "what the site's finished preparations have shown", "learned"},
	{blank[Milestone], people.Infuse, Observation, Replace, 0, "Residual and delivered activity", "end of the procedure or of recovery", "when the procedure ended, or the patient left recovery", ""},
	{blank[CompleteOrder], people.CompleteOrder, Consent, Signed, 0, "Residual and delivered activity", "order completed", "the authorised physician signs what was delivered", ""},
	{blank[EventReport], people.Deviate, Observation, Replace, 0, "Residual and delivered activity", "event reported", "somebody was told of an event, or it was judged to be none", ""},
	{blank[ReleasePatient], people.ReleasePatient, Observation, Signed, 0, "Residual and delivered activity", "patient released", "a patient may go home, on a basis and with instructions", ""},
	{blank[Imaging], people.Note, Observation, Replace, 0, "Residual and delivered activity", "imaging", "what imaging after an infusion showed", ""},
	{blank[SettlingTest], people.ReadMeter, Observation, StrikeOut, Kept, "Assay of the vial", "settling test", "readings of one vial while it settled", "reading-curve"},
	{blank[LicenceLine], people.SetPolicy, Consent, Replace, Kept | SiteBook, "", "licence line", "a line of the licence: a nuclide in a form, and how much of it may be held", ""},
	{blank[WorkingTime], people.SetPolicy, Consent, Replace, Kept | SiteBook, "", "working time", "when somebody is there to receive parcels", ""},
	{blank[Holiday], people.SetPolicy, Consent, Replace, Kept | SiteBook, "", "holiday", "a day on which nobody works", ""},
	{blank[Offer], people.ReceiveVial, Act, Replace, Kept | SiteBook, "", "offer", "a delivery that can be ordered", ""},
	{blank[ExpectParcel], people.ReceiveVial, Act, Replace, Kept | SiteBook, "", "parcel ordered", "a delivery that was ordered", ""},
	{blank[Parcel], people.ReceiveVial, Act, Replace, Kept | SiteBook, "", "parcel arrived", "a delivery that arrived, as it is printed on it", ""},
	{blank[ParcelSurvey], people.Survey, Observation, Replace, Kept | SiteBook, "", "parcel surveyed", "what was measured of a parcel before it was opened", ""},
	{blank[OpenParcel], people.ReceiveVial, Act, Replace, Kept | SiteBook, "", "parcel opened", "the opening of a parcel", ""},
	{blank[DaySetup], people.SetPolicy, Consent, Replace, Kept | SiteBook, "", "day set-up", "what a day plan is made with beside orders and vials", ""},
	{blank[RePlan], people.Draw, Consent, Never, Kept | SiteBook, "", "plan taken", "a plan of the day that was taken, in place of the one before it", ""},
	{blank[CloseBin], people.Discard, Act, Replace, Kept | SiteBook, "", "bin closed", "nothing more goes into a waste bin, and its decay begins", ""},
	{blank[BinReading], people.Survey, Observation, Replace, Kept | SiteBook, "", "bin read", "a dose rate at the surface of a waste bin while it decays", ""},
	{blank[Impurity], people.Survey, Observation, Replace, Kept | SiteBook, "", "impurity found", "a long-lived nuclide in a waste bin", ""},
	{blank[ReleaseBin], people.ReleaseWaste, Consent, Signed, Kept | SiteBook, "", "bin released", "the survey of a waste bin at the end of its decay, and its leaving", ""},
	{blank[LeftSite], people.Discard, Act, Replace, Kept, "", "left the site", "a container that left the site other than in a bin", ""},
	{blank[KeepStock], people.Discard, Act, Replace, Kept, "", "kept in stock", "a container with something in it stays after its orders are closed", ""},
	{blank[Room], people.Survey, Consent, Replace, Kept | SiteBook, "", "room set", "a room that is surveyed, with its sketch", ""},
	{blank[SurveyPoint], people.Survey, Consent, Replace, Kept | SiteBook, "", "survey point set", "a point of a room that is measured at each survey, with its action levels", ""},
	{blank[PointReading], people.Survey, Observation, Replace, Kept | SiteBook, "", "point read", "what was measured at a point of a room", ""},
	{blank[ReleaseRoom], people.Survey, Consent, Replace, Kept | SiteBook, "", "room released", "a room is given back to common use", ""},
	{blank[Spill], people.Survey, Observation, Replace, Kept | SiteBook, "", "spill", "something was spilt", ""},
	{blank[SpillPlan], people.SetPolicy, Consent, Replace, Kept | SiteBook, "", "spill plan", "the site's five lines of what to do at a spill", ""},
	{blank[Contact], people.SetPolicy, Consent, Replace, Kept | SiteBook, "", "contact", "somebody whom the site telephones when something happens", ""},
	{blank[Contaminated], people.Survey, Observation, Replace, Kept | SiteBook, "", "skin contamination", "a reading of the skin of a person", ""},
	{blank[DoseReport], people.StaffDose, Observation, Replace, Kept | SiteBook, "", "dose reported", "a line of the report of a dosimetry service", ""},
	{blank[Wears], people.StaffDose, Consent, Replace, Kept | SiteBook, "", "dosemeter given out", "which dosemeter a person wears", ""},
	{blank[FingerRatio], people.StaffDose, Consent, Replace, Kept | SiteBook, "", "fingertip ratio", "how much more the fingertip of a person gets than the ring shows", ""},
	{blank[Pregnancy], people.StaffDose, Observation, Replace, Kept | SiteBook, "", "pregnancy declared", "a pregnancy that a person declared", ""},
	{blank[InvestigationLevel], people.SetPolicy, Consent, Replace, Kept | SiteBook, "", "investigation level", "a staff dose above which the site looks into it", ""},
	{blank[Training], people.StaffDose, Observation, Replace, Kept | SiteBook, "", "trained", "what a person was trained in, and until when that holds", ""},
	{blank[Instrument], people.SetMeter, Observation, Replace, Kept | SiteBook, "", "instrument", "an instrument of the site, from a time on", ""},
	{blank[CheckSource], people.SetMeter, Observation, Replace, Kept | SiteBook, "", "check source", "a source that instruments are tested with, from a time on", ""},
	{blank[MeterTest], people.CheckReadiness, Observation, Replace, Kept | SiteBook, "Readiness", "instrument tested", "the readings of one test of an instrument", ""},
	{blank[Calibration], people.SetMeter, Observation, Replace, Kept | SiteBook, "", "calibration", "a factor of an instrument for a kind of container, as it was determined", ""},
	{blank[Clock], people.Note, Observation, Never, Practice, "", "practice clock put forward", "the clock of a practice laboratory is put forward", ""},
	{blank[Drill], people.Note, Observation, Never, Practice, "", "drill begun", "a drill begins in a practice laboratory", ""},
	{blank[DrillAnswer], people.Note, Observation, Never, Practice, "", "drill answered", "what a person said in a drill: which entry is wrong, and why", ""},
	{blank[Person], people.ChangePerson, Consent, Never, Account, "", "account set", "a person's account as it is from then on: name, roles, and whether it is used", ""},
	{blank[FirstPassword], people.ResetSecret, Consent, Never, Account, "", "first password given", "a person was given a password for one sign-in; the password is not in the entry", ""},
	{blank[Correct], people.Correct, Consent, Never, Kept, "", "correction", "replaces an entry, or strikes it out", ""},
}

// blank makes an empty fact.
func blank[T any, P interface {
	*T
	Fact
}]() Fact {
	return P(new(T))
}

// Blank makes an empty fact of a kind; nil where there is none of that word.
func Blank(word string) Fact {
	k, known := byWord[word]
	if !known {
		return nil
	}
	return k.make()
}

// byWord finds a kind by its word.
var byWord = func() map[string]*Kind {
	m := make(map[string]*Kind, len(kinds))
	for i := range kinds {
		m[kinds[i].Word()] = &kinds[i]
	}
	return m
}()

// Respelled is the word of the kind that has word as its other spelling, and else
// word itself.
func Respelled(word string) string {
	i := slices.IndexFunc(kinds, func(k Kind) bool { return k.Old == word && word != "" })
	if i < 0 {
		return word
	}
	return kinds[i].Word()
}

// Word is the word that a fact is entered under, such as "draw".
func Word(f Fact) string {
	kind, _ := f.is()
	return kind
}

// KindOf is the kind of a fact; one whose content was destroyed has its word
// alone, as Past.
func KindOf(f Fact) Kind { return KindNamed(Word(f)) }

// ClassOf is the class of a fact.
func ClassOf(f Fact) Class { return KindOf(f).Class }

// KindNamed is the kind of a word; for what is none it says the word as Past,
// and nobody puts it right.
func KindNamed(word string) Kind {
	if k, known := byWord[word]; known {
		return *k
	}
	return Kind{Mend: Never, Past: word}
}

// IsHeader tells whether f stands at the top of a case file: the case itself,
// and what the site had decided before its entries. A setting that holds from a
// time on is an entry.
func IsHeader(f Fact) bool {
	switch x := f.(type) {
	case *Site:
		return true
	case *Policy:
		return x.From.IsZero()
	case *Meter:
		return x.From.IsZero()
	}
	return false
}

// Is tells whether a fact has a trait.
func Is(f Fact, t Trait) bool { return KindOf(f).Traits&t != 0 }

// IsSetting tells whether f says what holds, and not what was done.
func IsSetting(f Fact) bool { return Is(f, Setting) }

// Beside tells of a remark that names no order and no container: it is of the day of
// a site, and stands beside the work, so that no figure, no finding and no step of
// a preparation rests on it.
func Beside(f Fact) bool { return Is(f, Told) && len(Names(f)) == 0 }

// EntryKinds are the words of the kinds that are entries.
func EntryKinds() []string {
	var out []string
	for _, k := range Kinds() {
		if k.Traits&Setting == 0 {
			out = append(out, k.Word())
		}
	}
	return out
}

// At is the time that a fact speaks of, zero for one that has none. An order
// has none, since its time is a plan, and a correction has none of its own. An
// infusion has that of its start, a residual that of its last reading, and a
// settling test that of its last reading, when it can first be written down.
func At(f Fact) time.Time {
	_, at := f.is()
	return at
}

// Of are those of some facts that are of one kind, with their places.
func Of[F Fact](facts []Fact) iter.Seq2[int, F] {
	return func(yield func(int, F) bool) {
		for i, f := range facts {
			if x, ok := f.(F); ok && !yield(i, x) {
				return
			}
		}
	}
}
