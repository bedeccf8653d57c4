package paper

// Codes of an [Error]. They are stable.
const (
	CodeMissing   = "missing"      // a field that every label or sheet needs is empty
	CodeInvalid   = "invalid"      // a field holds what cannot be
	CodeFit       = "does-not-fit" // the text is longer than its place
	CodeCharacter = "character"    // no face of ours has the character, or it hides
	CodeSort      = "wrong-sort"   // a practice serial on a patient's label, or the other way round
	CodeWrite     = "write"        // the PDF could not be put together
)

// Error says why nothing was printed: a stable code, the field it is about,
// one plain sentence, and the way out.
type Error struct {
	Code, Field, Msg, Hint string
}

// Error gives field, sentence and hint.
func (e *Error) Error() string {
	s := e.Field + ": " + e.Msg
	if e.Hint != "" {
		s += " (" + e.Hint + ")"
	}
	return s
}
