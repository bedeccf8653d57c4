package journal

// Fact is one thing that was decided, seen or done. It is always a pointer to
// one of the kinds of this package; the set is closed.
type Fact interface {
	// Kind is the word the fact is entered under, such as "draw".
	Kind() string
	// fields appends the descriptor of every field, in the order of the
	// table. It is the only place where a field is named: reading and writing
	// of records and of case files and the description of the format all go
	// by it.
	fields([]field) []field
}

// kinds are all kinds of fact in the order they are described in. A header
// fact stands at the top of a case file; the others are its entries.
var kinds = []struct {
	name   string
	header bool
	make   func() Fact
	about  string
}{
	{"site", true, func() Fact { return new(Site) }, "where it happens, the half-life if the site sets one, and what the journal is for"},
	{"policy", true, func() Fact { return new(Policy) }, "what the site has decided; what is left out is assumed and reported"},
	{"meter", true, func() Fact { return new(Meter) }, "an activity meter with its common factors (in a case file: the list meters)"},
	{"order", false, func() Fact { return new(Order) }, "a physician's prescription for one territory"},
	{"receive", false, func() Fact { return new(Receive) }, "a shipping vial comes in"},
	{"read", false, func() Fact { return new(Read) }, "a meter reading of a container"},
	{"draw", false, func() Fact { return new(Draw) }, "suspension goes into a syringe for an order"},
	{"return", false, func() Fact { return new(Return) }, "suspension goes back into a container"},
	{"makeup", false, func() Fact { return new(Makeup) }, "diluent goes into a container"},
	{"transfer", false, func() Fact { return new(Transfer) }, "a dose goes into an administration vial"},
	{"discard", false, func() Fact { return new(Discard) }, "something goes into a waste item"},
	{"infuse", false, func() Fact { return new(Infuse) }, "a dose is given"},
	{"residual", false, func() Fact { return new(Residual) }, "dose rates of a dose before and after it was given"},
	{"note", false, func() Fact { return new(Note) }, "a remark"},
	{"check", false, func() Fact { return new(Check) }, "a check of readiness"},
	{"survey", false, func() Fact { return new(Survey) }, "a survey of a place"},
	{"agitate", false, func() Fact { return new(Agitate) }, "a container is shaken"},
	{"verify", false, func() Fact { return new(Verification) }, "the second check of a dose"},
	{"label", false, func() Fact { return new(Label) }, "a label is printed"},
	{"override", false, func() Fact { return new(Override) }, "going on in spite of a finding"},
	{"release", false, func() Fact { return new(Release) }, "a dose is released"},
	{"handover", false, func() Fact { return new(Handover) }, "a dose goes into other hands"},
	{"timeout", false, func() Fact { return new(Timeout) }, "the time-out before a dose is given"},
	{"see-figures", false, func() Fact { return new(SeeFigures) }, "a person chose to see the figures of a dose, and does not check it"},
	{"order-sign", false, func() Fact { return new(OrderSign) }, "the authorised physician signs an order"},
	{"takeover", false, func() Fact { return new(Takeover) }, "a dose that was handed over is taken over"},
	{"exposure", false, func() Fact { return new(Exposure) }, "what the dosimeters of a person showed"},
	{"paper", false, func() Fact { return new(Paper) }, "says that entries were made from a sheet of paper"},
	{"reassign", false, func() Fact { return new(Reassign) }, "a drawn dose is given to another order"},
	{"abandon", false, func() Fact { return new(Abandon) }, "a preparation is given up"},
	{"deviation", false, func() Fact { return new(Deviation) }, "something went otherwise than it should"},
	{"near-miss", false, func() Fact { return new(NearMiss) }, "something was refused before it could do harm, such as a wrong scan"},
	{"close", false, func() Fact { return new(Close) }, "the record of an order is whole"},
	{"learned", false, func() Fact { return new(Experience) }, "what the site's finished cases had taught"},
	{"reading-curve", false, func() Fact { return new(ReadingCurve) }, "what a meter showed of one vial while it settled"},
	{"correct", false, func() Fact { return new(Correct) }, "replaces an entry, or strikes it out"},
}

// makers finds the maker of a kind by its word.
var makers = func() map[string]func() Fact {
	m := make(map[string]func() Fact, len(kinds))
	for _, k := range kinds {
		m[k.name] = k.make
	}
	return m
}()

// IsHeader tells whether f stands at the top of a case file: the case itself,
// and what the site had decided before its entries. A setting that holds from a
// time on is an entry.
func IsHeader(f Fact) bool {
	switch x := f.(type) {
	case *Site:
		return true
	case *Policy:
		return x.From.IsZero()
	case *Meter:
		return x.From.IsZero()
	}
	return false
}

// IsSetting tells whether f says what holds, and not what was done.
func IsSetting(f Fact) bool {
	switch f.(type) {
	case *Site, *Policy, *Meter:
		return true
	}
	return false
}

// EntryKinds are the words of the kinds that are entries.
func EntryKinds() []string {
	var out []string
	for _, k := range kinds {
		if !k.header {
			out = append(out, k.name)
		}
	}
	return out
}
