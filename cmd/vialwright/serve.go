package main

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"time"

	"vialwright/fact"
	"vialwright/pack/aside"
	"vialwright/people/secret"
	"vialwright/store"
	"vialwright/store/vault"
	"vialwright/web"
	"vialwright/web/kit"
	"vialwright/witness/keep"
)

// serveCmd opens the bench in a browser.
type serveCmd struct {
	Journal  string `placeholder:"JOURNAL" help:"The journal, a PATH or postgres://...; made if there is none. With --practice it may be left out."`
	Key      string `placeholder:"FILE" help:"The site's key, made at the first start; PATH.key if not given. It must be given where the journal is in a database."`
	Listen   string `default:"127.0.0.1:8077" help:"Address to listen on."`
	Practice bool   `help:"Open an invented laboratory; every screen, page and label is marked as practice."`
	Past     int    `placeholder:"N" help:"With --practice and a new journal: invent N finished preparations, as site experience, a year of a second meter and a quarter of the hot lab, both with faults to find."`
	Site     string `placeholder:"FILE" help:"A case file whose zone, policy and meters are those of the site, for the first day."`
	Zone     string `placeholder:"ZONE" help:"The zone of the site, such as Atlantic/Azores, where --site does not say it."`
	CertFile string `placeholder:"FILE" help:"TLS certificate; needed to listen beyond this machine."`
	KeyFile  string `placeholder:"FILE" help:"The key of the TLS certificate."`
	Metrics  string `placeholder:"FILE" help:"A file with the bearer token that opens /metrics to a program: 16 characters or more, readable by its owner alone."`
	Meters   string `placeholder:"FILE" help:"A YAML file with the activity meters that are connected, and what their lines look like."`
	Rules    string `placeholder:"PROFILE" help:"The rule profile that infusions are held against: us or another, or the path of the site's own. Without it nothing says which paragraph applies; with --past it is us-nc."`
	Sign     string `placeholder:"FILE" help:"The key that signs the heads of the journal for its witnesses; 'vialwright key' makes one. Not in the folder of the journal."`
	askFlags
}

func (serveCmd) Help() string {
	return `Opens the hot lab in a browser: a board of the day's orders and vials, and for each preparation a bench from readiness to closing.

  vialwright serve --practice
  vialwright serve --journal lab.vialwright --site site.yaml
  vialwright serve --journal postgres://bench@server/lab --key lab.key --site site.yaml

With --meters FILE the bench shows what the activity meters say, and a reading is taken with one key instead of typed. An example of the file, for the meter that simulate-meter plays:

` + metersExample + `
An address is tcp://host:port or serial:///dev/ttyUSB0?baud=9600&bits=8&parity=none&stop=1. The id is that of the meter in the settings.

Beside the journal stand two files: PATH.kept with accounts, sessions and half-typed forms, and PATH.key, the site's key, without which the PINs and passwords in PATH.kept cannot be checked. With a database the accounts are in it too, and only the key is a file, named by --key; every bench on one database needs a copy of the same key. Keep one more copy of the key apart from the others. Stop it with Ctrl-C; entries that were answered are on the disk.

With --sign and --witness a signed note of the journal's head goes to every place named: each hour, at each release of a dose, and when a record is closed. At the start the places are asked, and where they contradict the journal nothing is recorded, and every page says so. ` + witnessHelp + `
  vialwright serve --journal lab.vialwright --zone Atlantic/Azores --sign /etc/vialwright/heads.key --witness /mnt/suite/heads

` + whereHelp
}

