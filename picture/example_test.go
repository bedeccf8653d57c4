package picture_test

import (
	"fmt"
	"strings"
	"time"

	"vialwright/picture"
	"vialwright/quantity"
)

// The description says what is drawn to those who do not see it.
func ExampleVessels() {
	bench := picture.Bench{
		ID:         "P1",
		Graduation: 0.1 * quantity.Millilitre,
		Vessels: []picture.Vessel{
			{
				Kind: picture.ShippingVial, ID: "S1", Volume: 5, VolumeText: "5 mL",
				Activity: "3.240 ± 0.070 GBq", State: "settling since 1 min 40 s",
			},
			{
				Kind: picture.Syringe, ID: "Y1", VolumeText: "0 mL", State: "empty",
				Target: &picture.Target{Volume: 2.2, Text: "2.2 mL", Words: "draw to"},
			},
			{Kind: picture.AdministrationVial, ID: "A1", VolumeText: "0 mL", State: "empty"},
		},
		Next: []picture.Movement{{From: "S1", To: "Y1", Words: "draw 2.2 mL"}},
	}
	svg := string(picture.Vessels(bench))
	fmt.Println(between(svg, "<title", "</title>"))
	fmt.Println(strings.ReplaceAll(between(svg, "<desc", "</desc>"), ". ", ".\n"))
	// Output:
	// To one scale: shipping vial S1, syringe Y1, administration vial A1
	// Shipping vial S1: 5 mL, 3.240 ± 0.070 GBq, settling since 1 min 40 s.
	// Syringe Y1: 0 mL, empty, draw to 2.2 mL.
	// Administration vial A1: 0 mL, empty.
	// Next: draw 2.2 mL, from S1 to Y1.
	// Marks drawn every 0.2 mL, on the syringe every 0.1 mL.
}

func ExampleTimeStrip() {
	azores := time.FixedZone("Atlantic/Azores", -3600)
	clock := func(hour, minute int) time.Time { return time.Date(2027, 3, 4, hour, minute, 0, 0, azores) }
	strip := picture.Strip{
		ID: "P1", Zone: azores, Now: clock(11, 42), HalfLife: 64.0417 * quantity.Hour,
		Tracks: []picture.Track{{
			Name:     "P1, right lobe",
			Lower:    picture.Level{Activity: 1193.9e6, Text: "1.194 GBq"},
			Target:   picture.Level{Activity: 1326.5e6, Text: "1.327 GBq"},
			Upper:    picture.Level{Activity: 1459.2e6, Text: "1.459 GBq"},
			Dose:     picture.Curve{Activity: 1348.3e6, At: clock(13, 30), Words: "dose A1", Text: "1.348 ± 0.040 GBq (36.4 ± 1.1 mCi)"},
			Infusion: clock(13, 30), ValidFrom: clock(6, 13), ValidUntil: clock(24, 44),
			Readings: []picture.Reading{{At: clock(11, 26), Activity: 1379e6, Text: "1.379 GBq"}},
		}},
	}
	svg := string(picture.TimeStrip(strip))
	fmt.Println(strings.ReplaceAll(strings.ReplaceAll(between(svg, "<desc", "</desc>"), ". ", ".\n"), ", ", ",\n  "))
	// Output:
	// Time from Thu 4 Mar 2027 10:00 to Thu 4 Mar 2027 16:00,
	//   Atlantic/Azores (UTC-01:00).
	// Now 11:42.
	// P1,
	//   right lobe: target 1.327 GBq,
	//   tolerance from 1.194 GBq to 1.459 GBq,
	//   dose A1 1.348 ± 0.040 GBq (36.4 ± 1.1 mCi) at 13:30,
	//   decaying,
	//   infusion 13:30,
	//   valid from 06:13 until 00:44 Fri 5 Mar,
	//   reading 1.379 GBq at 11:26.
}

// A file of its own has the colours of one theme written into it.
func ExampleFixed() {
	svg := picture.Fixed(picture.TimeStrip(picture.Strip{ID: "none"}), picture.Dark)
	fmt.Println(strings.Contains(svg, "var("), strings.Contains(svg, `fill="#10161d"`))
	// Output: false true
}

// between gives the text of the first element with a name.
func between(s, open, end string) string {
	_, s, _ = strings.Cut(s, open)
	_, s, _ = strings.Cut(s, ">")
	s, _, _ = strings.Cut(s, end)
	return s
}
