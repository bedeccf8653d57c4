package postgres

import (
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"vialwright/store"
)

const (
	mark   = 0x5649414C // "VIAL"; the first key of the advisory lock too
	layout = 1
)

// refuse and follow make the functions of the triggers, written as the server
// writes them.
const (
	refuse = `CREATE OR REPLACE FUNCTION vialwright.refuse()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$BEGIN
  RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'integrity_constraint_violation';
END$function$`
	follow = `CREATE OR REPLACE FUNCTION vialwright.follow()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$BEGIN
  IF EXISTS (SELECT FROM added a WHERE a.seq <> 1 AND (SELECT r.seq FROM ONLY vialwright.record r WHERE r.seq = a.seq - 1) IS NULL
    OR octet_length(a.hash) <> 32 OR octet_length(a.body) NOT BETWEEN 1 AND 1048576) THEN
    RAISE EXCEPTION 'a record follows the last one by number, with a hash of 32 bytes and a body' USING ERRCODE = 'integrity_constraint_violation';
  END IF;
  RETURN NULL;
END$function$`
	// followAlone is of a log whose table checks the sizes, as all did once: the server reads such
	// checks anew for each statement, a tenth of what an append takes it.
	followAlone = `CREATE OR REPLACE FUNCTION vialwright.follow()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$BEGIN
  IF EXISTS (SELECT FROM added a WHERE a.seq <> 1 AND NOT EXISTS (SELECT FROM ONLY vialwright.record r WHERE r.seq = a.seq - 1)) THEN
    RAISE EXCEPTION 'a record follows the last one by number' USING ERRCODE = 'integrity_constraint_violation';
  END IF;
  RETURN NULL;
END$function$`
)

// create makes the objects of the log. The limits in follow are those of store.Check.
const create = `
CREATE TABLE vialwright.layout (
  alone boolean PRIMARY KEY DEFAULT true CHECK (alone),
  mark integer NOT NULL,
  version integer NOT NULL
);
CREATE TABLE vialwright.record (
  seq bigint PRIMARY KEY,
  hash bytea NOT NULL,
  body bytea NOT NULL
);
` + refuse + `;
` + follow + `;
CREATE TRIGGER layout_fixed BEFORE UPDATE OR DELETE OR TRUNCATE ON vialwright.layout
  FOR EACH STATEMENT EXECUTE FUNCTION vialwright.refuse('the layout of a journal is never changed');
CREATE TRIGGER record_follows AFTER INSERT ON vialwright.record REFERENCING NEW TABLE AS added
  FOR EACH STATEMENT EXECUTE FUNCTION vialwright.follow();
CREATE TRIGGER record_stays BEFORE DELETE OR TRUNCATE ON vialwright.record
  FOR EACH STATEMENT EXECUTE FUNCTION vialwright.refuse('a record is never removed');
CREATE TRIGGER record_unchanged BEFORE UPDATE ON vialwright.record
  FOR EACH STATEMENT EXECUTE FUNCTION vialwright.refuse('a record is never changed');
ALTER TABLE vialwright.layout ENABLE ALWAYS TRIGGER layout_fixed;
ALTER TABLE vialwright.record ENABLE ALWAYS TRIGGER record_follows;
ALTER TABLE vialwright.record ENABLE ALWAYS TRIGGER record_stays;
ALTER TABLE vialwright.record ENABLE ALWAYS TRIGGER record_unchanged;
REVOKE ALL ON vialwright.layout, vialwright.record FROM PUBLIC, CURRENT_USER;
GRANT SELECT, INSERT ON vialwright.layout, vialwright.record TO CURRENT_USER;`

// objects is what describe gives of a log that is as create made it. Indexes
// are left out, one more does no harm.
var objects = []string{
	"check layout CHECK (alone)",
	"column layout.alone boolean not null default true",
	"column layout.mark integer not null",
	"column layout.version integer not null",
	"column record.body bytea not null",
	"column record.hash bytea not null",
	"column record.seq bigint not null",
	"function " + follow,
	"function " + refuse,
	"key layout PRIMARY KEY (alone)",
	"key record PRIMARY KEY (seq)",
	"table layout",
	"table record",
	"trigger CREATE TRIGGER layout_fixed BEFORE DELETE OR UPDATE OR TRUNCATE ON vialwright.layout FOR EACH STATEMENT EXECUTE FUNCTION vialwright.refuse('the layout of a journal is never changed')",
	"trigger CREATE TRIGGER record_follows AFTER INSERT ON vialwright.record REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION vialwright.follow()",
	"trigger CREATE TRIGGER record_stays BEFORE DELETE OR TRUNCATE ON vialwright.record FOR EACH STATEMENT EXECUTE FUNCTION vialwright.refuse('a record is never removed')",
	"trigger CREATE TRIGGER record_unchanged BEFORE UPDATE ON vialwright.record FOR EACH STATEMENT EXECUTE FUNCTION vialwright.refuse('a record is never changed')",
}

// sized are in place of follow in a log whose table checks the sizes, and older is all of that.
var (
	sized = []string{
		"check record CHECK (((octet_length(body) >= 1) AND (octet_length(body) <= 1048576)))",
		"check record CHECK ((octet_length(hash) = 32))",
		"function " + followAlone,
	}
	older = append(slices.DeleteFunc(slices.Clone(objects), func(line string) bool { return line == "function "+follow }), sized...)
)

