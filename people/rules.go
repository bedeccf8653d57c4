package people

import (
	"slices"
	"strings"
)

// work are the acts a second check speaks of: whatever makes a dose what it
// is, or says what it is.
var work = []Act{ReadMeter, Assay, Draw, Return, MakeUp, Transfer, Reassign, Correct}

// IsWork tells of a deed that a second check speaks of it.
func IsWork(d Deed) bool { return slices.Contains(work, d.Act) }

func worked(id string, deeds []Deed) bool {
	return slices.ContainsFunc(deeds, func(d Deed) bool { return IsWork(d) && d.By == id })
}

// looked tells whether the person chose to see the figures, having made no
// check of their own until then. After an own check they are no secret; a
// further check by the same person is one of that person's own figure.
func looked(id string, deeds []Deed) bool {
	for _, d := range deeds {
		switch {
		case d.By != id:
		case d.Act == SecondCheck:
			return false
		case d.Act == SeeFigures:
			return true
		}
	}
	return false
}

// lastOf gives the index of the last deed that is one, -1 for none.
func lastOf(deeds []Deed, is func(Deed) bool) int {
	for i := len(deeds) - 1; i >= 0; i-- {
		if is(deeds[i]) {
			return i
		}
	}
	return -1
}

// MayCheck says whether a person may do the second check of a dose, whose
// deeds stand in the order in which they were recorded. It refuses, in this
// order:
//
//	what [May] refuses of second-check
//	[CodeNothingDone]  no work was done on the dose
//	[CodeOwnWork]      the person did some of the work
//	[CodeFiguresSeen]  the person chose to see the figures, and did not check
//	                   the dose before that
func MayCheck(by Person, deeds []Deed) error {
	if err := May(by, SecondCheck); err != nil {
		return err
	}
	switch {
	case lastOf(deeds, IsWork) < 0:
		return refuse(CodeNothingDone, "there is nothing to check yet", "read or draw first")
	case worked(by.ID, deeds):
		return refuse(CodeOwnWork, by.Name+" would check their own work", "someone who neither read nor drew for this dose checks it")
	case looked(by.ID, deeds):
		return refuse(CodeFiguresSeen, by.Name+" chose to see the figures of this dose", "a person who has not seen them checks it")
	}
	return nil
}

// MayStrikeCheck says whether a person may strike the second check of another
// out: only who answers for the release, and did not prepare what the check
// speaks of. It refuses, in this order:
//
//	what [May] refuses of correct
//	what [May] refuses of release
//	[CodeOwnWork]   the person did some of the work
//	[CodeNoReason]  no reason was written
func MayStrikeCheck(by Person, reason string, deeds []Deed) error {
	for _, a := range []Act{Correct, Release} {
		if err := May(by, a); err != nil {
			return err
		}
	}
	if worked(by.ID, deeds) {
		return refuse(CodeOwnWork, by.Name+" would strike out the check of their own work", "the person who made the check corrects it; or someone who may release the dose and did not prepare it decides")
	}
	return reasoned(reason)
}

// MayRelease says whether a person may release a dose, whose deeds stand in
// the order in which they were recorded. Who releases may have done the work
// or the check; the two are different people in any case. It refuses, in this
// order:
//
//	what [May] refuses of release
//	[CodeNothingDone]     no work was done on the dose
//	[CodeNoCheck]         it was not checked
//	[CodeCheckStale]      work was recorded after the last check
//	[CodeNotIndependent]  the checks since are by people who did some of the work,
//	                      or who chose to see the figures before
func MayRelease(by Person, deeds []Deed) error {
	if err := May(by, Release); err != nil {
		return err
	}
	isCheck := func(d Deed) bool { return d.Act == SecondCheck }
	last, check := lastOf(deeds, IsWork), lastOf(deeds, isCheck)
	switch {
	case last < 0:
		return refuse(CodeNothingDone, "there is nothing to release yet", "read and draw first")
	case check < 0:
		return refuse(CodeNoCheck, "nobody has checked this dose", "someone who neither read nor drew for it does the second check")
	case check < last:
		return refuse(CodeCheckStale, "something was recorded after the second check", "have it checked again, as it is now")
	}
	independent := func(d Deed) bool { return isCheck(d) && !worked(d.By, deeds) && !looked(d.By, deeds) }
	if !slices.ContainsFunc(deeds[last+1:], independent) {
		return refuse(CodeNotIndependent, "the second check was made by someone who did some of the work", "someone who neither read nor drew for this dose does the second check")
	}
	return nil
}

