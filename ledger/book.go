package ledger

import (
	"fmt"
	"slices"
	"sort"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Kind says what sort of vessel a container is. A meter's geometry factor
// belongs to a kind, because a reading depends on wall, shape and fill.
type Kind string

// The kinds of container a preparation passes through.
const (
	ShippingVial       Kind = "shipping-vial"
	Syringe            Kind = "syringe"
	AdministrationVial Kind = "administration-vial"
	Territory          Kind = "patient-territory"
	ResidualParts      Kind = "residual-parts"
	WasteItem          Kind = "waste-item"
)

// Container is a vessel in the books. Liquid is what has come in less what
// has gone out, in mL; a Territory or WasteItem keeps no volume.
type Container struct {
	ID   string
	Kind Kind
}

// Empty is below which a container counts as empty: 1e5 Bq, the activity of Y-90 in a
// consignment up to which it is no radioactive material (49 CFR 173.436, as a transport manual
// has it), and about the step of what an activity meter shows of one.
const Empty = 0.1 * quantity.MegaBecquerel

// Share is an independent statement about a movement: it carried the
// fraction Value of what its source held just before, with standard
// uncertainty U (absolute, same unit). A draw's volume gives one, and so
// does a residual measured in dose rate.
type Share struct {
	Value, U float64
	// Between is the time over which what stayed, 1 - Value, was carried by the half-life to be
	// compared with what there was: that between two dose rates.
	Between quantity.Span
}

// Movement carries an unknown activity out of one container into another.
type Movement struct {
	// Entry is the caller's number for the fact this came from.
	Entry int
	At    time.Time
	// From is empty for a receipt: the activity comes from outside.
	From, To string
	// Volume that moved, in mL; zero with Whole set.
	Volume quantity.Volume
	// Whole: everything in From went.
	Whole bool
	// Label is a receipt's stated activity at Reference, with its standard
	// uncertainty; it is used only where no reading determines the receipt.
	Label, LabelU quantity.Activity
	// Reference is the instant Label is stated for.
	Reference time.Time
	// Measured, when U > 0, is always used as a datum (a residual).
	Measured Share
	// Yield is the expected activity share per volume share, q, with its
	// standard uncertainty; used only where no reading determines the
	// movement. The zero value is replaced by 1 with U 0.1.
	Yield Share
}

// Factor is a multiplicative factor common to many readings: a meter's
// calibration or a geometry's. Value is its prior, U the standard
// uncertainty of the prior in the same unit; U = 0 makes it a constant.
type Factor struct {
	Name  string
	Value float64
	U     float64
	// Same is shared by factors that are fitted apart, each by the readings of its
	// own set, though their error is one: it does not average out in a sum over
	// sets. Empty for a factor whose error is its own.
	Same string
}

// FactorID names a factor added to a Book.
type FactorID int

// Reading is one net reading of a container.
type Reading struct {
	// Entry is the caller's number for the fact this came from.
	Entry int
	Of    string
	At    time.Time
	// Net is the reading with the background taken away.
	Net quantity.Activity
	// Relative is the repeatability of one reading (0.008 is 0.8 %).
	Relative float64
	// Background is the standard uncertainty of the background taken away.
	Background quantity.Activity
	// Floor is the least standard uncertainty a reading can have: the
	// display's resolution over the square root of 12 (JCGM 100 F.2.2.1).
	Floor quantity.Activity
	// Gain and Geometry are the factors common to other readings.
	Gain, Geometry FactorID
	Basis          quantity.Basis
}

// Refusal says why a fact cannot enter the books. Code is stable.
type Refusal struct {
	Code string
	// Field is the field of the fact that is wrong: "from", "of", "volume" ...
	Field string
	Msg   string
	Hint  string
}

func (r *Refusal) Error() string { return r.Msg }

func refuse(code, field, hint, format string, args ...any) *Refusal {
	return &Refusal{Code: code, Field: field, Msg: fmt.Sprintf(format, args...), Hint: hint}
}

// Book is the record from which balances are reconciled. Facts are entered
// in order of time; each either enters whole or is refused.
type Book struct {
	epoch    time.Time
	halfLife nuclide.HalfLife
	factors  []Factor
	vessels  []*vessel
	byID     map[string]int
	moves    []move
	readings []reading
	events   []event
}

// vessel is a container with its running volume.
type vessel struct {
	Container
	opened time.Time
	volume quantity.Volume
	// filled says that something has come in since it was last emptied;
	// ever, that something has come in at all.
	filled, ever bool
	// levels is the volume after each change, in order of time.
	levels []level
}

type level struct {
	span   quantity.Span
	volume quantity.Volume
}

func (v *vessel) set(volume quantity.Volume, span quantity.Span) {
	v.volume = tidy(volume)
	v.levels = append(v.levels, level{span, v.volume})
}

type move struct {
	Movement
	from, to int // -1 is outside
	span     quantity.Span
	// share is the volume share of what the source held, 0 if unknown.
	share  float64
	toKind Kind
	// had is the volume in the source just before, in mL.
	had quantity.Volume
}

type reading struct {
	Reading
	of   int
	span quantity.Span
}

// event is a movement (move >= 0) or a reading (read >= 0), in time order.
type event struct{ move, read int }

// New opens a book whose activities are all carried to epoch (any fixed
// instant: the vial's reference time is the natural one). The half-life must be
// positive.
func New(epoch time.Time, halfLife nuclide.HalfLife) *Book {
	if halfLife.Value <= 0 {
		panic("ledger: half-life must be positive")
	}
	return &Book{epoch: epoch, halfLife: halfLife, byID: map[string]int{}}
}

// AddFactor adds a common factor. Value must be positive and U not negative.
func (b *Book) AddFactor(f Factor) FactorID {
	if f.Value <= 0 || f.U < 0 {
		panic("ledger: factor " + f.Name + " must be positive with a non-negative uncertainty")
	}
	b.factors = append(b.factors, f)
	return FactorID(len(b.factors) - 1)
}

// Open enters an empty container. Refused: an id already in use.
func (b *Book) Open(c Container, at time.Time) error {
	if _, ok := b.byID[c.ID]; ok {
		return refuse("duplicate-id", "id", "give it another id", "the id %s is already in use", c.ID)
	}
	b.byID[c.ID] = len(b.vessels)
	b.vessels = append(b.vessels, &vessel{Container: c, opened: at})
	return nil
}

// Container gives an opened container.
func (b *Book) Container(id string) (Container, bool) {
	i, ok := b.byID[id]
	if !ok {
		return Container{}, false
	}
	return b.vessels[i].Container, true
}

// Containers gives every container in the order they were opened.
func (b *Book) Containers() []Container {
	out := make([]Container, len(b.vessels))
	for i, v := range b.vessels {
		out[i] = v.Container
	}
	return out
}

// Volume is the liquid in a container after everything entered, in mL.
func (b *Book) Volume(id string) quantity.Volume {
	if i, ok := b.byID[id]; ok {
		return b.vessels[i].volume
	}
	return 0
}

// VolumeAt is the liquid in a container at an instant, everything of that
// instant included, in mL.
func (b *Book) VolumeAt(id string, at time.Time) quantity.Volume {
	i, ok := b.byID[id]
	if !ok {
		return 0
	}
	h, t := b.vessels[i].levels, b.since(at)
	n := sort.Search(len(h), func(n int) bool { return h[n].span > t })
	if n == 0 {
		return 0
	}
	return h[n-1].volume
}

// VolumeWhen is the liquid in a container at an instant as an entry found it, in mL: of
// what moved at that instant, only what was entered before it.
func (b *Book) VolumeWhen(id string, at time.Time, entry int) quantity.Volume {
	v, t := b.VolumeAt(id, at), b.since(at)
	for _, m := range b.moves {
		if m.span == t && m.Entry > entry {
			switch id {
			case m.From:
				v += m.Volume
			case m.To:
				v -= m.Volume
			}
		}
	}
	return tidy(v)
}

// VolumeBefore is what the source of an entry's movement held just before
// it, in mL.
func (b *Book) VolumeBefore(entry int) quantity.Volume {
	if i := b.movement(entry); i >= 0 {
		return b.moves[i].had
	}
	return 0
}

// movement is the place of an entry's movement, -1 for none.
func (b *Book) movement(entry int) int {
	return slices.IndexFunc(b.moves, func(m move) bool { return m.Entry == entry })
}

// LastReading is the newest reading of a container with its common factors.
func (b *Book) LastReading(id string) (r Reading, gain, geometry Factor, ok bool) {
	v, known := b.byID[id]
	for i := len(b.readings) - 1; known && i >= 0; i-- {
		if b.readings[i].of == v {
			r = b.readings[i].Reading
			return r, b.factors[r.Gain], b.factors[r.Geometry], true
		}
	}
	return Reading{}, Factor{}, Factor{}, false
}

// Add takes liquid without activity (a diluent) into a container. Refused:
// an unknown container.
func (b *Book) Add(id string, v quantity.Volume, at time.Time) error {
	i, err := b.known(id, "of", at)
	if err != nil {
		return err
	}
	b.vessels[i].set(b.vessels[i].volume+v, b.since(at))
	return nil
}

// Move enters a movement. Refused, in this order: an unknown source or
// target, the two being one container, a movement before its container was
// opened, a source with nothing in it, a volume larger than is there.
func (b *Book) Move(m Movement) error {
	mv := move{Movement: m, from: -1, span: b.since(m.At)}
	if m.From != "" {
		i, err := b.known(m.From, "from", m.At)
		if err != nil {
			return err
		}
		mv.from = i
	}
	i, err := b.known(m.To, "into", m.At)
	if err != nil {
		return err
	}
	mv.to, mv.toKind = i, b.vessels[i].Kind
	if mv.from == mv.to {
		return refuse("same-container", "into", "name the container it went into", "%s cannot move into itself", m.From)
	}
	if mv.from >= 0 {
		if err := b.take(&mv); err != nil {
			return err
		}
	}
	b.put(&mv)
	b.events = append(b.events, event{move: len(b.moves), read: -1})
	b.moves = append(b.moves, mv)
	return nil
}

// take removes the volume from the source and works out the volume share.
func (b *Book) take(mv *move) error {
	src := b.vessels[mv.from]
	if !src.filled {
		return refuse("empty-container", "from", "check the id, and the order of the entries",
			"nothing is in %s", src.ID)
	}
	mv.had = src.volume
	if mv.Whole {
		mv.Volume, mv.share = src.volume, 1
		src.filled = false
		src.set(0, mv.span)
		return nil
	}
	// A hair of rounding is not an overdraw: 2.2 + 1.3 + 1.5 is 5.0 mL.
	if mv.Volume > src.volume+1e-6 {
		return refuse("overdrawn", "volume", "check the volume, or enter the missing make-up or return",
			"%g mL cannot leave %s, which holds %g mL", float64(mv.Volume), src.ID, float64(src.volume))
	}
	if src.volume > 0 {
		mv.share = min(1, float64(mv.Volume/src.volume))
	}
	src.set(max(0, src.volume-mv.Volume), mv.span)
	return nil
}

func (b *Book) put(mv *move) {
	dst := b.vessels[mv.to]
	dst.filled, dst.ever = true, true
	if dst.Kind != Territory {
		dst.set(dst.volume+mv.Volume, mv.span)
	}
}

// Read enters a reading. Refused: an unknown container, or a reading before
// the container had anything to read.
func (b *Book) Read(r Reading) error {
	i, err := b.known(r.Of, "of", r.At)
	if err != nil {
		return err
	}
	if !b.vessels[i].ever {
		return refuse("empty-container", "of", "check the id, and the order of the entries",
			"nothing has come into %s", r.Of)
	}
	b.events = append(b.events, event{move: -1, read: len(b.readings)})
	b.readings = append(b.readings, reading{Reading: r, of: i, span: b.since(r.At)})
	return nil
}

// Unread gives the book without its readings: what labels and volumes alone
// say of each container. The movements are shared with b; nothing may be entered
// in either as long as both are in use.
func (b *Book) Unread() *Book {
	out := *b
	out.readings = nil
	out.events = slices.DeleteFunc(slices.Clone(b.events), func(e event) bool { return e.read >= 0 })
	return &out
}

func (b *Book) known(id, field string, at time.Time) (int, error) {
	i, ok := b.byID[id]
	if !ok {
		return 0, refuse("unknown-container", field,
			"receive it, or draw or transfer into it, before this entry", "no container is called %s", id)
	}
	if v := b.vessels[i]; !v.opened.IsZero() && at.Before(v.opened) {
		return 0, refuse("before-receipt", "at", "check the time of this entry and of the receipt",
			"this is before %s came in at %s", id, v.opened.Format(time.RFC3339))
	}
	return i, nil
}

// since is the time from the epoch to t.
func (b *Book) since(t time.Time) quantity.Span { return nuclide.Elapsed(b.epoch, t) }

// decay is the factor exp(-λt) for a time since the epoch.
func (b *Book) decay(t quantity.Span) float64 { return nuclide.Factor(b.halfLife.Value, t) }

// tidy takes the rounding noise off a volume: a nanolitre is far below any
// graduation, and 5.0 - 2.2 should read 2.8.
func tidy(v quantity.Volume) quantity.Volume {
	const nl = 1e6
	return quantity.Volume(float64(int64(float64(v)*nl+0.5)) / nl)
}
