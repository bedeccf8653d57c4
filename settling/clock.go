package settling

import (
	"fmt"
	"math"

	"vialwright/quantity"
)

// Clock tells, for each moment since the last agitation of one vial, whether a
// draw begun then can be trusted. It is worked out once for a vial and a draw.
type Clock struct {
	Result Result
	// Means are the means of draws begun every MeansEvery.
	Means []DrawnPoint
	// Safe is the time that holds with 95 % probability, from MonteCarlo;
	// where Spread is false it is not known.
	Safe   quantity.Span
	Spread bool
}

// MeansEvery is the step of Clock.Means.
const MeansEvery quantity.Span = 3

// NewClock runs the model. Safe is for the caller to fill in.
func NewClock(c Case) (Clock, error) {
	r, err := Run(c)
	if err != nil {
		return Clock{}, err
	}
	means, err := Means(c, min(MeansEvery, c.Span))
	return Clock{Result: r, Means: means}, err
}

// Trusted is until when a draw may be begun: the time that holds with 95 %
// probability where it is known, else the best estimate, which is missed half
// the time.
func (k Clock) Trusted() quantity.Span {
	if k.Spread {
		return max(0, min(k.Safe, k.Result.Window.Until))
	}
	return k.Result.Window.Until
}

// Moment says how far a draw begun at a time can be trusted.
type Moment int

// Moments.
const (
	Holds    Moment = iota // it stays within tolerance
	Doubtful               // by the best estimate it does, with 95 % probability it does not
	Over                   // it leaves the tolerance
	Buried                 // the packed bed reaches the needle tip before it is over
	Never                  // even a draw begun at once leaves the tolerance
	Unknown                // so late was not worked out
)

// Said is what a clock says of a draw begun at one time.
type Said struct {
	Moment Moment
	// Left is how long Holds lasts, in whole seconds rounded down.
	Left quantity.Span
	// Mean is the expected concentration over the mixed one. It means nothing
	// where Moment is Buried.
	Mean quantity.Fraction

	tolerance quantity.Fraction
	spread    bool
	end       quantity.Span
}

// At tells what the clock says at a time since agitation; one before it is
// taken for the moment itself.
func (k Clock) At(t quantity.Span) Said {
	t = max(0, t)
	c, w := k.Result.Case, k.Result.Window
	s := Said{Mean: k.mean(t), tolerance: c.Tolerance, spread: k.Spread, end: c.Span}
	buried := k.Result.At(min(t+c.Draw.Span, c.Span)).Bed >= c.Tip
	switch trusted := k.Trusted(); {
	case t < trusted:
		s.Moment, s.Left = Holds, quantity.Span(math.Floor(float64(trusted-t)))
	case w.State == NeverOpen:
		s.Moment = Never
	case t < w.Until:
		s.Moment = Doubtful
	case buried || w.Exit == BedAtTip:
		s.Moment = Buried
	case t > c.Span:
		s.Moment = Unknown
	default:
		s.Moment = Over
	}
	return s
}

// mean is read off Means, straight between two of them.
func (k Clock) mean(t quantity.Span) quantity.Fraction {
	last := len(k.Means) - 1
	x := float64(t / MeansEvery)
	i := min(int(x), last)
	if i == last {
		return k.Means[last].Mean
	}
	part := quantity.Fraction(x - float64(i))
	return k.Means[i].Mean + part*(k.Means[i+1].Mean-k.Means[i].Mean)
}

// Word is the state in a word or two.
func (s Said) Word() string {
	switch s.Moment {
	case Holds:
		return "Still mixed"
	case Never:
		return "Keep it moving"
	}
	return "Resuspend again"
}

// Words is the sentence, in three parts: the middle one counts down and is
// empty where nothing does.
func (s Said) Words() (before, left, after string) {
	within := fmt.Sprintf("%.3g %%", 100*float64(s.tolerance))
	switch s.Moment {
	case Holds:
		sure := ", by the model's best estimate."
		if s.spread {
			sure = ", with 95 % probability."
		}
		return "A draw begun within ", quantity.ShowSpan(s.Left), " stays within " + within + " of the mixed vial" + sure
	case Doubtful:
		return "A draw begun now may be off by more than " + within + "; the model's best estimate is " + s.off() + ".", "", ""
	case Over:
		return "The model says that a draw begun now is " + s.off() + ".", "", ""
	case Buried:
		return "The settled bed reaches the needle tip before a draw begun now ends: what it would hold cannot be predicted.", "", ""
	case Never:
		return "Even a draw begun at once is more than " + within + " off the mixed vial: keep resuspending it while you draw.", "", ""
	}
	return "It has stood longer than the " + clock(s.end) + " that the clock covers.", "", ""
}

// off is how far the mean lies from the mixed concentration, rounded so that
// no figure beyond the tolerance is shown inside it.
func (s Said) off() string {
	d := 100 * (float64(s.Mean) - 1)
	text := fmt.Sprintf("%.0f %%", math.Abs(d))
	switch {
	case math.Abs(d) < 0.5:
		return "the mixed concentration"
	case math.Abs(d) < 9.95:
		text = fmt.Sprintf("%.1f %%", math.Abs(d))
	}
	if d < 0 {
		return text + " too thin"
	}
	return text + " too rich"
}

// clock writes a span as a person says it, cut to whole seconds: a window must
// not come out longer than it is.
func clock(t quantity.Span) string {
	s := int(math.Floor(float64(t) + 1e-9))
	switch {
	case s < 60:
		return fmt.Sprintf("%d s", s)
	case s%60 == 0:
		return fmt.Sprintf("%d min", s/60)
	}
	return fmt.Sprintf("%d min %d s", s/60, s%60)
}
