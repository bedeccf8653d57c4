package journal

// Class is what an entry is to those who record beside one another.
type Class int

// The classes.
const (
	// Consent rests on the figures that were shown: on an old page it is refused.
	Consent Class = iota
	// Act happened, whatever was shown: on an old page it is shown what moved, and
	// goes in at a second press.
	Act
	// Observation was seen, and is never refused because something moved.
	Observation
)

// classes are those of the kinds that are no consents.
var classes = map[string]Class{
	"read": Observation, "residual": Observation, "note": Observation, "check": Observation, "survey": Observation, "agitate": Observation,
	"exposure": Observation, "deviation": Observation, "reading-curve": Observation, "see-figures": Observation, "near-miss": Observation, "paper": Observation,
	"draw": Act, "return": Act, "makeup": Act, "transfer": Act, "discard": Act, "infuse": Act, "receive": Act, "open-parts": Act,
}

// ClassOf is the class of a fact.
func ClassOf(f Fact) Class { return classes[f.Kind()] }

// ClassOfKind is the class of the facts of a kind.
func ClassOfKind(kind string) Class { return classes[kind] }
