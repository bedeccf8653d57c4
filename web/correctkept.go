package web

import "vialwright/journal"

// clockFields are the fields of a draw that the settling clock writes.
var clockFields = map[string]bool{"trusted": true, "of-mixed": true, "model": true}

// keepUntyped gives a corrected entry what no person types: a draw what the
// clock said of it, a reading the sources of the figures that stay.
func keepUntyped(old journal.Fact, facts []journal.Fact) {
	for _, f := range facts {
		c, ok := f.(*journal.Correct)
		if !ok {
			continue
		}
		switch is := c.With.(type) {
		case *journal.Read:
			if was, ok := old.(*journal.Read); ok {
				keepSources(was, is)
			}
		case *journal.Draw:
			if was, ok := old.(*journal.Draw); ok && is.From == was.From && !is.Agitated.IsZero() {
				is.Trusted, is.Model = was.Trusted, was.Model
				if is.At.Equal(was.At) && is.Agitated.Equal(was.Agitated) && is.Volume == was.Volume {
					is.OfMixed = was.OfMixed
				}
			}
		}
	}
}

// keepSources gives a corrected reading its sources: those of the entry for a
// figure that stays, typed for one that is new.
func keepSources(was, is *journal.Read) {
	is.Sources = was.Sources
	if is.Gross != was.Gross || is.Meter != was.Meter {
		is.Source, is.Line = journal.Typed, ""
	}
	if is.Background != was.Background || is.Meter != was.Meter {
		is.BackgroundSource, is.BackgroundLine = journal.Typed, ""
	}
}
