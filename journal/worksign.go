package journal

import "time"

// SignOrder is the signature of the authorised physician under an order, made
// in a session of the physician's own: who recorded it signed.
type SignOrder struct {
	For string
	// Version is that of the order as it was signed; empty where it has none.
	Version string
	At      time.Time
}

// Kind is "sign-order".
func (*SignOrder) Kind() string        { return "sign-order" }
func (o *SignOrder) moment() time.Time { return o.At }

func (o *SignOrder) fields(f []field) []field {
	return append(f,
		field{"for", must, id{&o.For, AboutOrder}, "Order"},
		field{"version", may, text{&o.Version}, "Version of the order"},
		field{"at", must, instant{&o.At}, "When"},
	)
}

// enter refuses an order that is not there or closed. Whether the order is
// still the one that was signed is for package procedure: a correction of it
// is no fault of the signature.
func (o *SignOrder) enter(f *folder, s *step) *Refusal { return f.openOrder(s, o.For) }

// TakeOver takes over a dose that was handed over, in a session of the taker's
// own: who recorded it holds the dose.
type TakeOver struct {
	For string
	At  time.Time
}

// Kind is "take-over".
func (*TakeOver) Kind() string        { return "take-over" }
func (t *TakeOver) moment() time.Time { return t.At }

func (t *TakeOver) fields(f []field) []field {
	return append(f,
		field{"for", must, id{&t.For, AboutOrder}, "Order"},
		field{"at", must, instant{&t.At}, "When"},
	)
}

// enter refuses, in this order: an order that is not there or closed, and a
// dose that nobody had handed over by then.
func (t *TakeOver) enter(f *folder, s *step) *Refusal {
	if err := f.openOrder(s, t.For); err != nil {
		return err
	}
	if f.done.handed[t.For] == nil {
		return s.refuse("for", "not-handed-over", "enter the hand-over first, or check the times of both entries", "nobody had handed the dose of order %s over", t.For)
	}
	return nil
}

// countersigned asks that who countersigned is who is named.
func (s *step) countersigned(by, named string) *Refusal {
	if by == "" || by == named {
		return nil
	}
	return s.refuse("countersigned", "countersigned-other", "leave it out, or name who signed", "%s countersigned, and %s is named", by, named)
}
