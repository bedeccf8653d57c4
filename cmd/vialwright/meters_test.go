package main

import (
	"strings"
	"testing"
)

func TestX(t *testing.T) {
	for _, s := range []string{"meters:\n"+ "  - id: M1\n    address: tcp://h:1\n    line: '{value} {unit}'\n",
	"meters:\n  - id: M1\n    address: tcp://h:1\n    line: '{value} {unt}'\n",
	"meters:\n  - id: M1\n    address: tcp://h\n    line: '{value} {unit}'\n",
	"meters:\n  - id: M1\n    address: tcp://h:1\n    line: '{value} {unit}'\n    colour: red\n",
	"meters:\n  - id: M1\n    address: tcp://h:1\n    line: '{value} {unit}'\n    line: x\n",
	"meters:\n  - id: M1\n    address: tcp://h:1\n    line: '{value} {unit}'\n    steady: 7\n",
	"meters:\n  - id: M1\n    address: tcp://h:1\n    line: '{value} {unit}'\n    checksum: xor\n",
	"meters:\n  - id: M1\n    address: tcp://h:1\n    line: '{value} {unit}'\n    stable: [a]\n",
	"meters:\n  - id: M1\n    address: tcp://h:1\n", "meters: []\n", "", "x: 1\n", "meters:\n - id: [\n", "a\n", "meters:\n - &a {id: M1}\n - *a\n", "meters: 7\n","---\nmeters: []\n---\nmeters: []\n",
	`{"meters":[{"id":"M1","address":"tcp://h:1","line":"{value} {unit}","units":{"MBQ":"MBq"}}]}`, metersExample,
	} {
		l, err := readMeters([]byte(s))
		t.Logf("%s\n   => %+v\n    => %v", strings.TrimSpace(s), len(l), err)
	}
}
