package instrument

import (
	"bytes"
	"encoding/hex"
	"os"
	"os/exec"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The "check" values of the Catalogue of parametrised CRC algorithms (G. Cook):
// the CRC of the nine digits, as quoted by the crc-catalog package, 2.5.0.
func TestCatalogueOfParametrisedCRCAlgorithms(t *testing.T) {
	for name, want := range map[string]string{
		"crc16/arc": "BB3D", "crc16/modbus": "4B37", "crc16/kermit": "2189",
		"crc16/xmodem": "31C3", "crc16/ibm-3740": "29B1",
		// Reckoned by hand: 31^32^...^39 = 31, 31+32+...+39 = 1DD.
		"xor": "31", "sum": "DD",
	} {
		s, err := findSum(name)
		if err != nil {
			t.Fatal(err)
		}
		if got := s.text([]byte("123456789")); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
}

// Every change of one bit, and every swap of two different neighbours, is seen
// by every CRC of 16 bits on a line of the usual length.
func TestCRCSeesDamage(t *testing.T) {
	line := []byte("A17 Y-90   1234.5 MBq ST")
	for _, s := range sums {
		if s.digits != 4 {
			continue
		}
		want := s.text(line)
		for bit := range 8 * len(line) {
			b := bytes.Clone(line)
			b[bit/8] ^= 1 << (bit % 8)
			if s.text(b) == want {
				t.Errorf("%s does not see bit %d", s.name, bit)
			}
		}
		for i := range len(line) - 1 {
			b := bytes.Clone(line)
			b[i], b[i+1] = b[i+1], b[i]
			if b[i] != b[i+1] && s.text(b) == want {
				t.Errorf("%s does not see the swap at %d", s.name, i)
			}
		}
	}
}

// Python's binascii.crc_hqx is an independent program for the two CRCs that
// shift left; the other checksums are written out again in Python.
const peer = `
import binascii, sys
def reflected(poly, init, b):
    bits = init
    for c in b:
        for i in range(8):
            bit = (c >> i ^ bits) & 1
            bits >>= 1
            if bit: bits ^= poly
    return bits
for row in sys.stdin:
    b = bytes.fromhex(row.strip())
    x = 0
    for c in b: x ^= c
    print("%02X %02X %04X %04X %04X %04X %04X" % (x, sum(b) % 256,
        reflected(0xA001, 0, b), reflected(0xA001, 0xFFFF, b), reflected(0x8408, 0, b),
        binascii.crc_hqx(b, 0), binascii.crc_hqx(b, 0xFFFF)))
`

func TestPythonAgreesOnChecksums(t *testing.T) {
	const python = "/usr/bin/python3"
	if _, err := os.Stat(python); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("CI=true needs %s", python)
		}
		t.Skipf("%s is absent", python)
	}
	texts := rapid.SliceOfN(rapid.SliceOfN(rapid.Byte(), 1, 60), 200, 200).Example(1)
	var in strings.Builder
	for _, b := range texts {
		in.WriteString(hex.EncodeToString(b) + "\n")
	}
	cmd := exec.Command(python, "-c", peer)
	cmd.Stdin, cmd.Stderr = strings.NewReader(in.String()), os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	rows := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(rows) != len(texts) {
		t.Fatalf("%d rows for %d texts", len(rows), len(texts))
	}
	for i, row := range rows {
		for j, want := range strings.Fields(row) {
			if got := sums[j].text(texts[i]); got != want {
				t.Errorf("%s of %x: %s, Python has %s", sums[j].name, texts[i], got, want)
			}
		}
	}
}
