package postgres

import (
	"context"
	"strings"

	"github.com/jackc/pgx/v5"

	"vialwright/store"
)

// powers are the reasons for which the user of a connection could alter records,
// past the triggers: what a bench needs is to select and to insert.
const powers = `
SELECT current_user::text, coalesce(current_setting('synchronous_standby_names'), '') <> '', array_remove(ARRAY[
  CASE WHEN current_setting('is_superuser') = 'on' THEN 'is a superuser' END,
  CASE WHEN pg_has_role(c.relowner, 'MEMBER') THEN 'owns the tables of the journal' END,
  CASE WHEN pg_has_role(n.nspowner, 'MEMBER') THEN 'owns the schema of the journal' END,
  CASE WHEN has_schema_privilege(n.oid, 'CREATE') THEN 'may create objects in the schema of the journal' END,
  CASE WHEN has_table_privilege(c.oid, 'UPDATE, DELETE, TRUNCATE, TRIGGER, REFERENCES') THEN 'may do more with the records than select and insert' END,
  CASE WHEN r.rolcreaterole THEN 'may create roles' END,
  CASE WHEN r.rolreplication THEN 'may replicate' END,
  CASE WHEN pg_has_role('pg_execute_server_program', 'MEMBER') OR pg_has_role('pg_write_server_files', 'MEMBER') THEN 'may change files of the server' END
], NULL)
FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace, pg_roles r
WHERE c.oid = 'vialwright.record'::regclass AND r.rolname = current_user`

// Exposed says in sentences what the database does not keep a journal from: being
// altered by the user that appends, and being lost with the machine that it is on.
// It is empty where another user owns the tables and a synchronous standby server
// is named. Errors: as of [Open].
func (l *Log) Exposed(ctx context.Context) (sentences []string, err error) {
	var user string
	var standby bool
	var reasons []string
	err = l.readers.ask(ctx, "asking for the rights of the user", func(conn *pgx.Conn) error {
		return conn.QueryRow(ctx, powers).Scan(&user, &standby, &reasons)
	})
	if err != nil {
		return nil, err
	}
	if len(reasons) > 0 {
		sentences = append(sentences, "The database user "+user+" could alter records: it "+strings.Join(reasons, ", it ")+
			". Let another user own the journal, with vialwright prepare-database.")
	}
	if !standby {
		sentences = append(sentences, "No synchronous standby server is named in synchronous_standby_names: "+
			"should the machine of the database be lost, what was recorded since its last backup is lost with it.")
	}
	return sentences, nil
}

// Grant lets a role that is there select and insert records, and nothing else with
// them. The address is that of the owner. Errors: as of [Open], and CodeFailed where
// there is no such role.
func Grant(ctx context.Context, address, role string) error {
	b, err := Connect(address)
	if err != nil {
		return err
	}
	defer b.Close()
	to := pgx.Identifier{role}.Sanitize()
	return b.Use(ctx, func(conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, `BEGIN;
			REVOKE ALL ON ALL TABLES IN SCHEMA vialwright FROM `+to+`; REVOKE ALL ON SCHEMA vialwright FROM `+to+`;
			GRANT USAGE ON SCHEMA vialwright TO `+to+`;
			GRANT SELECT ON vialwright.layout TO `+to+`;
			GRANT SELECT, INSERT ON vialwright.record TO `+to+`;
			COMMIT`)
		if hasState(err, stateNoRole) {
			return &store.Error{
				Code: store.CodeFailed, Msg: "the database has no role " + role,
				Hint: `create it first, as in: CREATE ROLE ` + to + ` LOGIN; and give it a password with \password`, Err: err,
			}
		}
		return err
	})
}