func (c *serveCmd) Run(e *edge) (err error) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := c.check(); err != nil {
		return err
	}
	if c.Past > 0 && c.Rules == "" {
		c.Rules = pastRules
	}
	if c.Journal == "" {
		dir, err := os.MkdirTemp("", "vialwright-practice-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		c.Journal = filepath.Join(dir, "practice")
	}
	b, err := c.open(ctx, e)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, b.close()) }()
	ln, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return usageError("--listen: %v", err)
	}
	scheme := "http"
	if c.CertFile != "" {
		scheme = "https"
	}
	c.sayWitnesses(e, b)
	if err := c.sayExposed(ctx, e, b); err != nil {
		return journalError(c.Journal, err)
	}
	fmt.Fprintf(e.out, "Open %s://%s in a browser.\n", scheme, ln.Addr())
	if b.setup != "" {
		fmt.Fprintf(e.out, "Nobody has an account yet: the first one asks for the setup code %s\n", b.setup)
	}
	if c.Practice {
		fmt.Fprint(e.out, c.practiceWelcome())
	}
	if c.Rules == "" {
		fmt.Fprintln(e.out, noRules)
	}
	fmt.Fprintln(e.out, cautions)
	return c.serve(ctx, ln, b)
}

// check refuses what could not be served safely.
func (c *serveCmd) check() error {
	host, _, err := net.SplitHostPort(c.Listen)
	if err != nil {
		return usageError("--listen: %v", err)
	}
	ip := net.ParseIP(host)
	here := host == "localhost" || (ip != nil && ip.IsLoopback())
	switch {
	case c.Journal == "" && !c.Practice:
		return usageError("--journal is missing; name the journal, or open the invented laboratory with --practice")
	case c.keyPath() == "":
		return usageError("--key is missing: with a database there is no file for the site's key to stand beside; name one, and keep a copy of it elsewhere")
	case len(c.Witness) > 0 && c.Sign == "":
		return usageError("--witness is given and no key to sign with: name it with --sign; 'vialwright key' makes one")
	case c.Sign != "" && len(c.Witness) == 0:
		return usageError("--sign is given and no place that keeps the notes: name one with --witness")
	case c.Past < 0 || c.Past > mostPast:
		return usageError("--past %d is not 0 to %d preparations", c.Past, mostPast)
	case c.Past > 0 && !c.Practice:
		return usageError("--past invents preparations, and nothing in a journal of patients is invented; use it with --practice")
	case (c.CertFile == "") != (c.KeyFile == ""):
		return usageError("--cert-file and --key-file belong together")
	case !here && c.CertFile == "":
		return usageError("--listen %s is beyond this machine: passwords would travel in the clear; give --cert-file and --key-file", c.Listen)
	}
	return nil
}

// opened is everything that has to be closed again.
type opened struct {
	log    store.Log
	vault  vault.Vault
	server *web.Server
	setup  string
	meters *listening
	keeper *keep.Keeper
	// pair is the certificate that is shown, nil for none; token opens the metrics.
	pair  *tls.Certificate
	token string
	// unsound is why the journal is open for reading only; nil where it is not.
	unsound error
}

func (b *opened) close() error {
	var errs []error
	if b.server != nil {
		b.server.Close()
	}
	if b.meters != nil {
		b.meters.close()
	}
	if b.keeper != nil {
		b.keeper.Close()
	}
	if b.vault != nil {
		errs = append(errs, b.vault.Close())
	}
	if b.log != nil {
		errs = append(errs, b.log.Close())
	}
	return errors.Join(errs...)
}

