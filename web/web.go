package web

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"time"

	"vialwright/procedure"
	"vialwright/rules"
	"vialwright/web/accounts"
	"vialwright/web/assets"
	"vialwright/web/board"
	"vialwright/web/documents"
	"vialwright/web/experience"
	"vialwright/web/hotlab"
	"vialwright/web/instruments"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/live"
	"vialwright/web/plan"
	"vialwright/web/practice"
	"vialwright/web/preparation"
	"vialwright/web/record"
	"vialwright/web/site"
	"vialwright/web/stock"
)

// Config is what the bench is made of.
type Config struct {
	kit.Config
	// Meters are the activity meters that are connected. Optional: without
	// them every reading is typed.
	Meters live.Meters
	// SettlingTrials is how many trials the settling clock makes for the time
	// that holds with 95 % probability, 20 or more. Optional: without it the
	// clock shows the best estimate.
	SettlingTrials int
	// Rules is the rule profile that infusions are held against. Optional: without
	// it nothing says which paragraph applies.
	Rules *rules.Profile
	// Patience is how long the page of the health waits for the store, and for the
	// vault. Optional: 3 s without it.
	Patience time.Duration
}

// Server is the bench. It is an http.Handler.
type Server struct {
	*kit.Server
	// Routes is the one list of addresses, each with the act it takes.
	Routes  []kit.Route
	bench   *preparation.Room
	handler http.Handler
}

// New opens the journal and puts the rooms together. It fails where something of
// the configuration is missing, or the store cannot be read; a journal that does
// not hold opens, shows that it is broken, and takes no entry.
func New(ctx context.Context, c Config) (*Server, error) {
	s, err := kit.Open(ctx, c.Config)
	if err != nil {
		return nil, err
	}
	past, curves := lessons.New(s.Lab, s.Zones, c.Room), lessons.NewCurves(s.Lab, s.Zones)
	charts, book := experience.New(past), lessons.NewInstruments(s.Lab, c.Rules)
	bench := preparation.New(s, c.Meters, c.SettlingTrials, past, curves)
	s.Locked, s.Rules = accounts.Locked, c.Rules
	s.Training = hotlab.NewTrainings(s.Lab)
	s.Instruments = func(now time.Time) procedure.Instruments { return book.Book(now, s.Location()) }
	routes := slices.Concat(
		kit.Routes(), accounts.Routes(), site.New(c.Meters, cmp.Or(c.Patience, 3*time.Second)).Routes(),
		board.New(s, past, book, stock.Forms, charts.Forms).Routes(), bench.Routes(), documents.Routes(),
		instruments.New(curves, book, past).Routes(), stock.Routes(), hotlab.New(c.Rules).Routes(), plan.New(book).Routes(), record.Routes(), charts.Routes(), practice.Routes(),
	)
	s.Begin(past.Begin)
	return &Server{s, routes, bench, s.Handler(routes, assets.Handler())}, nil
}

// ServeHTTP answers a request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Close lets the open streams and what is worked out beside them end, so that
// the program can. The log and the vault stay open; who opened them closes them.
func (s *Server) Close() {
	s.Server.Close()
	s.bench.Close()
}
