package picture

import (
	"math"
	"time"

	"vialwright/quantity"
)

// The scenes are invented: no real patient, site, meter or vial.

// draw is the moment before the draw.
func drawScene() Bench {
	return Bench{
		ID: "draw", Graduation: 0.1,
		Vessels: []Vessel{
			{Kind: ShippingVial, ID: "S1", Volume: 5, VolumeText: "5 mL", Activity: "3.240 ± 0.070 GBq, 87.6 ± 1.9 mCi", State: "settling since 1 min 40 s", Clear: 0.7, Bed: 0.35},
			{Kind: Syringe, ID: "Y1", Volume: 0, VolumeText: "0 mL", State: "empty", Target: &Target{2.2, "2.2 mL", "draw to"}},
			{Kind: AdministrationVial, ID: "A1", VolumeText: "0 mL", State: "empty"},
		},
		Next: []Movement{{"S1", "Y1", "draw 2.2 mL"}},
	}
}

// drawnScene is after the draw, before the make-up.
func drawnScene() Bench {
	b := drawScene()
	b.ID = "make-up"
	b.Vessels[0].Volume, b.Vessels[0].VolumeText = 2.8, "2.8 mL"
	b.Vessels[0].Activity, b.Vessels[0].State = "1.850 ± 0.041 GBq, 50.0 ± 1.1 mCi", "read at 11:14"
	b.Vessels[0].Clear, b.Vessels[0].Bed = 0, 0
	b.Vessels[1].Volume, b.Vessels[1].VolumeText = 2.2, "2.2 mL"
	b.Vessels[1].Activity, b.Vessels[1].State = "1.382 ± 0.041 GBq, 37.4 ± 1.1 mCi", "settling since 4 min 5 s"
	b.Vessels[1].Target = &Target{3.5, "3.5 mL", "make up to"}
	b.Next = []Movement{{"", "Y1", "add 1.3 mL water for injection"}}
	return b
}

// transferScene is the transfer into the administration vial.
func transferScene() Bench {
	b := drawnScene()
	b.ID = "transfer"
	b.Vessels[1].Volume, b.Vessels[1].VolumeText = 3.5, "3.5 mL"
	b.Vessels[1].Target = nil
	b.Next = []Movement{{"Y1", "A1", "transfer all, once"}}
	return b
}

// territories is one vial for two doses, the first in its vial.
func territories() Bench {
	return Bench{
		ID: "territories", Graduation: 0.2, Mark: "PRACTICE - not for patient use",
		Vessels: []Vessel{
			{Kind: Syringe, ID: "Y1", VolumeText: "0 mL", State: "empty, to waste"},
			{Kind: Syringe, ID: "Y2", VolumeText: "0 mL", State: "empty", Expected: true, Target: &Target{2.4, "2.4 mL", "draw to"}},
			{Kind: ShippingVial, ID: "S2", Volume: 3.7, VolumeText: "3.7 mL", Activity: "2.610 GBq, 70.5 mCi", State: "settling since 4 min"},
			{Kind: AdministrationVial, ID: "A-left", Volume: 4, VolumeText: "4 mL", Activity: "0.884 GBq, 23.9 mCi", State: "within tolerance"},
			{Kind: AdministrationVial, ID: "A-right", Volume: quantity.Volume(math.NaN()), VolumeText: "volume ?", State: "not yet read", Expected: true},
		},
		Next: []Movement{{"S2", "Y2", "draw 2.4 mL"}},
	}
}

// awkward has nothing that fits.
func awkward() Bench {
	return Bench{
		ID: `"><script>`, Graduation: 0.01,
		Vessels: []Vessel{
			{Kind: ShippingVial, ID: `<script>alert("S1")</script>`, Volume: 40, VolumeText: "40 mL", Activity: "123456.789 ± 0.001 GBq (3336.67 ± 0.03 Ci)", State: "Donaudampfschifffahrtsgesellschaftskapitän & Söhne"},
			{Kind: Syringe, ID: "Y&1", Volume: quantity.Volume(math.Inf(1)), VolumeText: "?", State: "reversed \u202e0.31 mL", Target: &Target{6.1, "6.1 mL", "draw to a place that is not there"}},
			{Kind: Kind(9), ID: "", Volume: -1},
		},
		Next: []Movement{{"nowhere", "", "a movement between vessels that are not in the picture at all"}},
	}
}

func benches() map[string]Bench {
	return map[string]Bench{
		"draw": drawScene(), "make-up": drawnScene(), "transfer": transferScene(),
		"territories": territories(), "awkward": awkward(), "nothing": {ID: "nothing"},
		"receive": {
			ID:      "receive",
			Vessels: []Vessel{{Kind: ShippingVial, ID: "S1", Volume: 5, VolumeText: "5 mL", State: "not yet read", Expected: true}},
			Next:    []Movement{{"", "S1", "receive"}},
		},
	}
}