func (c *serveCmd) open(ctx context.Context, e *edge) (b *opened, err error) {
	b = &opened{}
	defer func() {
		if err != nil {
			err = errors.Join(err, b.close())
		}
	}()
	if err := c.files(b); err != nil {
		return b, err
	}
	profile, err := e.rules(c.Rules)
	if err != nil {
		return b, err
	}
	zone, site, err := c.site(e)
	if err != nil {
		return b, err
	}
	now, clock := e.now, (*kit.PracticeClock)(nil)
	if c.Practice {
		clock = kit.NewPracticeClock(e.now)
		now = clock.Now
	}
	shown, err := c.meters(now, b)
	if err != nil {
		return b, err
	}
	passwords, pins, err := c.stores(ctx, e, b, zone)
	if err != nil {
		return b, err
	}
	if c.Practice {
		if err := openPractice(ctx, b.log, e, c.Past); err != nil {
			return b, err
		}
	}
	if b.keeper, err = c.keeper(c.Journal, c.Sign, besideFile(c.Journal, c.keyPath()), b.log, b.unsound, e); err != nil {
		return b, err
	}
	key, err := siteKey(c.keyPath(), true) // keepers has made one
	if err != nil {
		return b, err
	}
	setup, logger, checkpoint := setupCode(), slog.New(slog.NewJSONHandler(e.err, nil)), besideCheckpoint(c.Journal, c.keyPath())
	room := aside.New(filepath.Dir(checkpoint), func(err error) {
		logger.Warn("memory grows with the years", "why", err)
	})
	b.server, err = web.New(ctx, web.Config{Meters: shown, SettlingTrials: 200, Rules: profile, Config: kit.Config{
		Log: b.log, Vault: b.vault, Clock: e.now, Random: rand.Reader, Zones: loadZone, Zone: zone, Site: site,
		Passwords: passwords, PINs: pins, Practice: c.Practice, PracticeClock: clock, Invented: kit.Invented{People: c.staff(), Password: practicePassword, PIN: practicePIN, Parts: practiceParts},
		Setup: setup, PlainHTTP: c.CertFile == "", MetricsToken: b.token, Store: storeName(c.Journal),
		Logger: logger, Room: room, Version: "vialwright " + release, Witness: b.keeper, Checkpoints: checkpoints{checkpoint, key},
	}})
	if err != nil || !b.server.NeedsSetup() || b.server.Lab.Broken() != nil {
		return b, err
	}
	if c.Practice {
		return b, b.server.Enrol(ctx, c.staff(), practicePassword, practicePIN)
	}
	b.setup = setup
	return b, nil
}

// sayWitnesses says what was found when the witnesses were asked, and what is not
// protected where there are none.
func (c *serveCmd) sayWitnesses(e *edge, b *opened) {
	for _, f := range b.keeper.Faults() {
		word := "Look"
		if f.Stop {
			word = "STOP, nothing is recorded"
		}
		fmt.Fprintf(e.out, "%s: %s: %s\n", word, f.Code, f.Error())
	}
	if t, ok := b.log.(interface{ Torn() bool }); ok && t.Torn() && b.unsound == nil {
		fmt.Fprintln(e.out, "Note: the last append to the journal was not whole when it was opened, as after a power cut. It had been acknowledged to nobody, unless what was noted of the journal says otherwise.")
	}
	if len(c.Witness) == 0 && !c.Practice {
		fmt.Fprintln(e.out, unwitnessed)
	}
}

// site reads the zone, the policy and the meters of the site.
func (c *serveCmd) site(e *edge) (string, []fact.Fact, error) {
	zone := c.Zone
	var facts []fact.Fact
	if c.Site != "" {
		f, err := e.readCase(c.Site)
		if err != nil {
			return "", nil, err
		}
		for _, one := range f.Facts {
			switch x := one.(type) {
			case *fact.Site:
				if zone == "" {
					zone = x.Zone
				}
			case *fact.Policy, *fact.Meter:
				facts = append(facts, x)
			}
		}
	}
	if zone == "" { // that of the journal
		return "", facts, nil
	}
	_, err := e.zone(zone)
	return zone, facts, err
}

// keepers make the two keepers of secrets with the site's key, which is made
// at the first start, when no account is known. Each has a gate of its own, so that
// many who sign in keep nobody from signing. The password of a practice laboratory is
// printed, and protected like a PIN.
func keepers(path string, known, practice bool) (passwords, pins *secret.Keeper, err error) {
	key, err := siteKey(path, known)
	if err != nil {
		return nil, nil, err
	}
	word := secret.Options{Key: key}
	if practice {
		word.Params = secret.OWASP()
	}
	if passwords, err = secret.New(word); err != nil {
		return nil, nil, err
	}
	pins, err = secret.New(secret.Options{Params: secret.OWASP(), Key: key})
	return passwords, pins, err
}

// others are the rights that nobody but the owner of the key may have. Its group
// may read it: services are given their keys so.
const others fs.FileMode = 0o027

