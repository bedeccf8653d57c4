package instrument_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"vialwright/instrument"
	"vialwright/quantity"
)

// A meter's line is described once, and then read.
func ExampleDescribe() {
	p, err := instrument.Describe(instrument.Description{
		Line:     "{serial} {nuclide} {value} {unit} {state}{to}*{check}",
		Stable:   []string{"ST"},
		Unstable: []string{"US"},
		Nuclides: []string{"Y-90"},
		Checksum: "xor",
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, line := range []string{
		"A17 Y-90   1234.5 MBq ST*5C",
		"A17 Y-90   1234.5 MBq US*5D",
		"A17 Y-90   1284.5 MBq ST*5C",
		"A17 F-18   1234.5 MBq ST*43",
	} {
		r, err := p.Parse([]byte(line))
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(r.Activity, r.State, r.Nuclide, r.Serial)
	}
	// Output:
	// 1234.5 MBq stable Y-90 A17
	// 1234.5 MBq unstable Y-90 A17
	// character 26 of "A17 Y-90   1284.5 MBq ST*5C": the xor checksum of this line is 57, and it says 5C (the line was damaged, or {from}, {to} and the algorithm do not fit this meter)
	// character 5 of "A17 F-18   1234.5 MBq ST*43": the meter is set to another nuclide than Y-90 (set the meter, and read again)
}

// A description by which a line could be misread is refused.
func ExampleDescribe_refused() {
	for _, d := range []instrument.Description{
		{Line: "{value}"},
		{Line: "{value} GBq", Unit: "MBq"},
		{Line: "{value} {serial}", Unit: "MBq"},
		{Line: "{value} {unit} {state}", Stable: []string{""}, Unstable: []string{"*"}},
	} {
		_, err := instrument.Describe(d)
		fmt.Println(err)
	}
	// Output:
	// "{value}": nothing says in which unit the number is (write {unit} into the pattern, or give the fixed unit: one of Bq, kBq, MBq, GBq, TBq, uCi, mCi, Ci)
	// character 9 of "{value} GBq": the pattern says GBq and the fixed unit is MBq (one of the two is wrong)
	// character 1 of "{value} {serial}": {serial} may begin with a digit that belongs to the number (give {value} its width, like {value:8}, or put the unit between them)
	// an empty text cannot mean stable: a lost character would look the same (give {state} its width, like {state:1}, if a blank column means stable)
}

// A description as it stands in a site's configuration, with the units as the
// meter spells them.
func ExampleDescription() {
	const configuration = `{
		"line": "{serial};{value};{unit};{state}",
		"units": {"MBQ": "MBq", "GBQ": "GBq"},
		"stable": ["READY"],
		"unstable": ["BUSY", "WARM-UP"],
		"serial": "A17",
		"decimal-comma": true,
		"ending": "cr",
		"steady": true
	}`
	var d instrument.Description
	if err := json.Unmarshal([]byte(configuration), &d); err != nil {
		fmt.Println(err)
		return
	}
	p, err := instrument.Describe(d)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, line := range []string{"A17;1,2345;GBQ;READY", "A17;1,2345;GBQ;WARM-UP", "A17;1,2345;GBQ;", "A18;1,2345;GBQ;READY"} {
		r, err := p.Parse([]byte(line))
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(r.Activity, r.State)
	}
	// Output:
	// 1.2345 GBq stable
	// 1.2345 GBq unstable
	// character 16 of "A17;1,2345;GBQ;": "WARM-UP" (unstable) or "READY" (stable) or "BUSY" (unstable) was expected, and the line ends here (a reading is taken as stable only if the line says so)
	// character 1 of "A18;1,2345;GBQ;READY": this is not the meter A17 (check which meter is connected)
}

// Columns of fixed width between control characters, with a decimal comma and
// the meter's own way to write the unit. A blank in the last column is stable.
func ExampleDescription_columns() {
	p, err := instrument.Describe(instrument.Description{
		Line:         "{x02}{value:9}{unit:4}{state:1}{x03}",
		DecimalComma: true,
		Units:        map[string]string{"MBQ": "MBq", "MCI": "mCi"},
		Stable:       []string{" "},
		Unstable:     []string{"*"},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, line := range []string{"\x02  1234,50MBQ  \x03", "\x02  1234,50MBQ *\x03", "\x020001234,5MCI  \x03", "\x02  1234,50GBQ  \x03"} {
		r, err := p.Parse([]byte(line))
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(r.Activity, r.State)
	}
	// Output:
	// 1234.50 MBq stable
	// 1234.50 MBq unstable
	// 1234.5 mCi stable
	// character 11 of "\x02  1234,50GBQ  \x03": the unit is none of those described (they are "MBQ", "MCI")
}

func ExampleParseAddress() {
	for _, s := range []string{"tcp://192.0.2.7:4001", "serial:///dev/ttyUSB0?baud=19200", "serial:///dev/ttyUSB0?baud=9800"} {
		a, err := instrument.ParseAddress(s)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(a)
	}
	// Output:
	// tcp://192.0.2.7:4001
	// serial:///dev/ttyUSB0?baud=19200&bits=8&parity=none&stop=1
	// "serial:///dev/ttyUSB0?baud=9800": baud "9800" is none of 300, 600, 1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400, 460800, 921600 (write tcp://host:port or serial:///dev/ttyUSB0?baud=9600&bits=8&parity=none&stop=1)
}

// The events of one connection, here to a text in place of a meter. The first
// line is set aside, since its beginning may be missing.
func ExampleRead() {
	p, err := instrument.Describe(instrument.Description{Line: "{value} {unit} {state}", Stable: []string{"ok"}, Unstable: []string{"wait"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	dial := func(context.Context) (io.ReadCloser, error) {
		return io.NopCloser(strings.NewReader("4.5 MBq ok\n1233.9 MBq wait\n1234.5 MBq ok\n----- MBq ok\n")), nil
	}
	// The program passes instrument.Clock{Now: time.Now, After: time.After}.
	still := instrument.Clock{
		Now:   func() time.Time { return time.Date(2031, 5, 6, 12, 0, 0, 0, time.UTC) },
		After: func(time.Duration) <-chan time.Time { return nil },
	}
	for e := range instrument.Read(context.Background(), dial, p, instrument.Options{Clock: still, Source: "M1"}) {
		switch e.Kind {
		case instrument.Received:
			fmt.Println(e.Kind, e.Reading.Activity, e.Reading.State)
		case instrument.Refused:
			fmt.Println(e.Kind, e.Err.Code, e.Raw)
		case instrument.Lost:
			fmt.Println(e.Kind, e.Err, "next in", e.Retry)
			return
		default:
			fmt.Println(e.Kind, e.Source)
		}
	}
	// Output:
	// connected M1
	// refused part 4.5 MBq ok
	// received 1233.9 MBq unstable
	// received 1234.5 MBq stable
	// refused number ----- MBq ok
	// lost the connection was closed at the other end next in 500ms
}

// An invented meter: the display settles, and is then flagged stable.
func ExampleSimulation_Line() {
	p, err := instrument.Describe(instrument.Description{
		Line: "{serial} {nuclide} {value} {unit} {state}", Stable: []string{"ST"}, Unstable: []string{"US"},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	in := time.Date(2031, 5, 6, 12, 0, 0, 0, time.UTC)
	meter := instrument.Simulation{
		Activity: 1.5 * quantity.GigaBecquerel, In: in, HalfLife: 64.0417 * quantity.Hour,
		Background: 20 * quantity.KiloBecquerel, Settling: 6 * quantity.Second,
		Unit: "MBq", Decimals: 1, Nuclide: "Y-90", Serial: "SIMULATED", Seed: 1,
	}
	for i := range 5 {
		line, err := meter.Line(p, uint64(i), in.Add(time.Duration(2*i)*time.Second))
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(string(line))
	}
	// Output:
	// SIMULATED Y-90 0.0 MBq US
	// SIMULATED Y-90 1350.0 MBq US
	// SIMULATED Y-90 1485.0 MBq US
	// SIMULATED Y-90 1498.5 MBq ST
	// SIMULATED Y-90 1499.8 MBq ST
}
