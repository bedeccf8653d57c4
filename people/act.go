package people

// Act is something that can be done with the program. The word is the one
// kept in records. What each is, who may, and why, stands in the table in
// grants.go.
type Act string

// The acts, in the order of the table.
const (
	SignIn       Act = "sign-in"
	ChangeSecret Act = "change-secret"
	SeeBoard     Act = "see-board"
	SeeHistory   Act = "see-history"
	Verify       Act = "verify"

	SeeHealth Act = "see-health"

	AddPerson    Act = "add-person"
	ChangePerson Act = "change-person"
	ResetSecret  Act = "reset-secret"
	// AgreeRights is the second signature under an account that gives rights and
	// works on doses too.
	AgreeRights Act = "agree-rights"

	Backup Act = "backup"
	Export Act = "export"

	SetPolicy Act = "set-policy"
	SetMeter  Act = "set-meter"

	EnterOrder    Act = "enter-order"
	SignOrder     Act = "sign-order"
	CompleteOrder Act = "complete-order"

	ReleasePatient Act = "release-patient"

	ReceiveVial    Act = "receive-vial"
	CheckReadiness Act = "readiness-check"
	ReadMeter      Act = "read-meter"
	Assay          Act = "assay"
	Residual       Act = "residual"
	Survey         Act = "survey"
	StaffDose      Act = "staff-dose"
	SeePrivate     Act = "see-private"
	Discard        Act = "discard"
	ReleaseWaste   Act = "release-waste"
	SecondCheck    Act = "second-check"
	SeeFigures     Act = "see-figures"

	Draw       Act = "draw"
	Return     Act = "return"
	MakeUp     Act = "make-up"
	Transfer   Act = "transfer"
	PrintLabel Act = "print-label"

	ReprintLabel Act = "reprint-label"

	OverrideWarning Act = "override-warning"
	OverrideStop    Act = "override-stop"
	OverrideLimit   Act = "override-limit"

	Release  Act = "release"
	Reassign Act = "reassign"

	HandOver   Act = "hand-over"
	TakeOver   Act = "take-over"
	TimeOut    Act = "time-out"
	Infuse     Act = "infuse"
	PrintSheet Act = "print-sheet"

	Supervise Act = "supervise"

	Note    Act = "note"
	Correct Act = "correct"
	// AgreeCorrection is the second signature under a correction in a
	// record that was closed.
	AgreeCorrection Act = "agree-correction"
	Deviate         Act = "deviate"

	Close Act = "close"
)

// Text says what is done, as what follows "may": "release a dose". For what
// is no act it is empty.
func (a Act) Text() string { _, e := find(a); return e.text }

// Meaning is what a signature under the act says, in the words of the person
// who signs. It is empty where the act is not signed, and for what is no act.
func (a Act) Meaning() string { _, e := find(a); return e.meaning }

// Why is the reason for which the act is granted to those it is granted to.
// For what is no act it is empty.
func (a Act) Why() string { g, _ := find(a); return g.why }

// Roles gives the roles that may, in the order of [Roles]; none for what is no
// act.
func (a Act) Roles() []Role { g, _ := find(a); return append([]Role(nil), g.roles...) }
