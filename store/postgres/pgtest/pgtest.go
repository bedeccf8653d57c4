// Package pgtest gives a test a PostgreSQL server.
//
// [Start] makes a cluster in a directory of its own with the programs of an
// installed PostgreSQL (Debian's package postgresql, or whatever is on the
// PATH), on a Unix socket that only its owner can reach, with the settings a
// server has by default: fsync, full_page_writes and synchronous_commit are
// on. The server ends with the test, and with the process should that be
// killed. As root, which PostgreSQL refuses, it runs as the user postgres.
//
// [Shared] is one such server for all tests of a package; TestMain ends it
// with [Stop]. Where VIALWRIGHT_TEST_POSTGRES holds the address of a server,
// with a user that may create databases, that one is used.
//
// Without the programs and without an address a test is skipped, which says
// what to install; with CI=true it fails.
package pgtest

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5"
)

// addressEnv names a server to be used in place of one of our own.
const addressEnv = "VIALWRIGHT_TEST_POSTGRES"

// Server is a server with one database after another.
type Server struct {
	base    *url.URL // address of the database postgres
	cluster *cluster // nil when the server is not ours
}

var shared struct {
	sync.Mutex
	server *Server
}

// Shared gives the server that the tests of a package share. With -short there is
// none, and the test is skipped; so does [Start].
func Shared(t testing.TB) *Server {
	t.Helper()
	shared.Lock()
	defer shared.Unlock()
	if shared.server != nil {
		return shared.server
	}
	if address := os.Getenv(addressEnv); address != "" {
		base, err := url.Parse(address)
		if err != nil {
			t.Fatalf("pgtest: %s is not an address", addressEnv)
		}
		shared.server = &Server{base: base}
		return shared.server
	}
	shared.server = start(t)
	return shared.server
}

// Stop ends the shared server if there is one of our own. Call it once, after
// the tests.
func Stop() {
	shared.Lock()
	defer shared.Unlock()
	if shared.server != nil && shared.server.cluster != nil {
		shared.server.cluster.remove()
	}
	shared.server = nil
}

// Start gives a server of the test's own, which the test may kill. An address
// in VIALWRIGHT_TEST_POSTGRES is not used for that.
func Start(t testing.TB) *Server {
	t.Helper()
	s := start(t)
	t.Cleanup(s.cluster.remove)
	return s
}

func start(t testing.TB) *Server {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: no database server is started")
	}
	programs, err := findPrograms()
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("pgtest: %v", err)
		}
		t.Skipf("no PostgreSQL server to test with: %v", err)
	}
	c, err := newCluster(programs)
	if err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	if err := c.run(); err != nil {
		c.remove()
		t.Fatalf("pgtest: %v", err)
	}
	return &Server{base: c.address(), cluster: c}
}

// StartPair gives two servers of the test's own: a primary one, and one that
// follows it, which it waits for with every commit.
func StartPair(t testing.TB) (primary, standby *Server) {
	t.Helper()
	primary = start(t)
	t.Cleanup(primary.cluster.remove)
	primary.Halt(t)
	second, err := primary.cluster.standby()
	if err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	t.Cleanup(second.remove)
	standby = &Server{base: second.address(), cluster: second}
	primary.Restart(t, "synchronous_standby_names=*")
	standby.Restart(t, "primary_conninfo=host="+primary.cluster.dir+" user=postgres")
	return primary, standby
}

// Promote makes a server that follows another one that takes writes.
func (s *Server) Promote(t testing.TB) {
	t.Helper()
	s.exec(t, "SELECT pg_promote()")
}

// Either gives the address of a database on this server or another, whichever
// takes writes.
func (s *Server) Either(other *Server, database string) string {
	address := *s.base
	address.Path = "/" + database
	query := address.Query()
	query.Set("host", s.cluster.dir+","+other.cluster.dir)
	query.Set("target_session_attrs", "read-write")
	address.RawQuery = query.Encode()
	return address.String()
}

var databases atomic.Int64

// Database makes an empty database and gives its address. On a server that is
// not ours it is dropped at the end of the test.
func (s *Server) Database(t testing.TB) string {
	t.Helper()
	name := fmt.Sprintf("vialwright_test_%d_%d", os.Getpid(), databases.Add(1))
	s.exec(t, "CREATE DATABASE "+name)
	if s.cluster == nil {
		t.Cleanup(func() { s.exec(t, "DROP DATABASE "+name+" WITH (FORCE)") })
	}
	return s.Address(name)
}

// Address gives the address of a database by name.
func (s *Server) Address(database string) string {
	address := *s.base
	address.Path = "/" + database
	return address.String()
}

// Role makes a role that may connect, and gives the address of a database for it.
// Only a server that the test started is asked for one.
func (s *Server) Role(t testing.TB, address, role string) string {
	t.Helper()
	s.own(t)
	s.exec(t, "CREATE ROLE "+role+" LOGIN")
	u, err := url.Parse(address)
	if err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	u.User = url.User(role)
	return u.String()
}

func (s *Server) exec(t testing.TB, sql string) {
	t.Helper()
	ctx := context.Background() // t's own has ended when a cleanup runs
	conn, err := pgx.Connect(ctx, s.base.String())
	if err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx, sql); err != nil {
		t.Fatalf("pgtest: %s: %v", sql, err)
	}
}

// Kill kills the first process of the server at once, as a power cut would;
// the others notice and end themselves. [Server.Restart] recovers.
func (s *Server) Kill(t testing.TB) {
	t.Helper()
	s.own(t)
	if err := s.cluster.kill(); err != nil {
		t.Fatalf("pgtest: %v", err)
	}
}

// Halt ends the server in an orderly way.
func (s *Server) Halt(t testing.TB) {
	t.Helper()
	s.own(t)
	if err := s.cluster.halt(); err != nil {
		t.Fatalf("pgtest: %v", err)
	}
}

// Restart starts the server after [Server.Kill] or [Server.Halt], with
// further settings if any are given, each "name=value".
func (s *Server) Restart(t testing.TB, settings ...string) {
	t.Helper()
	s.own(t)
	if err := s.cluster.run(settings...); err != nil {
		t.Fatalf("pgtest: %v", err)
	}
}

// RestartAsStandby starts the server, which has to be halted, as a standby that
// waits for a primary server that never comes: it can be read.
func (s *Server) RestartAsStandby(t testing.TB) {
	t.Helper()
	s.own(t)
	if err := os.WriteFile(filepath.Join(s.cluster.data(), "standby.signal"), nil, 0o644); err != nil {
		t.Fatalf("pgtest: %v", err)
	}
	s.Restart(t)
}

func (s *Server) own(t testing.TB) {
	t.Helper()
	if s.cluster == nil {
		t.Fatal("pgtest: this server is not ours to stop")
	}
}
