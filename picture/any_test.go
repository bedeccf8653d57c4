package picture

import (
	"math"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

// anyText draws texts that do harm where they are let: markup, quotes, control
// and direction characters, broken UTF-8, long words, numbers.
func anyText() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.String(),
		rapid.SampledFrom([]string{
			"", " ", "S1", `<script>alert("x")</script>`, `"><svg onload=x>`, "]]>", "<!--", "&amp;", "&#0;", "'", "--></desc>", "\x00\x1b[31m",
			"\u202e0.31 mL", "\ufeff", "\ufffe", "\xff\xfe", "1.348 ± 0.040 GBq (36.4 ± 1.1 mCi)", "放射性", "x\u0301", "url(#a)", "\u2028",
			strings.Repeat("W", 300), strings.Repeat("9", 120), strings.Repeat("long words ", 60), "👩‍🔬 PRACTICE",
		}),
	)
}

func anyNumber(scale float64) *rapid.Generator[float64] {
	return rapid.OneOf(
		rapid.Float64Range(0, scale),
		rapid.Float64(),
		rapid.SampledFrom([]float64{0, math.Copysign(0, -1), -1, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, math.SmallestNonzeroFloat64, 1e18, scale}),
	)
}

func anyForm() *rapid.Generator[Form] { return rapid.SampledFrom([]Form{Wide, Narrow, Form(7)}) }

func anyVessel() *rapid.Generator[Vessel] {
	return rapid.Custom(func(t *rapid.T) Vessel {
		text := anyText()
		volume := func(name string) quantity.Volume { return quantity.Volume(anyNumber(12).Draw(t, name)) }
		v := Vessel{
			Kind: Kind(rapid.IntRange(-1, 4).Draw(t, "kind")), ID: text.Draw(t, "id"),
			Volume: volume("volume"), VolumeText: text.Draw(t, "text"), Activity: text.Draw(t, "activity"), State: text.Draw(t, "state"),
			Clear: volume("clear"), Bed: volume("bed"), Expected: rapid.Bool().Draw(t, "expected"),
		}
		if rapid.Bool().Draw(t, "has target") {
			v.Target = &Target{volume("target"), text.Draw(t, "target text"), text.Draw(t, "target words")}
		}
		return v
	})
}

func anyBench() *rapid.Generator[Bench] {
	return rapid.Custom(func(t *rapid.T) Bench {
		b := Bench{
			ID: anyText().Draw(t, "ID"), Mark: anyText().Draw(t, "mark"),
			Vessels:    rapid.SliceOfN(anyVessel(), 0, 6).Draw(t, "vessels"),
			Graduation: quantity.Volume(anyNumber(1).Draw(t, "graduation")),
		}
		ids := []string{"", "nowhere"}
		for _, v := range b.Vessels {
			ids = append(ids, v.ID)
		}
		id := rapid.SampledFrom(ids)
		for range rapid.IntRange(0, 3).Draw(t, "moves") {
			b.Next = append(b.Next, Movement{id.Draw(t, "from"), id.Draw(t, "to"), anyText().Draw(t, "move")})
		}
		return b
	})
}

// anyTime draws times near one another, far away, and none.
func anyTime() *rapid.Generator[time.Time] {
	return rapid.Custom(func(t *rapid.T) time.Time {
		switch rapid.IntRange(0, 9).Draw(t, "which") {
		case 0:
			return time.Time{}
		case 1:
			return time.Date(rapid.IntRange(-10000, 20000).Draw(t, "year"), 1, 1, 0, 0, 0, 0, time.UTC)
		}
		return at(12, 0).Add(time.Duration(rapid.IntRange(-200000, 200000).Draw(t, "s")) * time.Second)
	})
}

func anyStrip() *rapid.Generator[Strip] {
	zones := []*time.Location{
		nil, azores, zone("Australia/Lord_Howe"), zone("Asia/Kathmandu"), zone("Pacific/Apia"), zone("America/Argentina/Buenos_Aires"),
		time.FixedZone(`<b>"odd"</b>`+strings.Repeat("W", 200), 4567),
	}
	return rapid.Custom(func(t *rapid.T) Strip {
		when := anyTime()
		s := Strip{
			ID: anyText().Draw(t, "ID"), Form: anyForm().Draw(t, "form"), Mark: anyText().Draw(t, "mark"),
			Zone: rapid.SampledFrom(zones).Draw(t, "zone"), Now: when.Draw(t, "now"), From: when.Draw(t, "from"), Until: when.Draw(t, "until"),
			HalfLife: quantity.Span(rapid.OneOf(rapid.Just(float64(halfLife)), anyNumber(1e6)).Draw(t, "half-life")),
			Tracks:   rapid.SliceOfN(anyTrack(), 0, 3).Draw(t, "tracks"),
		}
		if rapid.Bool().Draw(t, "own axis") {
			s.From, s.Until = time.Time{}, time.Time{}
		}
		return s
	})
}