func zone(n string) *time.Location {
	z, err := time.LoadLocation(n)
	if err != nil {
		panic(err)
	}
	return z
}

var azores = zone("Atlantic/Azores")

func at(hour, minute int) time.Time { return time.Date(2027, 3, 4, hour, minute, 0, 0, azores) }

const halfLife = 64.0417 * quantity.Hour

// oneDose is the first worked case of package dispensing, after the assay.
func oneDose(f Form) Strip {
	return Strip{
		ID: "dose", Form: f, Zone: azores, HalfLife: halfLife, Now: at(11, 42),
		Tracks: []Track{{
			Lower: Level{1193.9e6, "1.194 GBq"}, Target: Level{1326.5e6, "1.327 GBq"}, Upper: Level{1459.2e6, "1.459 GBq"},
			Dose:     Curve{1348.3e6, at(13, 30), "dose A1", "1.348 ± 0.040 GBq (36.4 ± 1.1 mCi)"},
			Infusion: at(13, 30), ValidFrom: time.Date(2027, 3, 4, 6, 12, 3, 0, azores), ValidUntil: time.Date(2027, 3, 5, 0, 44, 28, 0, azores),
			Readings: []Reading{{at(11, 0), 3.24e9, "S1 3.240 GBq"}, {at(11, 26), 1.379e9, "A1 1.379 GBq"}},
		}},
	}
}

func strips(f Form) map[string]Strip {
	with := func(id string, change func(*Strip)) Strip {
		s := oneDose(f)
		s.ID = id
		change(&s)
		return s
	}
	return map[string]Strip{
		"dose": oneDose(f),
		"planned": with("planned", func(s *Strip) {
			t := &s.Tracks[0]
			t.Planned, t.Dose, t.Readings = t.Dose, Curve{}, nil
		}),
		"whole-window": with("whole-window", func(s *Strip) {
			s.From, s.Until = at(4, 0), time.Date(2027, 3, 5, 6, 0, 0, 0, azores)
		}),
		"outside": with("outside", func(s *Strip) {
			t := &s.Tracks[0]
			t.Dose.Activity, t.Dose.Text = 1.52e9, "1.520 GBq"
			t.ValidFrom, t.ValidUntil = at(17, 14), at(23, 50)
			t.Name = "P1, right lobe"
		}),
		"late": with("late", func(s *Strip) {
			s.From, s.Until, s.Now = at(12, 0), at(13, 0), time.Date(2027, 3, 5, 8, 5, 0, 0, azores)
		}),
		"days": with("days", func(s *Strip) {
			s.From, s.Until = at(0, 0), at(0, 0).AddDate(0, 0, 6)
		}),
		"clocks-back": with("clocks-back", func(s *Strip) {
			s.From = time.Date(2027, 10, 30, 20, 0, 0, 0, azores)
			s.Until = s.From.Add(8 * time.Hour)
			s.Now = s.From.Add(4*time.Hour + 20*time.Minute)
			t := &s.Tracks[0]
			t.Infusion, t.Dose.At = s.From.Add(6*time.Hour), s.From.Add(6*time.Hour)
			t.ValidFrom, t.ValidUntil, t.Readings = s.From.Add(2*time.Hour), s.From.Add(7*time.Hour), nil
		}),
		"board": {ID: "board", Form: f, Zone: azores, HalfLife: halfLife, Now: at(11, 42), Mark: "PRACTICE - not for patient use", Tracks: board()},
		"awkward": {
			ID: `"><b>`, Form: f, HalfLife: quantity.Span(math.NaN()), Tracks: []Track{{
				Name:   `<script>alert("P1")</script>`,
				Target: Level{quantity.Activity(math.Inf(1)), "all of it"}, Lower: Level{1, "1 Bq"}, Upper: Level{1e17, "0.1 EBq, as far as anybody can tell"},
				Dose: Curve{1e9, at(9, 0), "a", "b"}, Infusion: at(9, 0),
			}},
		},
		"nothing": {ID: "nothing", Form: f, Zone: azores, Now: at(11, 42)},
	}
}

func board() []Track {
	return []Track{
		oneDose(Wide).Tracks[0].named("P1, right lobe"),
		{
			Name:  "P2, left lobe",
			Lower: Level{750e6, "750 MBq"}, Target: Level{833e6, "833 MBq"}, Upper: Level{917e6, "917 MBq"},
			Planned:  Curve{841e6, at(15, 45), "planned", "841 MBq (22.7 mCi)"},
			Infusion: at(15, 45), ValidFrom: at(7, 50), ValidUntil: time.Date(2027, 3, 5, 1, 20, 0, 0, azores),
		},
		{
			Name:  "P3, both lobes",
			Lower: Level{1.8e9, "1.80 GBq"}, Target: Level{2e9, "2.00 GBq"}, Upper: Level{2.2e9, "2.20 GBq"},
			Infusion: at(17, 0),
		},
	}
}

func (t Track) named(name string) Track {
	t.Name = name
	return t
}
