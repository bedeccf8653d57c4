package instrument

import (
	"net"
	"net/netip"
	"slices"
	"strconv"
	"strings"
)

// Address is where a meter is connected: a TCP socket if Host is set, else a
// serial port. It comes from [ParseAddress].
type Address struct {
	Host string // name or IP address
	Port int    // 1 to 65535

	Path   string // of the serial device, absolute
	Baud   int    // bits per second
	Bits   int    // per character, 7 or 8
	Parity string // none, odd, even, mark or space
	Stop   int    // stop bits, 1 or 2
}

var (
	bauds    = []int{300, 600, 1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400, 460800, 921600}
	parities = []string{"none", "odd", "even", "mark", "space"}
)

// ParseAddress reads
//
//	tcp://host:port
//	serial:///dev/ttyUSB0?baud=9600&bits=8&parity=none&stop=1
//
// What is left out after the question mark has the value shown here. Nothing
// else is read: an *Error with CodeAddress names the part that is wrong.
func ParseAddress(s string) (Address, error) {
	var a Address
	var err *Error
	if rest, ok := strings.CutPrefix(s, "tcp://"); ok {
		a, err = parseTCP(s, rest)
	} else if rest, ok := strings.CutPrefix(s, "serial://"); ok {
		a, err = parseSerial(s, rest)
	} else {
		err = badAddress(s, "it begins neither with tcp:// nor with serial://")
	}
	if err != nil {
		return Address{}, err
	}
	return a, nil
}

func badAddress(s, msg string) *Error {
	return refuse(CodeAddress, s, 0, msg, "write tcp://host:port or serial:///dev/ttyUSB0?baud=9600&bits=8&parity=none&stop=1")
}

// parseTCP reads host:port.
func parseTCP(s, rest string) (Address, *Error) {
	host, port, err := net.SplitHostPort(rest)
	if err != nil {
		return Address{}, badAddress(s, "it has no host:port after tcp://")
	}
	n, err := strconv.Atoi(port)
	if err != nil || n < 1 || n > 65535 || strconv.Itoa(n) != port {
		return Address{}, badAddress(s, "the port "+strconv.Quote(port)+" is not a number from 1 to 65535")
	}
	if _, err := netip.ParseAddr(host); err != nil && !isHostName(host) {
		return Address{}, badAddress(s, "the host "+strconv.Quote(host)+" is neither a name nor an IP address")
	}
	return Address{Host: host, Port: n}, nil
}

// isHostName tells whether s is made of letters, digits, hyphens, underscores
// and single points, and neither begins nor ends with a point or hyphen.
func isHostName(s string) bool {
	if s == "" || len(s) > 253 || strings.Contains(s, "..") || strings.Trim(s, ".-") != s {
		return false
	}
	return !strings.ContainsFunc(s, func(r rune) bool {
		return r >= 0x80 || !isWord(byte(r)) && r != '-' && r != '.' && r != '_'
	})
}

// parseSerial reads /path?key=value&...
func parseSerial(s, rest string) (Address, *Error) {
	path, query, asked := strings.Cut(rest, "?")
	if len(path) < 2 || path[0] != '/' || strings.HasSuffix(path, "/") || strings.ContainsFunc(path, func(r rune) bool { return r <= ' ' || r == 0x7f || r == '%' || r == '#' }) {
		return Address{}, badAddress(s, "the device "+strconv.Quote(path)+" is no absolute path")
	}
	a := Address{Path: path, Baud: 9600, Bits: 8, Parity: "none", Stop: 1}
	if !asked {
		return a, nil
	}
	seen := map[string]bool{}
	for _, pair := range strings.Split(query, "&") {
		key, val, _ := strings.Cut(pair, "=")
		if seen[key] {
			return Address{}, badAddress(s, key+" is given twice")
		}
		seen[key] = true
		if msg := a.set(key, val); msg != "" {
			return Address{}, badAddress(s, msg)
		}
	}
	return a, nil
}

func (a *Address) set(key, val string) (msg string) {
	switch key {
	case "baud":
		return choose(&a.Baud, key, val, bauds)
	case "bits":
		return choose(&a.Bits, key, val, []int{7, 8})
	case "stop":
		return choose(&a.Stop, key, val, []int{1, 2})
	case "parity":
		if !slices.Contains(parities, val) {
			return "parity " + strconv.Quote(val) + " is none of " + strings.Join(parities, ", ")
		}
		a.Parity = val
		return ""
	}
	return "there is no setting " + strconv.Quote(key)
}

func choose(to *int, key, val string, among []int) (msg string) {
	var names []string
	for _, n := range among {
		if names = append(names, strconv.Itoa(n)); strconv.Itoa(n) == val {
			*to = n
			return ""
		}
	}
	return key + " " + strconv.Quote(val) + " is none of " + strings.Join(names, ", ")
}

// String gives the address in full; ParseAddress reads it back.
func (a Address) String() string {
	if a.Host != "" {
		return "tcp://" + net.JoinHostPort(a.Host, strconv.Itoa(a.Port))
	}
	return "serial://" + a.Path + "?baud=" + strconv.Itoa(a.Baud) + "&bits=" + strconv.Itoa(a.Bits) + "&parity=" + a.Parity + "&stop=" + strconv.Itoa(a.Stop)
}
