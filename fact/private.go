package fact

// Private tells of what only the person it is of is shown, and those who have to act on
// it: a declared pregnancy, and the dosemeter that is worn for an unborn child. A
// correction is private where what it puts in is; one that strikes out says nothing of
// what it strikes.
func Private(f Fact) bool {
	switch x := f.(type) {
	case *Pregnancy:
		return true
	case *DoseReport:
		return x.Worn == WornFetus
	case *Wears:
		return x.Worn == WornFetus
	case *Correct:
		return Private(x.With)
	}
	return false
}

// PersonOf is the person whom a fact speaks of first; empty for none.
func PersonOf(f Fact) string { return First(f, AboutPerson) }

// OrderOf is the order that a fact speaks of first; empty for none.
func OrderOf(f Fact) string { return First(f, AboutOrder) }

// First is the id of a kind that a fact speaks of first; empty for none.
func First(f Fact, kind About) string {
	for _, s := range Subjects(f) {
		if s.Kind == kind {
			return s.ID
		}
	}
	return ""
}