// describe lists what guards or shapes the tables of a schema, one line each,
// with a word added where it is not as create makes things: a table that is
// not kept through a crash, a row that is hidden, a trigger that is switched
// off.
const describe = `
WITH t AS (
  SELECT c.oid, c.relname, c.relkind, c.relpersistence, c.relrowsecurity
  FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
  WHERE n.nspname = $1 AND c.relkind NOT IN ('i', 'I', 'c')
)
SELECT line FROM (
  SELECT CASE relkind WHEN 'r' THEN 'table' ELSE 'relation of kind ' || relkind::text END || ' ' || relname
    || CASE relpersistence WHEN 'p' THEN '' ELSE ' unlogged' END
    || CASE WHEN relrowsecurity THEN ' with row security' ELSE '' END AS line FROM t
  UNION ALL
  SELECT 'column ' || relname || '.' || attname || ' ' || format_type(atttypid, atttypmod)
    || CASE WHEN attnotnull THEN ' not null' ELSE '' END
    || coalesce(' default ' || pg_get_expr(adbin, adrelid), '')
  FROM t JOIN pg_attribute a ON a.attrelid = t.oid
  LEFT JOIN pg_attrdef d ON d.adrelid = t.oid AND d.adnum = attnum
  WHERE attnum > 0 AND NOT attisdropped AND relkind = 'r'
  UNION ALL
  SELECT CASE contype WHEN 'c' THEN 'check' WHEN 'p' THEN 'key' ELSE 'constraint' END
    || ' ' || relname || ' ' || pg_get_constraintdef(k.oid)
  FROM t JOIN pg_constraint k ON k.conrelid = t.oid WHERE contype NOT IN ('n', 't')
  UNION ALL
  SELECT CASE tgenabled WHEN 'A' THEN '' ELSE 'switched-off ' END || 'trigger ' || pg_get_triggerdef(g.oid)
  FROM t JOIN pg_trigger g ON g.tgrelid = t.oid WHERE NOT tgisinternal
  UNION ALL
  SELECT 'rule ' || relname || '.' || rulename FROM t JOIN pg_rewrite r ON r.ev_class = t.oid
  UNION ALL
  SELECT 'function ' || CASE prokind WHEN 'a' THEN 'aggregate ' || proname ELSE trim(TRAILING E'\n' FROM pg_get_functiondef(p.oid)) END
  FROM pg_proc p JOIN pg_namespace n ON n.oid = p.pronamespace WHERE n.nspname = $1
) lines ORDER BY line COLLATE "C"`

// checkSchema refuses a log whose objects are not those of create: a dropped
// trigger no longer guards, an added one may change what is written.
func checkSchema(ctx context.Context, conn *pgx.Conn) error {
	found, err := described(ctx, conn, "vialwright")
	if err != nil {
		return failure(ctx, "reading the tables of the journal", err)
	}
	want, has := objects, 0
	for _, line := range sized {
		if slices.Contains(found, line) {
			has++
		}
	}
	if has > 1 { // one alone was put into a log that had none
		want = older
	}
	if how := difference(found, want); how != "" {
		return store.Altered(how)
	}
	return nil
}

// described gives the lines of describe for a schema.
func described(ctx context.Context, conn *pgx.Conn, schema string) ([]string, error) {
	rows, err := conn.Query(ctx, describe, schema)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[string])
}

// difference names a line that is not wanted or, failing that, one that is
// missing; "" when the two lists are the same.
func difference(found, want []string) string {
	for _, line := range found {
		if !slices.Contains(want, line) {
			return "found is " + short(line)
		}
	}
	for _, line := range want {
		if !slices.Contains(found, line) {
			return "missing is " + short(line)
		}
	}
	if len(found) != len(want) {
		return "one of its checks is there twice"
	}
	return ""
}

// short is a line without the body of a trigger or function.
func short(line string) string {
	head, _, _ := strings.Cut(line, " FOR EACH ")
	head, _, _ = strings.Cut(head, "\n")
	head = strings.Replace(head, "trigger CREATE TRIGGER", "trigger", 1)
	return strings.Replace(head, "function CREATE OR REPLACE FUNCTION", "function", 1)
}

// checkMarks refuses a database that holds no log of this layout.
func checkMarks(ctx context.Context, conn *pgx.Conn) error {
	var schema, table bool
	const look = "SELECT to_regnamespace('vialwright') IS NOT NULL, to_regclass('vialwright.layout') IS NOT NULL"
	err := conn.QueryRow(ctx, look).Scan(&schema, &table)
	if err != nil {
		return failure(ctx, "looking for the journal", err)
	}
	foreign := &store.Error{
		Code: store.CodeForeign, Msg: "the schema vialwright of the database is not a journal of this program",
		Hint: "use another database; this one was left as it is",
	}
	switch {
	case !schema:
		return &store.Error{Code: store.CodeMissing, Msg: "there is no journal in the database", Hint: "create it first"}
	case !table:
		return foreign
	}
	var id, version int64
	err = conn.QueryRow(ctx, "SELECT mark, version FROM ONLY vialwright.layout").Scan(&id, &version)
	switch {
	case errors.Is(err, pgx.ErrNoRows) || hasState(err, stateNoColumn) || (err == nil && id != mark):
		return foreign
	case err != nil:
		return failure(ctx, "reading the marks of the journal", err)
	}
	return store.CheckLayout(version, layout, "database")
}