func anyTrack() *rapid.Generator[Track] {
	return rapid.Custom(func(t *rapid.T) Track {
		text, when := anyText(), anyTime()
		activity := func() quantity.Activity { return quantity.Activity(anyNumber(4e9).Draw(t, "Bq")) }
		level := func() Level { return Level{activity(), text.Draw(t, "level")} }
		curve := func() Curve {
			return Curve{activity(), when.Draw(t, "at"), text.Draw(t, "words"), text.Draw(t, "text")}
		}
		track := Track{
			Name: text.Draw(t, "name"), Lower: level(), Target: level(), Upper: level(),
			Dose: curve(), Planned: curve(), Infusion: when.Draw(t, "infusion"),
			ValidFrom: when.Draw(t, "valid from"), ValidUntil: when.Draw(t, "valid until"),
		}
		for range rapid.IntRange(0, 3).Draw(t, "readings") {
			track.Readings = append(track.Readings, Reading{when.Draw(t, "read"), activity(), text.Draw(t, "reading")})
		}
		return track
	})
}

// TestAnyBench: whatever is handed over, the picture is sound, and the same
// twice.
func TestAnyBench(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBench().Draw(t, "bench")
		svg := Vessels(b)
		if err := check(svg); err != nil {
			t.Fatalf("%v\n%s", err, svg)
		}
		if Vessels(b) != svg {
			t.Fatal("not the same twice")
		}
	})
}

// TestAnyStrip: the same for the strip.
func TestAnyStrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyStrip().Draw(t, "strip")
		svg := TimeStrip(s)
		if err := check(svg); err != nil {
			t.Fatalf("%v\n%s", err, svg)
		}
		if TimeStrip(s) != svg {
			t.Fatal("not the same twice")
		}
	})
}

// TestScenesAreSound holds the scenes of the golden files to the same.
func TestScenesAreSound(t *testing.T) {
	for n, b := range benches() {
		if err := check(Vessels(b)); err != nil {
			t.Errorf("%s: %v", n, err)
		}
	}
	for _, f := range []Form{Wide, Narrow} {
		for n, s := range strips(f) {
			if err := check(TimeStrip(s)); err != nil {
				t.Errorf("%s %s: %v", n, f.class(), err)
			}
		}
	}
}

// FuzzTexts: a text in any place comes out as text, in the drawing and for
// those who hear it, and never as an element or attribute.
func FuzzTexts(f *testing.F) {
	for _, s := range []string{"S1", `<script>alert(1)</script>`, `" onload="x`, "&lt;", "]]>", "\x00", "\u202e", "\xff", "1.2 ± 0.1 GBq", strings.Repeat("a", 200), "\U0010ffff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, form := range []Form{Wide, Narrow} {
			b := Bench{
				ID: s, Mark: s, Graduation: 0.1,
				Vessels: []Vessel{
					{Kind: Syringe, ID: s, VolumeText: s, Activity: s, State: s, Target: &Target{2, s, s}},
					{ID: s + "2", VolumeText: s, Activity: s, State: s},
				},
				Next: []Movement{{s, s + "2", s}},
			}
			if err := check(Vessels(b)); err != nil {
				t.Fatal(err)
			}
			strip := oneDose(form)
			strip.ID, strip.Mark = s, s
			track := &strip.Tracks[0]
			track.Name, track.Dose.Words, track.Dose.Text = s, s, s
			track.Lower.Text, track.Target.Text, track.Upper.Text, track.Readings[0].Text = s, s, s, s
			if err := check(TimeStrip(strip)); err != nil {
				t.Fatal(err)
			}
			if said := clean(s); said != "" && !strings.Contains(described(Vessels(b)), said) {
				t.Fatalf("%q is not in %q", said, described(Vessels(b)))
			}
		}
		if c := clean(s); !utf8.ValidString(c) || utf8.RuneCountInString(c) > mostShown+1 {
			t.Fatalf("%q is cleaned to %q", s, c)
		}
	})
}

// TestScriptIsText: markup in an id is shown letter by letter.
func TestScriptIsText(t *testing.T) {
	const nasty = `<script>alert("S1")</script>`
	svg := Vessels(Bench{ID: "x", Vessels: []Vessel{{ID: nasty, VolumeText: "5 mL", Volume: 5}}})
	if strings.Contains(string(svg), "<script") {
		t.Errorf("a script element in %s", svg)
	}
	if got := strings.ReplaceAll(drawnText(svg), "\n", ""); !strings.Contains(got, nasty) {
		t.Errorf("%q is not drawn in %q", nasty, got)
	}
	if !strings.Contains(described(svg), nasty) {
		t.Errorf("%q is not described in %q", nasty, described(svg))
	}
}
