package record

import "vialwright/fact"

// clockFields are the fields of a draw that the settling clock writes.
var clockFields = map[string]bool{"trusted": true, "of-mixed": true, "model": true}

// keepUntyped gives a corrected entry what no person types: a draw what the
// clock said of it, a reading the sources of the figures that stay.
func keepUntyped(old fact.Fact, facts []fact.Fact) {
	for _, c := range fact.Of[*fact.Correct](facts) {
		switch is := c.With.(type) {
		case *fact.Read:
			if was, ok := old.(*fact.Read); ok {
				keepSources(was, is)
			}
		case *fact.Draw:
			if was, ok := old.(*fact.Draw); ok && is.From == was.From && !is.Agitated.IsZero() {
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
func keepSources(was, is *fact.Read) {
	is.Sources = was.Sources
	if is.Gross != was.Gross || is.Meter != was.Meter {
		is.Source, is.Line = fact.Typed, ""
	}
	if is.Background != was.Background || is.Meter != was.Meter {
		is.BackgroundSource, is.BackgroundLine = fact.Typed, ""
	}
}
