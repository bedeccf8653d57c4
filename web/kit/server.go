package kit

import (
	"cmp"
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"time"

	"vialwright/accounts"
	"vialwright/fact"
	"vialwright/pack"
	"vialwright/people"
	"vialwright/people/secret"
	"vialwright/procedure"
	"vialwright/replica"
	"vialwright/rules"
	"vialwright/store"
	"vialwright/store/vault"
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
	// Invented is told to anyone who signs in to practice: who there is, and what
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
	// Room is where the index of the years lies. Optional: without it that is in the
	// memory of the program.
	Room pack.Room
	// Witness knows of heads of the journal that were noted elsewhere. Optional:
	// without it nobody sees that the journal was rewritten or shortened.
	Witness replica.Witness
	// Checkpoints keep what the journal was verified to hold. Optional: without them
	// the first page waits until the whole journal is read.
	Checkpoints Checkpoints
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

// Server is what all rooms stand on: the journal, the accounts, and what is known of
// forms and sessions.
type Server struct {
	Config
	Hooks
	// Lab is the journal as it was verified.
	Lab *replica.Replica
	// machine is the time that sessions, locks and drafts end by, also where
	// people put the clock of a practice laboratory forward.
	machine func() time.Time
	// Kept is what opens the accounts, and what was typed and not sent.
	Kept   *accounts.Store
	nonces *nonces
	counts *metrics
	// Settled is closed once what had to be done behind the pages since the start is
	// done, so that all that is shown is verified and complete.
	Settled chan struct{}
	// looked is true once all groups of the last weeks were looked at since the start;
	// endBehind ends what goes on behind the pages, nil before Begin.
	looked    atomic.Bool
	endBehind func()
	// writeTimeout is the constant of that name, but in tests.
	writeTimeout time.Duration
}

// Hooks are what rooms do beside their own pages. Each is set once, before the
// first request.
type Hooks struct {
	// Locked answers a page that fetches itself again when nobody is signed in on
	// it any more.
	Locked func(q *Request, state people.State) error
	// Beside tells a page more than what is recorded: at each tick tell is called.
	// ticks is nil for a page that is told no more; stop ends it.
	Beside func(q *Request) (ticks <-chan time.Time, tell func() error, stop func())
	// Unfinished tells of a group whose work is over that something about it is still
	// to be done, so that it stays on the board; nil for never.
	Unfinished func(st *State) bool
	// Instruments is the meter book as of a moment; nil for none.
	Instruments func(now time.Time) procedure.Instruments
	// Rules is the rule profile that the site has named; nil for none.
	Rules *rules.Profile
	// Training is what is known of who is trained; nil for nothing, so that nobody has to
	// be supervised.
	Training Training
	// Reckoned is told of each group that was looked at, and whether it is over.
	Reckoned func(f *File, st *State, over bool)
}

// Open opens the journal. It fails where something of the
// configuration is missing, or the store cannot be read; a journal that does
// not hold opens, shows that it is broken, and takes no entry.
func Open(ctx context.Context, c Config) (*Server, error) {
	if c.Log == nil || c.Vault == nil || c.Clock == nil || c.Random == nil || c.Zones == nil || c.Passwords == nil || c.PINs == nil {
		return nil, errors.New("web: Log, Vault, Clock, Random, Zones, Passwords and PINs must be given")
	}
	if c.Limits == (people.Limits{}) {
		c.Limits = people.DefaultLimits()
	}
	if err := c.Limits.Check(); err != nil {
		return nil, err
	}
	c.Zones = c.Zones.Kept()
	CollectSeldom()
	if _, err := c.Zones(c.Zone); err != nil && c.Zone != "" {
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
	l, err := c.lab(ctx)
	if err != nil {
		return nil, err
	}
	if c.Witness != nil {
		l.Watch(ctx, c.Witness)
	}
	if _, err := c.Vault.Sweep(ctx, machine()); err != nil {
		return nil, err
	}
	s := &Server{Config: c, machine: machine, Lab: l, nonces: newNonces(), counts: newMetrics(), writeTimeout: writeTimeout, Settled: make(chan struct{})}
	s.Kept = accounts.New(accounts.Config{Vault: c.Vault, Clock: machine, Passwords: c.Passwords, PINs: c.PINs, People: s.Person})
	if err := s.begin(ctx); err != nil {
		return nil, err
	}
	s.Follow()
	return s, nil
}

// CollectSeldom sets when the collector of the language goes to work: once what is in use has
// grown by a quarter and 64 MB. By itself it would be when that has doubled, which in a
// young site is every few pages, each of which takes some milliseconds more, and in one
// of many years gives twice the memory. The ballast is never written to, so that the
// system gives none for it; it is in pieces, since one piece that lies where something
// lay before is cleared as a whole, and then there.
// Where who runs the program has set GOGC, that holds instead.
var CollectSeldom = sync.OnceValue(func() (ballast [256][]byte) {
	if os.Getenv("GOGC") != "" {
		return ballast
	}
	debug.SetGCPercent(25)
	for i := range ballast {
		ballast[i] = make([]byte, 1<<20)
	}
	return ballast
})

// Close lets the open streams and what goes on behind the pages end, so that the
// program can. The log and the vault stay open; who opened them closes them.
func (s *Server) Close() {
	s.Lab.Close()
	if s.endBehind != nil {
		s.endBehind()
	}
}

// PracticeMark is written on everything made in practice.
const PracticeMark = "PRACTICE - not for patient use"

// Mark is what is written on everything made in practice; empty elsewhere.
func (s *Server) Mark() string {
	switch says := s.ClockSays(); {
	case !s.Practice:
		return ""
	case says != "":
		return PracticeMark + ", " + says
	}
	return PracticeMark
}
