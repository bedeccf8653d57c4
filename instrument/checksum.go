package instrument

import (
	"slices"
	"strconv"
	"strings"
)

// sum is one way to check a line: digits hexadecimal digits over some bytes.
type sum struct {
	name   string
	digits int
	of     func([]byte) uint16
}

// sums are the algorithms a description may name. Those of 16 bits are named,
// and have the parameters, as in the Catalogue of parametrised CRC algorithms
// (G. Cook): polynomial, initial value, bytes reflected or not; no final XOR.
var sums = []sum{
	{"xor", 2, folded(func(a, b byte) byte { return a ^ b })},
	{"sum", 2, folded(func(a, b byte) byte { return a + b })}, // modulo 256
	{"crc16/arc", 4, reflected(0xA001, 0)},
	{"crc16/modbus", 4, reflected(0xA001, 0xFFFF)},
	{"crc16/kermit", 4, reflected(0x8408, 0)},
	{"crc16/xmodem", 4, forward(0x1021, 0)},
	{"crc16/ibm-3740", 4, forward(0x1021, 0xFFFF)},
}

// noSum is the name of no checksum; an empty name means the same.
const noSum = "none"

// findSum gives the algorithm of that name, nil for none.
func findSum(name string) (*sum, *Error) {
	if name == "" || name == noSum {
		return nil, nil
	}
	if i := slices.IndexFunc(sums, func(s sum) bool { return s.name == name }); i >= 0 {
		return &sums[i], nil
	}
	known := []string{noSum}
	for _, s := range sums {
		known = append(known, s.name)
	}
	return nil, refuse(CodeDescription, name, 0, "there is no checksum of that name", "one of "+strings.Join(known, ", "))
}

func (s *sum) text(b []byte) string {
	h := strings.ToUpper(strconv.FormatUint(uint64(s.of(b)), 16))
	return strings.Repeat("0", s.digits-len(h)) + h
}

// folded takes all bytes together.
func folded(with func(a, b byte) byte) func([]byte) uint16 {
	return func(b []byte) uint16 {
		var x byte
		for _, c := range b {
			x = with(x, c)
		}
		return uint16(x)
	}
}

// reflected is a CRC whose register is shifted right; poly is written with its
// bits reversed.
func reflected(poly, init uint16) func([]byte) uint16 {
	return func(b []byte) uint16 {
		r := init
		for _, c := range b {
			r ^= uint16(c)
			for range 8 {
				low := r & 1
				r = r>>1 ^ poly*low
			}
		}
		return r
	}
}

// forward is a CRC whose register is shifted left.
func forward(poly, init uint16) func([]byte) uint16 {
	return func(b []byte) uint16 {
		r := init
		for _, c := range b {
			r ^= uint16(c) << 8
			for range 8 {
				high := r >> 15
				r = r<<1 ^ poly*high
			}
		}
		return r
	}
}
