package postgres

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"vialwright/store"
	"vialwright/store/postgres/pgtest"
	"vialwright/store/storetest"
)

// accident is what happens to the connection over which a record with the
// body "fateful" is sent.
type accident int

const (
	cutBefore accident = iota // it is cut, and nothing reaches the server
	cutAfter                  // all reaches the server, its answer is lost
	late                      // it is cut, and all reaches the server once release is closed
	silent                    // it stays open, and nothing goes through any more
)

// proxy stands between a log and its server.
type proxy struct {
	network  string // where the server is
	server   string
	accident accident
	times    atomic.Int32 // how often it happens; 0 for always
	met      atomic.Int32 // how often it could have happened
	release  chan struct{}
}

// through gives the address that leads to the database at address through p.
func (p *proxy) through(t *testing.T, address string) string {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	cfg, err := pgx.ParseConfig(address)
	if err != nil {
		t.Fatal(err)
	}
	p.network, p.server = pgconn.NetworkAddress(cfg.Host, cfg.Port)
	p.release = make(chan struct{})
	dir, err := os.MkdirTemp("", "proxy") // short, as the name of a socket has to be
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	listener, err := net.Listen("unix", filepath.Join(dir, ".s.PGSQL.5432"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { listener.Close() })
	go func() {
		for {
			client, err := listener.Accept()
			if err != nil {
				return // closed
			}
			go p.serve(client)
		}
	}()
	query := u.Query()
	query.Set("host", dir)
	query.Set("port", "5432")
	query.Set("sslmode", "disable")
	u.Host, u.RawQuery = "", query.Encode()
	return u.String()
}

// serve carries one connection. Whatever fails ends it, and the log notices.
func (p *proxy) serve(client net.Conn) {
	defer client.Close()
	server, err := net.Dial(p.network, p.server)
	if err != nil {
		return
	}
	defer server.Close()
	answers := make(chan struct{})
	go func() {
		defer close(answers)
		_, _ = io.Copy(client, server)
		client.Close()
	}()
	buffer := make([]byte, 1<<20)
	for {
		n, err := client.Read(buffer)
		if err != nil {
			server.Close()
			<-answers
			return
		}
		if bytes.Contains(buffer[:n], []byte{4, 210, 22, 46}) {
			return // the driver asks the server to stop what it does; that is lost too, else the outcome hangs on which is quicker
		}
		if bytes.Contains(buffer[:n], []byte("fateful")) && (p.met.Add(1) <= p.times.Load() || p.times.Load() == 0) {
			p.happen(client, server, buffer[:n])
			server.Close()
			<-answers
			return
		}
		if _, err := server.Write(buffer[:n]); err != nil {
			return
		}
	}
}

// happen lets the accident happen to the message that was read.
func (p *proxy) happen(client, server net.Conn, message []byte) {
	switch p.accident {
	case cutBefore:
		client.Close()
	case cutAfter, late:
		client.Close() // no answer gets through
		if p.accident == late {
			<-p.release
		}
		_, _ = server.Write(message)
		// The answer is dropped by the other half, which then sees the end.
		_, _ = server.Write([]byte{'X', 0, 0, 0, 4}) // Terminate
	case silent:
		<-p.release
		client.Close()
	}
}

// TestLost: whatever happens to the connection while records are being
// stored, the append finds out what the server has, and goes on; where it cannot
// it is unsure, the next look at the log is final, and the same handle goes on.
func TestLost(t *testing.T) {
	for _, c := range []struct {
		name   string
		what   accident
		times  int32
		unsure bool
		stored bool
	}{
		{"before the message, once", cutBefore, 1, false, true},
		{"before the message, again and again", cutBefore, 0, true, false},
		{"before the answer", cutAfter, 0, false, true},
		{"no answer", silent, 0, true, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := &proxy{accident: c.what}
			p.times.Store(c.times)
			_, address := makeLog(t)
			l := open(t, p.through(t, address))
			want := appendBodies(t, l, "one")
			if c.what == silent {
				l.patience = 50 * time.Millisecond
			}
			batch := storetest.Chain(want[0].Head(), []byte("fateful"), []byte("and one more"))
			if err := l.Append(t.Context(), want[0].Head(), batch...); (store.CodeOf(err) == store.CodeUnsure) != c.unsure || (err != nil) != c.unsure {
				t.Fatalf("Append: %v", err)
			}
			close(p.release)
			if c.stored {
				want = append(want, batch...)
			}
			got, err := readAll(t.Context(), l)
			if err != nil || len(got) != len(want) {
				t.Fatalf("%d records, want %d (%v)", len(got), len(want), err)
			}
			l.patience = patience
			appendBodies(t, l, "next")
		})
	}
}

// lostLate gives a log with an append that was cut off and has not reached the
// server, and its last record.
func lostLate(t *testing.T) (l *Log, p *proxy, address string, record store.Record) {
	p = &proxy{accident: late}
	_, address = makeLog(t)
	l = open(t, p.through(t, address))
	head := appendBodies(t, l, "one")[0].Head()
	l.patience = 50 * time.Millisecond
	batch := storetest.Chain(head, []byte("fateful"))
	if err := l.Append(t.Context(), head, batch...); store.CodeOf(err) != store.CodeUnsure {
		t.Fatalf("Append: %v", err)
	}
	l.patience = patience
	return l, p, address, batch[0]
}

