//go:build ignore

// Command run writes table_gen.go from table.txt in the current folder.
package main

import (
	"fmt"
	"os"

	"vialwright/nuclide/internal/gen"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "nuclide table:", err)
		os.Exit(1)
	}
}

func run() error {
	table, err := os.ReadFile("table.txt")
	if err != nil {
		return err
	}
	code, err := gen.Source(table)
	if err != nil {
		return err
	}
	return os.WriteFile("table_gen.go", code, 0o644)
}
