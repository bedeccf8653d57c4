package web

import (
	"cmp"
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"time"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/people/secret"
	"vialwright/replica"
	"vialwright/store"
	"vialwright/store/vault"
	"vialwright/web/assets"
)

// Config is what the bench is made of. All that has no comment "optional" must
// be given.
type Config struct {
	Log   store.Log
	Vault vault.Vault
	// Store says what kind of store the journal is in, such as "SQLite file",
	// and never its address, which may hold a password. Optional.
	Store string
	// Clock gives the time of the machine, or of a test; Random gives bytes from a
	// cryptographic source.
	Clock  func() time.Time
	Random io.Reader
	// Zones loads zones by their IANA names; Zone is that of the site, for
	// the first case.
	Zones fact.Zones
	Zone  string
	// Site are the policy and the meters of the first case; later cases take
	// those of the case before. Optional.
	Site []fact.Fact
	// Passwords and PINs compare secrets.
	Passwords, PINs *secret.Keeper
	// Practice marks everything as not for patient use.
	Practice bool
	// PracticeClock is shared with whatever else of the program tells the time in
	// practice, such as invented meters. Optional, and refused without Practice.
	PracticeClock *PracticeClock
	// Invented is told to whoever signs in to practice: who there is, and what
	// each may be tried out for. Optional, and of no account without Practice.
	Invented Invented
	// Setup has to be typed to make the first account; print it where only
	// who installs the program sees it. Optional: without it anyone who comes
	// first becomes administrator.
	Setup string
	// PlainHTTP lets the session cookie go over HTTP, for a machine that
	// serves itself only. Optional.
	PlainHTTP bool
	// MetricsToken opens /metrics to a program that sends it as a bearer
	// token. Optional: without it a person with the right to see the health
	// may look.
	MetricsToken string
	// Limits are those of sessions; zero for people.DefaultLimits. Optional.
	Limits people.Limits
	// Meters are the activity meters that are connected. Optional: without
	// them every reading is typed.
	Meters Meters
	// SettlingTrials is how many trials the settling clock makes for the time
	// that holds with 95 % probability, 20 or more. Optional: without it the
	// clock shows the best estimate.
	SettlingTrials int
	// Witness knows of heads of the journal that were noted elsewhere. Optional:
	// without it nobody sees that the journal was rewritten or shortened.
	Witness replica.Witness
	// Logger gets one line for each request. Optional.
	Logger *slog.Logger
	// Version names the program and its version.
	Version string
}

// Invented are the people of an invented laboratory with what opens their
// accounts. They are no secret: nothing in practice is for patient use.
type Invented struct {
	People        []people.Person
	Password, PIN string
	// Parts says what each does in a preparation, by id.
	Parts map[string]string
}

// Server is the bench. It is an http.Handler.
type Server struct {
	Config
	// machine is the time that sessions, locks and drafts end by, also where
	// people put the clock of a practice laboratory forward.
	machine func() time.Time
	lab     *replica.Replica
	kept    *shelves
	nonces  *nonces
	limits  *addresses
	counts  *counts
	settled *settled
	curves  *curves
	past    *lessons
	waste   pastWaste
	handler http.Handler
	// hooks are what the rooms do where a request is nobody's own.
	hooks hooks
	// stall and patience are the constants of that name, but in tests.
	stall, patience time.Duration
}

// hooks are what rooms do beside their own pages.
type hooks struct {
	// locked answers a page that fetches itself again when nobody is signed in on
	// it any more.
	locked func(q *request, state people.State) error
	// beside tells a page more than what is recorded: at each tick tell is called.
	// ticks is nil for a page that is told no more; stop ends it.
	beside func(q *request) (ticks <-chan time.Time, tell func() error, stop func())
	// dayForms are what is entered from the board, by the word in the address.
	dayForms []func(q *request, st *state) map[string]*entryForm
	// reckoned is told of each group that was looked at, and whether it is over.
	reckoned func(f *file, st *state, over bool)
}

// New opens the journal and makes the bench. It fails where something of the
// configuration is missing, or the store cannot be read; a journal that does
// not hold opens, shows that it is broken, and takes no entry.
func New(ctx context.Context, c Config) (*Server, error) {
	if c.Log == nil || c.Vault == nil || c.Clock == nil || c.Random == nil || c.Zones == nil || c.Passwords == nil || c.PINs == nil {
		return nil, errors.New("web: Log, Vault, Clock, Random, Zones, Passwords and PINs must be given")
	}
	if c.Limits == (people.Limits{}) {
		c.Limits = people.DefaultLimits()
	}
	if err := c.Limits.Check(); err != nil {
		return nil, err
	}
	if _, err := c.Zones(c.Zone); err != nil || c.Zone == "" {
		return nil, errors.New("web: Zone must be the name of a zone such as Atlantic/Azores")
	}
	machine := c.Clock
	switch {
	case c.PracticeClock != nil && !c.Practice:
		return nil, errors.New("web: a laboratory for patients has no practice clock")
	case c.Practice:
		c.PracticeClock = cmp.Or(c.PracticeClock, NewPracticeClock(machine))
		c.Clock = c.PracticeClock.Now
	}
	if c.Logger == nil {
		c.Logger = slog.New(slog.DiscardHandler)
	}
	l, err := replica.Open(ctx, c.Log, saltFrom(c.Random))
	if err != nil {
		return nil, err
	}
	if c.Witness != nil {
		l.Watch(ctx, c.Witness)
	}
	if _, err := c.Vault.Sweep(ctx, machine()); err != nil {
		return nil, err
	}
	s := &Server{Config: c, machine: machine, lab: l, kept: &shelves{vault: c.Vault, clock: machine}, nonces: newNonces(), limits: newAddresses(), counts: newCounts(), past: newLessons(l, c.Zones), settled: newSettled(c.SettlingTrials), curves: newCurves(l, c.Zones), stall: stall, patience: patience}
	if err := s.begin(ctx); err != nil {
		return nil, err
	}
	s.hooks = hooks{locked: (*request).locked, beside: (*request).meterTicks, reckoned: s.waste.keep, dayForms: []func(*request, *state) map[string]*entryForm{(*request).stockForms, (*request).takeOverForms}}
	s.follow()
	s.handler = s.routes(assets.Handler())
	return s, nil
}

// ServeHTTP answers a request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Close lets the open streams and what is worked out beside them end, so that
// the program can. The log and the
// vault stay open; who opened them closes them.
func (s *Server) Close() {
	s.lab.Close()
	s.settled.close()
}

// PracticeMark is written on everything made in practice.
const PracticeMark = "PRACTICE - not for patient use"

func (s *Server) mark() string {
	switch says := s.clockSays(); {
	case !s.Practice:
		return ""
	case says != "":
		return PracticeMark + ", " + says
	}
	return PracticeMark
}
