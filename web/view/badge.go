package view

// Badge is what an order is told by at a glance, on every page that shows it: a
// letter, a shape and a tint.
type Badge struct {
	// Letter and Glyph are written; Shape is the glyph in a word, for who hears
	// the page.
	Letter, Glyph, Shape string
	// Tint is the class of the style sheet with the colours --tint and --on-tint.
	Tint string
}

// The letters leave out those that are read as a digit or as one another.
const badgeLetters = "ABCDEFGHJKLMNPRSTUVWXYZ"

var badgeShapes = []struct{ glyph, word string }{
	{"▲", "triangle"}, {"●", "circle"}, {"■", "square"}, {"◆", "diamond"}, {"✚", "cross"}, {"★", "star"},
}

// Tints is how many tints there are: the classes tint-0, tint-1 and so on.
const Tints = 5

// BadgeOf is the badge of the order that was the n-th of its site, from 1. It
// stays the order's own for ever. Of 23 orders in a row no two have one letter,
// and of orders next to one another neither letter, shape nor tint is the same.
func BadgeOf(n int) Badge {
	i := max(n-1, 0)
	shape := badgeShapes[i%len(badgeShapes)]
	return Badge{badgeLetters[i%len(badgeLetters):][:1], shape.glyph, shape.word, "tint-" + string(rune('0'+i%Tints))}
}
