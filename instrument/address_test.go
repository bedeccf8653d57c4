package instrument

import (
	"errors"
	"strings"
	"testing"
)

func TestParseAddress(t *testing.T) {
	for _, c := range []struct{ in, out string }{
		{"tcp://meter.example:4001", ""},
		{"tcp://192.0.2.7:1", ""},
		{"tcp://[2001:db8::7]:65535", ""},
		{"serial:///dev/ttyUSB0", "serial:///dev/ttyUSB0?baud=9600&bits=8&parity=none&stop=1"},
		{"serial:///dev/ttyUSB0?parity=even&bits=7", "serial:///dev/ttyUSB0?baud=9600&bits=7&parity=even&stop=1"},
		{"serial:///dev/serial/by-id/x_1?baud=115200&bits=8&parity=odd&stop=2", ""},
	} {
		a, err := ParseAddress(c.in)
		if err != nil {
			t.Errorf("%s: %v", c.in, err)
			continue
		}
		want := c.out
		if want == "" {
			want = c.in
		}
		if a.String() != want {
			t.Errorf("%s: %s", c.in, a)
		}
		if back, err := ParseAddress(a.String()); err != nil || back != a {
			t.Errorf("%s does not read back: %v, %v", a, back, err)
		}
	}
}

func TestParseAddressRefuses(t *testing.T) {
	for _, c := range []struct{ in, says string }{
		{"", "neither with tcp:// nor"},
		{"meter:4001", "neither with tcp:// nor"},
		{"TCP://meter:4001", "neither with tcp:// nor"},
		{"http://meter:4001", "neither with tcp:// nor"},
		{"/dev/ttyUSB0", "neither with tcp:// nor"},
		{"tcp://meter", "no host:port"},
		{"tcp://2001:db8::7:4001", "no host:port"},
		{"tcp://meter:", `port ""`},
		{"tcp://meter:0", `port "0"`},
		{"tcp://meter:65536", `port "65536"`},
		{"tcp://meter:+1", `port "+1"`},
		{"tcp://meter:080", `port "080"`},
		{"tcp://meter:telnet", `port "telnet"`},
		{"tcp://meter:4001/", `port "4001/"`},
		{"tcp://meter:4001?x=1", `port "4001?x=1"`},
		{"tcp://:4001", `host ""`},
		{"tcp://me ter:4001", `host "me ter"`},
		{"tcp://user@meter:4001", `host "user@meter"`},
		{"tcp://-meter:4001", `host "-meter"`},
		{"tcp://me..ter:4001", `host "me..ter"`},
		{"serial://", "no absolute path"},
		{"serial:///", "no absolute path"},
		{"serial://dev/ttyUSB0", "no absolute path"},
		{"serial:///dev/tty USB0", "no absolute path"},
		{"serial:///dev/tty%20USB0", "no absolute path"},
		{"serial:///dev/ttyUSB0#1", "no absolute path"},
		{"serial:///dev/ttyUSB0\x00", "no absolute path"},
		{"serial:///dev/ttyUSB0?", `no setting ""`},
		{"serial:///dev/ttyUSB0?baud", `baud "" is none of 300`},
		{"serial:///dev/ttyUSB0?baud=9800", `baud "9800" is none of 300`},
		{"serial:///dev/ttyUSB0?baud=09600", `baud "09600" is none of`},
		{"serial:///dev/ttyUSB0?baud=9600&baud=9600", "baud is given twice"},
		{"serial:///dev/ttyUSB0?bits=9", `bits "9" is none of 7, 8`},
		{"serial:///dev/ttyUSB0?parity=N", `parity "N" is none of none, odd`},
		{"serial:///dev/ttyUSB0?stop=1.5", `stop "1.5" is none of 1, 2`},
		{"serial:///dev/ttyUSB0?flow=rts", `no setting "flow"`},
		{"serial:///dev/ttyUSB0?Baud=9600", `no setting "Baud"`},
	} {
		a, err := ParseAddress(c.in)
		var e *Error
		if !errors.As(err, &e) || e.Code != CodeAddress || !strings.Contains(e.Error(), c.says) || a != (Address{}) {
			t.Errorf("%q: %v, %v; want ... %s", c.in, a, err, c.says)
		}
	}
}
