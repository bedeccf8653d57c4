//go:build !linux

package sqlite

import "errors"

func playLimit(string) error { return errors.New("Linux only") }
