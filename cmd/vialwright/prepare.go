package main

import (
	"context"
	"fmt"

	"vialwright/store/postgres"
	"vialwright/store/vault/postgresvault"
)

// prepareCmd makes a database ready for a role that can add records and alter none.
type prepareCmd struct {
	Journal string `required:"" placeholder:"ADDRESS" help:"The database, as its owner connects to it: postgres://OWNER@HOST/DATABASE."`
	For     string `required:"" placeholder:"ROLE" help:"The role that 'serve' connects as. It must be there already."`
}

func (prepareCmd) Help() string {
	return `Makes the journal and the accounts in a database where they are not there, as the owner, and lets another role use them: select and insert records, and nothing with which it could alter one. 'serve' then connects as that role, and the owner's password is on no machine of the laboratory. Running it again does no harm.

  createdb lab
  psql lab -c 'CREATE ROLE bench LOGIN' -c '\password bench'
  vialwright prepare-database --journal postgres://owner@server/lab --for bench
  vialwright serve --journal postgres://bench@server/lab --key lab.key --zone Atlantic/Azores`
}

func (c *prepareCmd) Run(e *edge) error {
	if !postgres.IsAddress(c.Journal) {
		return usageError("--journal: this prepares a PostgreSQL database; write it as postgres://OWNER@HOST/DATABASE")
	}
	if err := c.prepare(context.Background()); err != nil {
		return journalError(c.Journal, err)
	}
	fmt.Fprintf(e.out, "%s is ready: %s can read and add records, and alter none.\n", shown(c.Journal), c.For)
	return nil
}

func (c *prepareCmd) prepare(ctx context.Context) error {
	log, err := openOrCreate(ctx, c.Journal)
	if err != nil {
		return err
	}
	if err := log.Close(); err != nil {
		return err
	}
	v, err := openVault(ctx, c.Journal)
	if err != nil {
		return err
	}
	if err := v.Close(); err != nil {
		return err
	}
	if err := postgres.Grant(ctx, c.Journal, c.For); err != nil {
		return err
	}
	return postgresvault.Grant(ctx, c.Journal, c.For)
}
