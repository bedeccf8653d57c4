package postgres

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"maps"
	"net"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"vialwright/store"
)

// IsAddress tells whether s is the address of a database rather than the name
// of a file: it begins with postgres:// or postgresql://.
func IsAddress(s string) bool {
	return strings.HasPrefix(s, "postgres://") || strings.HasPrefix(s, "postgresql://")
}

const (
	lockWait = "10s"           // for another bench
	idleWait = "5s"            // for a client between the two exchanges of an append; shorter than lockWait
	dialWait = 5 * time.Second // to each host that is named
	byeWait  = 5 * time.Second
)

// settings are asked for by every connection when it is made, so that none
// can go without. They prevail over the address and over what an
// administrator set for the user or the database.
var settings = map[string]string{
	"synchronous_commit":            "on",
	"default_transaction_isolation": "read committed",
	"search_path":                   "pg_catalog", // every table is named with its schema
	"lock_timeout":                  lockWait,
	"statement_timeout":             "0",
	"jit":                           "off",
	"tcp_keepalives_idle":           "10", // a bench that lost its power: others wait for what it had sent
	"tcp_keepalives_interval":       "5",
	"tcp_keepalives_count":          "3",
}

// A connection that can append and one that cannot have further settings. The
// second becomes one only when it is made: until then the driver may have asked
// whether the server takes writes.
var (
	writing = map[string]string{
		"default_transaction_read_only": "off", "idle_in_transaction_session_timeout": idleWait,
		"enable_seqscan": "off", // a trigger finds the record before each one by the primary key, also where it was planned when there were few
	}
	reading = map[string]string{
		"default_transaction_read_only": "off", "idle_in_transaction_session_timeout": "0",
		"enable_sort": "off", // pages go along the primary key, whatever the statistics say
	}
)

const onlyRead = "SET default_transaction_read_only = on"

// dialer notices within a minute that a server which owes an answer is gone.
var dialer = net.Dialer{KeepAliveConfig: net.KeepAliveConfig{Enable: true, Idle: 30 * time.Second, Interval: 10 * time.Second, Count: 3}}

// connecting marks the context of a connection that is being made.
type connecting struct{}

// dial refuses what the driver would do by itself when a connection is lost: ask
// the server to stop what it does. A commit that waits for a standby server would
// give up that waiting, and be there without having reached it. Nothing of ours is
// long: the server notices that its client is gone.
func dial(ctx context.Context, network, address string) (net.Conn, error) {
	if ctx.Value(connecting{}) == nil {
		return nil, errors.New("a request is not taken back")
	}
	return dialer.DialContext(ctx, network, address)
}

// configure reads an address and adds the settings.
func configure(address string, further map[string]string) (*pgx.ConnConfig, error) {
	if !IsAddress(address) {
		return nil, &store.Error{
			Code: store.CodeFailed, Msg: "this is not the address of a database",
			Hint: "write it as postgres://USER@HOST/DATABASE",
		}
	}
	cfg, err := pgx.ParseConfig(address)
	if err != nil { // its text may hold a password
		return nil, &store.Error{
			Code: store.CodeFailed, Msg: "the address of the database cannot be read",
			Hint: "write it as postgres://USER@HOST/DATABASE, with %XX for what has a meaning in an address",
		}
	}
	cfg.DialFunc = dial
	if cfg.ConnectTimeout == 0 {
		cfg.ConnectTimeout = dialWait
	}
	if cfg.RuntimeParams["application_name"] == "" {
		cfg.RuntimeParams["application_name"] = "vialwright"
	}
	maps.Copy(cfg.RuntimeParams, settings)
	maps.Copy(cfg.RuntimeParams, further)
	if err := private(cfg); err != nil {
		return nil, err
	}
	return cfg, nil
}

// connections gives the settings of connections to the server that takes the
// writes: those that append, and those that read what was appended. Where several
// hosts are named, and not which of them is meant, it is that one.
func connections(address string) (writers, readers *pgx.ConnConfig, err error) {
	if writers, err = configure(address, writing); err != nil {
		return nil, nil, err
	}
	if readers, err = configure(address, reading); err != nil {
		return nil, nil, err
	}
	for _, cfg := range []*pgx.ConnConfig{writers, readers} {
		if cfg.ValidateConnect == nil && slices.ContainsFunc(cfg.Fallbacks, func(f *pgconn.FallbackConfig) bool { return f.Host != cfg.Host || f.Port != cfg.Port }) {
			cfg.ValidateConnect = pgconn.ValidateConnectTargetSessionAttrsReadWrite
		}
	}
	toRead(readers)
	return writers, readers, nil
}

// toRead has the connections of a configuration take no writes.
func toRead(cfg *pgx.ConnConfig) {
	cfg.AfterConnect = func(ctx context.Context, conn *pgconn.PgConn) error {
		return conn.Exec(ctx, onlyRead).Close()
	}
}

// private refuses an address that leads beyond this machine without a
// certificate that proves the server: anyone who is between could read what is
// recorded, and answer in its place.
func private(cfg *pgx.ConnConfig) error {
	check := func(host string, port uint16, t *tls.Config) error {
		network, _ := pgconn.NetworkAddress(host, port)
		if network == "unix" || host == "localhost" || net.ParseIP(host).IsLoopback() || t != nil && !t.InsecureSkipVerify {
			return nil
		}
		return &store.Error{
			Code: CodeUnsafe, Msg: fmt.Sprintf("the database is on another machine, %s, and nothing in its address has it prove that it is the one meant", host),
			Hint: "add sslmode=verify-full to the address, and sslrootcert=FILE with the certificate that the server's is signed by",
		}
	}
	err := check(cfg.Host, cfg.Port, cfg.TLSConfig)
	for _, f := range cfg.Fallbacks {
		if err == nil {
			err = check(f.Host, f.Port, f.TLSConfig)
		}
	}
	return err
}