// TestLostLate: the client is cut off, and the server gets the records only
// later. Nobody may believe in the meantime that they are not there: Head and
// Read of the handle wait.
func TestLostLate(t *testing.T) {
	for name, look := range map[string]func(context.Context, *Log) (store.Head, error){
		"Head": func(ctx context.Context, l *Log) (store.Head, error) { return l.Head(ctx) },
		"Read": func(ctx context.Context, l *Log) (head store.Head, err error) {
			records, err := readAll(ctx, l)
			if len(records) > 0 {
				head = records[len(records)-1].Head()
			}
			return head, err
		},
	} {
		t.Run(name, func(t *testing.T) {
			l, p, address, record := lostLate(t)
			type result struct {
				head store.Head
				err  error
			}
			seen := make(chan result)
			go func() {
				head, err := look(t.Context(), l)
				seen <- result{head, err}
			}()
			awaitWaiter(t, raw(t, address))
			close(p.release)
			if got := <-seen; got.err != nil || got.head != record.Head() {
				t.Errorf("record %d is the last, want %d (%v)", got.head.Seq, record.Seq, got.err)
			}
		})
	}
}

// TestLostLateOvertaken: what arrives late, when another program has written
// meanwhile, is not stored.
func TestLostLateOvertaken(t *testing.T) {
	l, p, address, record := lostLate(t)
	theirs := appendBodies(t, open(t, address), "theirs")[0].Head()
	close(p.release)
	if got, err := l.Head(t.Context()); err != nil || got != theirs || got == record.Head() {
		t.Errorf("record %d is the last, want %d (%v)", got.Seq, theirs.Seq, err)
	}
}

// TestLostLateCancelled: anyone who waits to know can stop waiting, and asks
// again later.
func TestLostLateCancelled(t *testing.T) {
	l, p, address, record := lostLate(t)
	ctx, cancel := context.WithCancel(t.Context())
	result := make(chan error)
	go func() { _, err := l.Head(ctx); result <- err }()
	awaitWaiter(t, raw(t, address))
	cancel()
	if err := <-result; !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	close(p.release)
	if got, err := l.Head(t.Context()); err != nil || got != record.Head() {
		t.Errorf("record %d is the last, want %d (%v)", got.Seq, record.Seq, err)
	}
}

// TestLostBeside: what is kept beside a log has the same: a change is unsure,
// and the next look waits until the server is done with it.
func TestLostBeside(t *testing.T) {
	for _, c := range []struct {
		name   string
		what   accident
		stored bool
	}{
		{"before the message", cutBefore, false},
		{"before the answer", cutAfter, true},
		{"no answer", silent, false},
		{"late", late, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := &proxy{accident: c.what}
			address := pgtest.Shared(t).Database(t)
			conn := raw(t, address)
			mustExec(t, conn, "CREATE TABLE public.note (text text)")
			b, err := Connect(p.through(t, address))
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { b.Close() })
			const insert = "INSERT INTO public.note VALUES ($1) RETURNING 1"
			var one int
			if found, err := b.Change(t.Context(), insert, []any{"first"}, &one); err != nil || !found || one != 1 {
				t.Fatal(found, one, err)
			}
			mustExec(t, b.pool.idle[0], "SET idle_in_transaction_session_timeout = 0")
			if c.what == silent {
				b.patience = 50 * time.Millisecond
			}
			if _, err := b.Change(t.Context(), insert, []any{"fateful"}, &one); store.CodeOf(err) != store.CodeUnsure {
				t.Fatalf("Change: %v", err)
			}
			var n int
			look := make(chan error)
			go func() {
				look <- b.Use(t.Context(), func(conn *pgx.Conn) error {
					return conn.QueryRow(t.Context(), "SELECT count(*) FROM public.note").Scan(&n)
				})
			}()
			if c.what == late {
				awaitWaiter(t, conn)
			}
			close(p.release)
			if err := <-look; err != nil || (n == 2) != c.stored {
				t.Errorf("%d rows, %v", n, err)
			}
		})
	}
}

// TestBesideRefused: an error of the server leaves nothing, and nothing is open.
func TestBesideRefused(t *testing.T) {
	address := pgtest.Shared(t).Database(t)
	mustExec(t, raw(t, address), "CREATE TABLE public.note (text text CHECK (text <> ''))")
	b, err := Connect(address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	const insert = "INSERT INTO public.note VALUES ($1) RETURNING 1"
	var one int
	if _, err := b.Change(t.Context(), insert, []any{""}, &one); store.CodeOf(err) != store.CodeFailed || len(b.fences.lost) > 0 {
		t.Errorf("a check: %v", err)
	}
	if found, err := b.Change(t.Context(), "DELETE FROM public.note RETURNING 1", nil, &one); found || err != nil {
		t.Errorf("no row: %t, %v", found, err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := b.Change(ctx, insert, []any{"late"}, &one); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	if err := b.Use(t.Context(), func(conn *pgx.Conn) error {
		return conn.QueryRow(t.Context(), "SELECT count(*) FROM public.note").Scan(&one)
	}); err != nil || one != 0 {
		t.Errorf("%d rows, %v", one, err)
	}
}

// TestServerGone: an address where nobody answers is a failure with a way
// out, whatever is asked.
func TestServerGone(t *testing.T) {
	nowhere := "postgres://nobody:secret-word@/db?host=" + url.QueryEscape(t.TempDir())
	for name, way := range ways {
		l, err := way(t.Context(), nowhere)
		if l != nil || store.CodeOf(err) != store.CodeFailed || !strings.Contains(err.Error(), "does not answer") {
			t.Errorf("%s: %v", name, err)
		}
		if err != nil && strings.Contains(err.Error(), "secret-word") {
			t.Errorf("%s tells the password: %v", name, err)
		}
	}
}