func siteKey(path string, known bool) (*secret.Key, error) {
	text, err := readPrivate("the site's key", path)
	if _, open := errors.AsType[*exit](err); open {
		return nil, err
	}
	if errors.Is(err, fs.ErrNotExist) && known {
		return nil, usageError("there are accounts, and the key %s that their passwords were hashed with is not there; bring back the copy of it, or name it with --key", path)
	}
	if errors.Is(err, fs.ErrNotExist) {
		var bits [32]byte
		if _, err := rand.Read(bits[:]); err != nil {
			return nil, err
		}
		text = []byte(hex.EncodeToString(bits[:]) + "\n")
		err = writeNew(path, text)
	}
	if err != nil {
		return nil, usageError("the site's key %s cannot be used: %v", path, reason(err))
	}
	bits, err := hex.DecodeString(strings.TrimSpace(string(text)))
	if err != nil || len(bits) != 32 {
		return nil, usageError("%s is not a site's key of 64 hexadecimal digits; bring back the copy of it", path)
	}
	return secret.NewKey([32]byte(bits))
}

// readPrivate reads a file that nobody but its owner and group may read.
func readPrivate(what, path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err == nil && runtime.GOOS != "windows" && info.Mode().Perm()&others != 0 {
		return nil, usageError("%s %s can be read or changed by others on this machine (mode %#o); take it from them with: chmod 600 %s", what, path, info.Mode().Perm(), path)
	}
	return os.ReadFile(path)
}

// leastToken is the shortest token that opens the metrics, in characters: one that is
// guessed tells how busy a site is.
const leastToken = 16

// files reads what stands in files of its own: the certificate and the token of the
// metrics.
func (c *serveCmd) files(b *opened) (err error) {
	if b.pair, err = c.certificate(); err != nil || c.Metrics == "" {
		return err
	}
	text, err := readPrivate("the token of the metrics in", c.Metrics)
	if _, open := errors.AsType[*exit](err); open {
		return err
	}
	if err != nil {
		return usageError("--metrics %s cannot be read: %v", c.Metrics, reason(err))
	}
	if b.token = strings.TrimSpace(string(text)); len(b.token) < leastToken {
		return usageError("--metrics %s holds no token of %d characters or more; make one of random letters and digits", c.Metrics, leastToken)
	}
	return nil
}

// writeNew writes a file that was not there, and has it on the disk.
func writeNew(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Sync(), f.Close())
}

// setupCode is 40 random bits in base 16: it is typed once, from the screen
// beside, and guessing is slowed down by the server.
func setupCode() string {
	b := make([]byte, 5)
	_, _ = rand.Read(b) // crypto/rand.Read never fails
	return hex.EncodeToString(b)
}

// grace is how long requests under way may take when the program is stopped.
const grace = 10 * time.Second

// slowest is how long an answer may take to be read. Streams, which have no end, have
// limits of their own.
const slowest = 2 * time.Minute

// patient is the server of the pages, which waits for no browser for ever.
func patient(h http.Handler) *http.Server {
	return &http.Server{
		Handler: h, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 30 * time.Second, WriteTimeout: slowest, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10,
	}
}

// serve answers until ctx ends, then lets what is under way finish.
func (c *serveCmd) serve(ctx context.Context, ln net.Listener, b *opened) error {
	h := patient(guard{next: b.server})
	if b.pair != nil {
		h.Handler = guard{b.server, b.pair.Leaf}
		h.TLSConfig = &tls.Config{Certificates: []tls.Certificate{*b.pair}, MinVersion: tls.VersionTLS12}
	}
	h.RegisterOnShutdown(b.server.Close)
	done := make(chan error, 1)
	go func() {
		if b.pair != nil {
			done <- h.ServeTLS(ln, "", "")
			return
		}
		done <- h.Serve(ln)
	}()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.Background(), grace)
	defer cancel()
	if err := h.Shutdown(end); err != nil {
		return err
	}
	if err := <-done; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
