package people

// Codes of an [Error]. They are stable: a record or a test may rely on them.
const (
	// Who may do what.
	CodeUnknownAct   = "unknown-act"   // no act of this program
	CodeInactive     = "inactive"      // the account is switched off
	CodeNotPermitted = "not-permitted" // no role of the person is granted the act

	// Two people.
	CodeFiguresSeen    = "figures-seen"          // who would check chose to see the figures
	CodeNothingDone    = "nothing-done"          // there is no work to check or to release
	CodeOwnWork        = "own-work"              // who would check, or lift a stop, did the work
	CodeNoCheck        = "no-second-check"       // there was no second check
	CodeCheckStale     = "check-stale"           // work was recorded after the second check
	CodeNotIndependent = "check-not-independent" // the second check is by someone who did the work
	CodeNotOverride    = "not-an-override"       // the act lifts nothing
	CodeNoReason       = "no-reason"             // no reason was written
	CodeNotHolder      = "not-holder"            // another person holds the dose
	CodeHandedOver     = "handed-over"           // it was handed over and not yet taken over
	CodeNotHandedOver  = "not-handed-over"       // nobody has handed it over
	CodeOwnHandOver    = "own-hand-over"         // who hands over cannot take over
	CodeAlone          = "alone"                 // a time-out of one person
	CodeNoPhysician    = "no-physician"          // a time-out without an authorised physician

	// Accounts.
	CodeID            = "person-id"           // not formed like an id
	CodeName          = "person-name"         // not a name that can be printed
	CodeRoles         = "person-roles"        // no role, an unknown one, or one twice
	CodeIDTaken       = "id-taken"            // an account has that id
	CodeNameTaken     = "name-taken"          // an account has that name
	CodeFirst         = "first-administrator" // the first account has to be an active administrator's and nothing else
	CodeUnknownPerson = "unknown-person"      // there is no such account
	CodeOwnRights     = "own-rights"          // nobody changes their own account, nor agrees to what is theirs
	CodeCombined      = "combined-rights"     // an administrator who also works on doses, and nobody else agreed
	CodeAdmit         = "admit"               // on the machine only an administrator is let in

	// Passwords and PINs.
	CodeNotText     = "not-text"     // not UTF-8, or a control character
	CodeShort       = "short"        // fewer than 15 characters
	CodeLong        = "long"         // more than 128 characters
	CodeRepeats     = "repeats"      // a shorter text, over and over
	CodeGuessable   = "guessable"    // on the list of common and expected ones
	CodePINDigits   = "pin-digits"   // something that is not one of 0 to 9
	CodePINLength   = "pin-length"   // not 4 to 8 digits
	CodePINRepeats  = "pin-repeats"  // 1111, 1212, 123123
	CodePINSequence = "pin-sequence" // 1234, 9876, 2468, 7890
	CodePINFew      = "pin-few"      // fewer than three different digits
	CodePINYear     = "pin-year"     // 1900 to 2099
	CodePINCommon   = "pin-common"   // a path over the keys, or another that many choose
	CodePINOwn      = "pin-own"      // a piece of what stands beside the name

	// Lock-out, tokens and limits.
	CodeWait   = "wait"   // too soon after a failure
	CodeLocked = "locked" // too many failures
	CodeToken  = "token"  // not the text of a token
	CodeLimits = "limits" // limits of a session that cannot be
)

// Error says why something was refused: a stable code, one plain sentence, and
// the way out. It never holds a password, a PIN or a token.
type Error struct {
	Code string // one of the constants of this package
	Msg  string // what is wrong, without a full stop
	Hint string // what to do instead; may be empty
}

// Error gives what is wrong, and the hint.
func (e *Error) Error() string {
	if e.Hint == "" {
		return e.Msg
	}
	return e.Msg + " (" + e.Hint + ")"
}

func refuse(code, msg, hint string) *Error { return &Error{Code: code, Msg: msg, Hint: hint} }