// MayOverride says whether a person may go on in spite of a finding, with the
// act that fits it: override-warning, override-stop, or override-limit. It
// refuses, in this order:
//
//	[CodeNotOverride]  the act is none of the three
//	what [May] refuses of the act
//	[CodeNoReason]     no reason was written
//	[CodeOwnWork]      a stop or a limit, and the person did some of the work
func MayOverride(by Person, a Act, reason string, deeds []Deed) error {
	if a != OverrideWarning && a != OverrideStop && a != OverrideLimit {
		return refuse(CodeNotOverride, "that act overrides nothing", "")
	}
	if err := May(by, a); err != nil {
		return err
	}
	switch {
	case strings.TrimSpace(reason) == "":
		return refuse(CodeNoReason, "a reason is needed", "write why it is right to go on; it stays in the record")
	case a != OverrideWarning && worked(by.ID, deeds):
		return refuse(CodeOwnWork, by.Name+" would override a stop on their own work", "someone who neither read nor drew for this dose decides")
	}
	return nil
}

func isCustody(d Deed) bool { return d.Act == HandOver || d.Act == TakeOver }

// MayHandOver says whether a person may give a dose out of their hands, whose
// deeds stand in the order in which they were recorded. It refuses, in this
// order:
//
//	what [May] refuses of hand-over
//	[CodeHandedOver]  it was handed over already, and not yet taken over
//	[CodeNotHolder]   another person took it over last
func MayHandOver(by Person, deeds []Deed) error {
	if err := May(by, HandOver); err != nil {
		return err
	}
	i := lastOf(deeds, isCustody)
	switch {
	case i < 0:
	case deeds[i].Act == HandOver:
		return refuse(CodeHandedOver, "it was handed over already, by "+deeds[i].By, "the person who took it records that first")
	case deeds[i].By != by.ID:
		return refuse(CodeNotHolder, deeds[i].By+" took it over, and holds it", "only the person who holds a dose hands it over")
	}
	return nil
}

// MayTakeOver says whether a person may take a dose over, whose deeds stand in
// the order in which they were recorded. It refuses, in this order:
//
//	what [May] refuses of take-over
//	[CodeNotHandedOver]  nobody has handed it over since it was taken over last
//	[CodeOwnHandOver]    the person handed it over
func MayTakeOver(by Person, deeds []Deed) error {
	if err := May(by, TakeOver); err != nil {
		return err
	}
	i := lastOf(deeds, isCustody)
	switch {
	case i < 0 || deeds[i].Act != HandOver:
		return refuse(CodeNotHandedOver, "nobody has handed it over", "the person who holds it hands it over first")
	case deeds[i].By == by.ID:
		return refuse(CodeOwnHandOver, by.Name+" handed it over and cannot take it over too", "the next person takes it over; a dose that you keep is not handed over")
	}
	return nil
}

// MayTimeOut says whether the people present may hold a time-out. A person
// who is named twice counts once. It refuses, in this order:
//
//	what [May] refuses of time-out, of each in turn
//	[CodeAlone]        fewer than two people are present
//	[CodeNoPhysician]  none of them is an authorised physician
func MayTimeOut(present []Person) error {
	ids := map[string]bool{}
	for _, p := range present {
		if err := May(p, TimeOut); err != nil {
			return err
		}
		ids[p.ID] = true
	}
	switch {
	case len(ids) < 2:
		return refuse(CodeAlone, "a time-out takes two people at least", "read it out to the team, and let another confirm")
	case !slices.ContainsFunc(present, func(p Person) bool { return p.Has(Physician) }):
		return refuse(CodeNoPhysician, "no authorised physician takes part", "the physician who gives the dose confirms too")
	}
	return nil
}

// MayCorrect says whether a person may correct an entry that was made by the
// act was: only what the person may do anyway. It refuses, in this order:
//
//	what [May] refuses of correct
//	what [May] refuses of was
//	[CodeNoReason]  no reason was written
func MayCorrect(by Person, was Act, reason string) error {
	for _, a := range []Act{Correct, was} {
		if err := May(by, a); err != nil {
			return err
		}
	}
	return reasoned(reason)
}

func reasoned(reason string) error {
	if strings.TrimSpace(reason) == "" {
		return refuse(CodeNoReason, "a reason is needed", "write what was wrong; it stays in the record beside the old entry")
	}
	return nil
}

// Deed is an act that was done: which, and by the person of which id.
type Deed struct {
	Act Act
	By  string
}
