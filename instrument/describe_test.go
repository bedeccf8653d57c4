package instrument

import (
	"errors"
	"strings"
	"testing"
)

func TestDescribeRefuses(t *testing.T) {
	flags := func(line string) Description {
		return Description{Line: line, Unit: "MBq", Stable: []string{"S"}, Unstable: []string{"U"}}
	}
	for _, c := range []struct {
		d    Description
		code string
		at   int
		says string
	}{
		// The grammar.
		{Description{Line: "{value} {units}"}, CodePattern, 9, "there is no field {units}"},
		{Description{Line: "{value} {}"}, CodePattern, 9, "there is no field {}"},
		{Description{Line: "{value} {x0G}"}, CodePattern, 9, "there is no field {x0G}"},
		{Description{Line: "{value} {unit"}, CodePattern, 9, "not closed"},
		{Description{Line: "{value} unit}"}, CodePattern, 13, "without an opening one"},
		{Description{Line: "\x02{value} {unit}"}, CodePattern, 1, "write it as {x02}"},
		{Description{Line: "{value:0} {unit}"}, CodePattern, 1, "width"},
		{Description{Line: "{value:65} {unit}"}, CodePattern, 1, "width"},
		{Description{Line: "{value:08} {unit}"}, CodePattern, 1, "width"},
		{Description{Line: "{value:} {unit}"}, CodePattern, 1, "width"},
		{Description{Line: "{value} {unit} {check:4}"}, CodePattern, 16, "no width of its own"},
		// The fields.
		{Description{Line: ""}, CodePattern, 0, "{value} is missing"},
		{Description{Line: "{unit}"}, CodePattern, 0, "{value} is missing"},
		{Description{Line: "{value} {unit} {value}"}, CodePattern, 16, "{value} stands there twice"},
		// The unit.
		{Description{Line: "{value}"}, CodePattern, 0, "in which unit"},
		{Description{Line: "{value} MBq"}, CodePattern, 0, "in which unit"},
		{Description{Line: "{value} {unit}", Unit: "MBq"}, CodeDescription, 0, "given twice"},
		{Description{Line: "{value}", Unit: "MBQ"}, CodeDescription, 0, "no activity unit"},
		{Description{Line: "{value}", Unit: "mL"}, CodeDescription, 0, "no activity unit"},
		{Description{Line: "{value} GBq", Unit: "MBq"}, CodePattern, 9, "says GBq and the fixed unit is MBq"},
		{Description{Line: "[GBQ] {value}", Unit: "GBq"}, CodePattern, 1, "says GBQ"},
		{Description{Line: "{value}", Unit: "MBq", Units: map[string]string{"M": "MBq"}}, CodeDescription, 0, "no {unit}"},
		{Description{Line: "{value} {unit}", Units: map[string]string{"M": "megabecquerel"}}, CodeDescription, 0, "no activity unit"},
		{Description{Line: "{value} {unit}", Units: map[string]string{"": "MBq"}}, CodeDescription, 0, "empty"},
		{Description{Line: "{value} {unit}", Units: map[string]string{"M Bq": "MBq"}}, CodeDescription, 0, "blank"},
		{Description{Line: "{value} {unit}", Units: map[string]string{"M": "MBq", "{x4D}": "GBq"}}, CodeDescription, 0, "twice"},
		{Description{Line: "{value} {unit}", Units: map[string]string{"M{": "MBq"}}, CodeDescription, 2, "a single brace"},
		{Description{Line: "{value} {unit}", Units: map[string]string{"3M": "MBq"}}, CodeDescription, 0, "begins like a number"},
		{Description{Line: "{value} {unit:2}", Units: map[string]string{"MBQ": "MBq"}}, CodeDescription, 0, "wider than {unit}"},
		// Stability.
		{Description{Line: "{value} {unit} {state}"}, CodeDescription, 0, "give both lists"},
		{Description{Line: "{value} {unit} {state}", Stable: []string{"S"}}, CodeDescription, 0, "give both lists"},
		{Description{Line: "{value} {unit} {state}", Unstable: []string{"U"}}, CodeDescription, 0, "give both lists"},
		{Description{Line: "{value} {unit}", Stable: []string{"S"}}, CodeDescription, 0, "no {state}"},
		{Description{Line: "{value} {unit} {state}", Stable: []string{"S"}, Unstable: []string{"U", "S"}}, CodeDescription, 0, "given twice at {state}"},
		{Description{Line: "{value} {unit} {state}", Stable: []string{""}, Unstable: []string{"U"}}, CodeDescription, 0, "cannot mean stable"},
		{Description{Line: "{value} {unit} {state}", Stable: []string{"\x06"}, Unstable: []string{"U"}}, CodeDescription, 1, "{x06}"},
		{Description{Line: "{value} {unit:4}{state:1}", Stable: []string{"ST"}, Unstable: []string{"U"}}, CodeDescription, 0, "wider than"},
		{Description{Line: "{value} {unit:4}{state:2}", Stable: []string{" "}, Unstable: []string{"  "}}, CodeDescription, 0, "given twice at {state}"},
		// Names.
		{Description{Line: "{value} {unit}", Nuclides: []string{"Y-90"}}, CodeDescription, 0, "no {nuclide}"},
		{Description{Line: "{value} {unit}", Serial: "A17"}, CodeDescription, 0, "no {serial}"},
		{Description{Line: "{value} {unit} {serial}", Serial: "A17 "}, CodeDescription, 0, "no blank at its ends"},
		{Description{Line: "{value} {unit} {nuclide}", Nuclides: []string{""}}, CodeDescription, 0, "empty"},
		{Description{Line: "{value} {unit} {nuclide}", Nuclides: []string{"Y‑90"}}, CodeDescription, 0, "only ASCII"},
		// The checksum.
		{Description{Line: "{value} {unit}*{check}"}, CodePattern, 16, "no checksum is named"},
		{Description{Line: "{value} {unit}", Checksum: "xor"}, CodePattern, 0, "no {check}"},
		{Description{Line: "{value} {unit}*{check}", Checksum: "crc16"}, CodeDescription, 0, "crc16/modbus"},
		{Description{Line: "{from}{value} {unit}"}, CodePattern, 0, "none is named"},
		{Description{Line: "{to}{value} {from}{unit}*{check}", Checksum: "xor"}, CodePattern, 0, "another order"},
		{Description{Line: "{check} {value} {unit}{to}", Checksum: "xor"}, CodePattern, 0, "another order"},
		// Ending and length.
		{Description{Line: "{value} {unit}", Ending: "CRLF"}, CodeDescription, 0, "crlf, lf, cr, any"},
		{Description{Line: "{value} {unit}", MaxLength: 7}, CodeDescription, 0, "8 to 4096"},
		{Description{Line: "{value} {unit}", MaxLength: 4097}, CodeDescription, 0, "8 to 4096"},
		{Description{Line: "{value} {unit}", MaxLength: -1}, CodeDescription, 0, "8 to 4096"},
		{Description{Line: "{value} {unit}{x0D}"}, CodePattern, 15, "a line ending"},
		// Two readings of one line.
		{Description{Line: "{serial}{value} {unit}"}, CodePattern, 1, "nothing separates {serial} from {value}"},
		{Description{Line: "{skip}{from}{value} {unit} {check}", Checksum: "xor"}, CodePattern, 1, "nothing separates {skip} from {value}"},
		{flags("{value}{state}"), CodePattern, 1, "nothing separates {value} from {state}"},
		{Description{Line: "-{value} {unit}"}, CodePattern, 2, `ends in "-"`},
		{Description{Line: "net - {value} {unit}"}, CodePattern, 7, `ends in "-"`},
		{Description{Line: "-{x20}{value} {unit}"}, CodePattern, 7, `ends in "-"`},
		{Description{Line: "-{from}{x20} {value} {unit} {check}", Checksum: "xor"}, CodePattern, 14, `ends in "-"`},
		{Description{Line: "CH1{x20}{value} {unit}"}, "", 0, ""},
		{Description{Line: "{value}{x20}-{unit}"}, CodePattern, 1, `begins with "-"`},
		{Description{Line: "{value}{x20}{serial}", Unit: "MBq"}, CodePattern, 1, "{serial} may begin with a digit"},
		{Description{Line: "CH1{value} {unit}"}, CodePattern, 4, `ends in "1"`},
		{Description{Line: "..{from}{value} {unit} {check}", Checksum: "xor"}, CodePattern, 9, `ends in "."`},
		{Description{Line: "{serial},{value} {unit}", DecimalComma: true}, CodePattern, 10, `ends in ","`},
		{Description{Line: "{state} {value} {unit}", Stable: []string{"+"}, Unstable: []string{"-"}}, CodePattern, 9, "ends in a sign"},
		{Description{Line: "{value},{unit}", DecimalComma: true}, CodePattern, 1, `begins with ","`},
		{Description{Line: "{value}.{unit}"}, CodePattern, 1, `begins with "."`},
		{Description{Line: "{value}-{unit}"}, CodePattern, 1, `begins with "-"`},
		{Description{Line: "{value} E{unit}"}, CodePattern, 1, `begins with "E"`},
		{Description{Line: "{value} {serial}", Unit: "MBq"}, CodePattern, 1, "{serial} may begin with a digit"},
		{Description{Line: "{value}, {skip} {unit}"}, CodePattern, 1, "{skip} may begin with a digit"},
		{Description{Line: "{value},{nuclide:5},{unit}"}, CodePattern, 1, "{nuclide} may begin with a digit"},
		{flags("{value} {state}X"), CodePattern, 9, `begins with "X"`},
		{Description{Line: "{value} {unit}/mL"}, CodePattern, 9, `begins with "/"`},
		{flags("{value:8} {state:1}"), "", 0, ""},
		{Description{Line: "{value:8} {state:1}", Unit: "MBq", Stable: []string{" "}, Unstable: []string{"*"}}, CodePattern, 11, "the blank before {state}"},
		{Description{Line: "{value} {state}", Unit: "MBq", Stable: []string{" S"}, Unstable: []string{"*"}}, CodePattern, 9, "the blank before {state}"},
		{Description{Line: "{value} {unit};", Units: map[string]string{"M;": "MBq"}}, CodePattern, 9, "also stands in a unit text"},
	} {
		_, err := Describe(c.d)
		if c.code == "" {
			if err != nil {
				t.Errorf("%q: %v", c.d.Line, err)
			}
			continue
		}
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%+v: accepted", c.d)
			continue
		}
		if e.Code != c.code || e.At != c.at || !strings.Contains(e.Error(), c.says) || e.Hint == "" {
			t.Errorf("%+v:\n got %s at %d: %v\nwant %s at %d: ... %s", c.d, e.Code, e.At, e, c.code, c.at, c.says)
		}
	}
}

// A parser keeps nothing of the description that its caller could change.
func TestDescribeCopies(t *testing.T) {
	d := ticket
	d.Nuclides, d.Stable = []string{"Y-90"}, []string{"ST"}
	p := mustDescribe(t, d)
	d.Nuclides[0], d.Stable[0] = "F-18", "US"
	if r, err := p.Parse([]byte("A17 Y-90   1234.5 MBq ST*5C")); err != nil || r.State != Stable {
		t.Errorf("%+v, %v", r, err)
	}
}
