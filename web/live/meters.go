package live

// Meters are the activity meters that are connected; [Board] is one, and
// [Invented]. It is asked by many goroutines at once.
type Meters interface {
	// Now gives what each meter says of a well.
	Now(Query) []Meter
	// Find gives a line that Now has given, by its token; false for any other.
	Find(token string) (Line, bool)
}
