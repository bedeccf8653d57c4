package secret

// Codes of an [Error]. They are stable.
const (
	CodeBusy    = "busy"     // the context ended while waiting for a place
	CodeText    = "not-text" // empty, not UTF-8, or longer than 1024 bytes
	CodeStored  = "stored"   // what is stored is no hash of this package
	CodeUnbound = "unbound"  // the hash does not say whose it is
	CodeKey     = "key"      // the hash was made with a key that is not in use, or a key is none
	CodeRandom  = "random"   // the machine gave no random bytes
	CodeParams  = "params"   // parameters that cannot be used
)

// Error says why nothing was hashed or compared. It never holds a secret or a
// hash.
type Error struct {
	Code string // one of the constants of this package
	Msg  string // what is wrong, without a full stop
	Hint string // what to do instead; may be empty
	Err  error  // the cause; may be nil
}

// Error gives what is wrong, and the hint.
func (e *Error) Error() string {
	if e.Hint == "" {
		return e.Msg
	}
	return e.Msg + " (" + e.Hint + ")"
}

// Unwrap gives the cause, such as that of a context.
func (e *Error) Unwrap() error { return e.Err }
