package people

import "slices"

// grant is a group of acts that the same roles may do, for the same reason.
type grant struct {
	roles []Role
	why   string
	acts  []entry
}

// entry is one act: what follows "may", and what a signature says.
type entry struct {
	act           Act
	text, meaning string
}

// The sets of roles that come more than once. Each is in the order of titles.
var (
	everyone = []Role{Administrator, Radiopharmacist, Technologist, Physicist, Physician, Nurse, Observer}
	team     = []Role{Radiopharmacist, Technologist, Physicist, Physician, Nurse}
	lab      = []Role{Radiopharmacist, Technologist, Physicist}
	bench    = []Role{Radiopharmacist, Technologist}
)

// grants is the table. An act stands in it once; a role that is not named may
// not.
var grants = []grant{
	{everyone, "everyone with an account may look and verify: looking changes nothing, no patient's name is kept, and a record that anyone can verify is worth more", []entry{
		{SignIn, "sign in", ""},
		{ChangeSecret, "change their own password and PIN", ""},
		{SeeBoard, "see the board", ""},
		{SeeHistory, "see the history", ""},
		{Verify, "verify the record", ""},
	}},
	{[]Role{Administrator, Radiopharmacist, Technologist, Physicist}, "a clock that drifts, a silent meter or a full disk is put right by those who work in the hot lab or look after the machine", []entry{
		{SeeHealth, "see the system status", ""},
	}},
	{[]Role{Administrator}, "one office gives rights, and prepares nothing itself; where many give rights, nobody answers for them", []entry{
		{AddPerson, "add a person", "I have verified who this person is"},
		{ChangePerson, "change what a person may do", "I answer for this change of rights"},
		{ResetSecret, "give a person a first password for one sign-in", "I have verified who this person is"},
	}},
	{[]Role{Administrator, Radiopharmacist, Physicist, Physician}, "a person who gives rights and works on doses could act as both people where two are needed; another person must agree to that (common practice, no source)", []entry{
		{AgreeRights, "agree that one person keeps accounts and works on doses", "I agree that this person both gives rights and works on doses"},
	}},
	{[]Role{Administrator}, "a backup holds everything; the office that looks after the machine keeps it", []entry{
		{Backup, "make a backup", ""},
	}},
	{[]Role{Administrator, Radiopharmacist, Physicist}, "somebody answers for what leaves the program: a person who is responsible for the data, the preparations or the measurements", []entry{
		{Export, "export records", ""},
	}},
	{[]Role{Radiopharmacist, Physicist}, "tolerances, wanted confidence and limits are judged by those who answer for preparation and measurement; an administrator cannot judge them", []entry{
		{SetPolicy, "change the site settings", "I answer for this setting from its date on"},
	}},
	{[]Role{Physicist}, "a calibration factor changes the activity of every patient by as much; the person who calibrates sets it", []entry{
		{SetMeter, "set a meter and its factors", "I answer for this setting from its date on"},
	}},
	{[]Role{Radiopharmacist, Technologist, Physicist, Physician}, "anyone of the team may type an order in: it is worth nothing until the authorised physician has signed it", []entry{
		{EnterOrder, "enter an order", ""},
	}},
	{[]Role{Physician}, "the written directive is dated and signed by the authorised user, before and again after (10 CFR 35.40(a), (b)(6))", []entry{
		{SignOrder, "sign an order", "I prescribe this"},
		{CompleteOrder, "sign what was given", "This is what was given, and why it ended"},
	}},
	{[]Role{Physicist, Physician}, "a patient who was given an activity goes home on the word of the authorised user, or of the person who measures and estimates the dose to others (10 CFR 35.75, from memory)", []entry{
		{ReleasePatient, "release a patient", "This patient may go home, on this basis and with these instructions"},
	}},
	{lab, "measuring and radiation protection are done by those trained to handle unsealed sources and to read the meters; any one of the three can check another", []entry{
		{ReceiveVial, "receive a vial", ""},
		{CheckReadiness, "do the checks of the day", ""},
		{ReadMeter, "enter a reading", ""},
		{Assay, "accept readings as an assay", ""},
		{Residual, "enter the residual readings", ""},
		{Survey, "enter a survey", ""},
		{StaffDose, "enter a staff dose", ""},
		{Discard, "add to waste", ""},
		{ReleaseWaste, "release waste held for decay", "I have measured this, and it is at background"},
		{SecondCheck, "do the second check", "I have checked this on my own, with my own values"},
		{SeeFigures, "see the figures of a dose that they could still check", ""},
	}},
	{[]Role{Administrator, Physicist}, "a declared pregnancy is known to the person, and else to those who have to act on it: who answers for radiation protection, and who keeps the accounts (common practice, no source)", []entry{
		{SeePrivate, "see what is private to a person", ""},
	}},
	{bench, "the suspension is handled, and its first label put on, by those trained in its aseptic and shielded handling", []entry{
		{Draw, "draw", ""},
		{Return, "return suspension to a vial", ""},
		{MakeUp, "make up a volume", ""},
		{Transfer, "transfer into an administration vial", ""},
		{PrintLabel, "print a label", ""},
	}},
	{bench, "doses get swapped where one vial has two labels; the person who holds the vial may print again, and signs for the old label", []entry{
		{ReprintLabel, "print a label again", "I have destroyed the label that this one replaces"},
	}},
	{[]Role{Radiopharmacist, Technologist, Physicist, Physician}, "people would work around a warning that only others can override; anyone who meets one may go on, with a reason that stays in the record", []entry{
		{OverrideWarning, "go on after a warning", "I have seen this warning and go on, for the reason given"},
	}},
	{[]Role{Radiopharmacist, Physicist, Physician}, "a stop is overridden by a person who answers for the preparation, the measurement or the patient, not by the person it holds up", []entry{
		{OverrideStop, "override a stop", "I override this stop, for the reason given"},
	}},
	{[]Role{Physician}, "a dose outside the limit is not used unless the authorised user directs it (10 CFR 35.63(d))", []entry{
		{OverrideLimit, "direct a dose outside the limit", "I direct that this be given, for the reason given"},
	}},
	{[]Role{Radiopharmacist, Physician}, "a preparation is released by the radiopharmacist or, where a site has none, by the authorised physician who supervises it (common practice, no source)", []entry{
		{Release, "release a dose", "I release this dose for this patient"},
		{Reassign, "give a dose to another order", "This dose is now for the other order; its old labels are destroyed"},
	}},
	{team, "custody goes from hand to hand, to the suite and back; in the suite the physician's hands are sterile, so the person with a free hand records, and the physician signs what was given", []entry{
		{HandOver, "hand a dose over", "I have given this out of my hands"},
		{TakeOver, "take a dose over", "I have taken this, and its label is the one expected"},
		{TimeOut, "take part in a time-out", "Patient, territory and activity were read out, and I agree"},
		{Infuse, "record an infusion", ""},
		{PrintSheet, "print a sheet", ""},
	}},
	{[]Role{Radiopharmacist, Physicist, Physician}, "a person whose training has lapsed works under one who answers for the preparation, the measurement or the patient (10 CFR 35.27 for the pharmacist and the authorised user, from memory; the physicist by common practice, no source)", []entry{
		{Supervise, "supervise a person whose training has lapsed", "I stood by and supervised this"},
	}},
	{team, "everyone who works on a dose may write a note, correct their own entries and report what went wrong; where few may report, little is reported", []entry{
		{Note, "write a note", ""},
		{Correct, "correct an entry", "This correction is mine, for the reason given"},
		{Deviate, "report a deviation", "This is what I saw"},
	}},
	{[]Role{Radiopharmacist, Technologist, Physicist, Physician}, "a record that was closed is changed by two: who may close it, and another of the team who has seen the old and the new figures (common practice, no source)", []entry{
		{AgreeCorrection, "sign a correction in a closed record with another person", "I have seen the old and the new figures, and agree to this correction"},
	}},
	{[]Role{Radiopharmacist, Physicist}, "closing says that the record is complete; a person who answers for preparation or measurement judges that nothing is missing and no deviation was overlooked", []entry{
		{Close, "close a record", "I have reviewed this preparation, and its record is complete"},
	}},
}

// find gives the group and the entry of an act; both are zero for what is no
// act.
func find(a Act) (grant, entry) {
	for _, g := range grants {
		for _, e := range g.acts {
			if e.act == a {
				return g, e
			}
		}
	}
	return grant{}, entry{}
}

// Allowed tells whether the table grants the act to the role. What is no role
// or no act is not granted.
func Allowed(r Role, a Act) bool {
	g, _ := find(a)
	return slices.Contains(g.roles, r)
}
