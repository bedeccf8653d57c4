// Package vialwright is the root of the module and holds no code. Its tests
// keep the house in order: which package may import what and why, that what
// is exported is documented, that no test sleeps or skips without a word,
// and how long a file and a function may be. The program is cmd/vialwright;
// docs/architecture.md says how the packages hang together.
package vialwright
