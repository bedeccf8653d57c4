package postgres

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/jackc/pgx/v5/pgconn"

	"vialwright/store"
)

// CodeUnsafe is the code of a store.Error that refuses to open a log on a
// server that is set up to lose what it has acknowledged, or over a network on
// which another could answer in its place.
const CodeUnsafe = "log-unsafe"

// SQLSTATE codes (PostgreSQL documentation, Appendix A).
const (
	stateInsufficientRights = "42501"
	stateLockNotAvailable   = "55P03"
	stateReadOnly           = "25006"
	stateUnique             = "23505"
	stateIntegrity          = "23000" // what our triggers raise
	stateNoDatabase         = "3D000"
	stateDataCorrupted      = "XX001"
	stateIndexCorrupted     = "XX002"
	stateDiskFull           = "53100"
	stateTooMany            = "53300"
	stateCannotConnectNow   = "57P03"
	stateNoColumn           = "42703"
	stateNoRole             = "42704"
)

func corrupt(how string) error {
	return &store.Error{
		Code: store.CodeCorrupt, Msg: "the journal is damaged: " + how,
		Hint: "stop writing to it; keep the database and compare it with a copy",
	}
}

// failure turns an error of the driver, after which nothing is stored, into
// one of ours: the context's own when that ended, a named one where a person
// can act on it.
func failure(ctx context.Context, doing string, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if store.CodeOf(err) != "" {
		return err
	}
	e, ok := errors.AsType[*pgconn.PgError](err)
	if !ok {
		return &store.Error{
			Code: store.CodeFailed, Msg: doing + ": the database server does not answer", Err: err,
			Hint: "look at the server and at the network, and try again",
		}
	}
	f := &store.Error{Code: store.CodeFailed, Msg: doing, Err: err}
	if named, ok := named[e.Code]; ok {
		f.Code, f.Hint = named.Code, named.Hint
		f.Msg = doing + ": " + named.Msg
	}
	return f
}

// named are the errors of a server that call for a way out of their own.
var named = map[string]store.Error{
	stateLockNotAvailable: {
		Code: store.CodeBusy, Msg: "another program is writing to it",
		Hint: "nothing was stored; try again",
	},
	stateReadOnly: {
		Code: store.CodeReadOnly, Msg: "the server takes no writes",
		Hint: "connect to the primary server, not to a standby",
	},
	stateInsufficientRights: {
		Code: store.CodeFailed, Msg: "the user has not been given the rights",
		Hint: "the owner of the journal or of the database can grant them",
	},
	stateNoDatabase: {
		Code: store.CodeMissing, Msg: "there is no such database",
		Hint: "look at its name, or create it with createdb",
	},
	stateDataCorrupted: {
		Code: store.CodeCorrupt, Msg: "the database is damaged",
		Hint: "stop writing to it; keep the database and compare it with a copy",
	},
	stateIndexCorrupted: {
		Code: store.CodeCorrupt, Msg: "an index of the database is damaged",
		Hint: "stop writing to it; keep the database and compare it with a copy",
	},
	stateDiskFull: {
		Code: store.CodeFailed, Msg: "no room is left on the server",
		Hint: "nothing was stored; make room and try again",
	},
	stateTooMany: {
		Code: store.CodeFailed, Msg: "the server has no connection left",
		Hint: "close what is not needed, or raise max_connections",
	},
	stateCannotConnectNow: {
		Code: store.CodeFailed, Msg: "the server is starting or stopping",
		Hint: "try again",
	},
}

// overtaken tells that a session which does not take the lock has inserted
// before us.
func overtaken(err error) bool {
	return hasState(err, stateUnique, stateIntegrity)
}

func hasState(err error, states ...string) bool {
	e, ok := errors.AsType[*pgconn.PgError](err)
	return ok && slices.Contains(states, e.Code)
}

// unsure is the outcome of a commit that was not answered.
func unsure(what, hint string, err error) error {
	return &store.Error{
		Code: store.CodeUnsure, Msg: "the connection to the database was lost while " + what + " being stored",
		Hint: hint, Err: err,
	}
}

func unsafeSetting(name string) error {
	return &store.Error{
		Code: CodeUnsafe, Msg: fmt.Sprintf("the server has %s off and can lose records after a power cut", name),
		Hint: "set it on in postgresql.conf, and start the server again",
	}
}
