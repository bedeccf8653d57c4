package picture

import (
	"html/template"
	"math"
	"testing"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

// TestVolumeIsTheIntegral compares the closed form with ∫πr²dz by the midpoint
// rule in steps of 1 µm, which is off by less than 1e-6 of a vial (r has
// corners, so the error of a step with one is of second order only).
func TestVolumeIsTheIntegral(t *testing.T) {
	for name, v := range map[string]vial{"shipping": shipping, "pointed": pointed} {
		sum := 0.0
		const dz = 1e-3
		for i := range int(math.Round(v.brim / dz)) {
			z := (float64(i) + 0.5) * dz
			r := v.radius(z)
			sum += math.Pi * r * r * dz / 1000
			if i%997 == 0 {
				if got := v.below(z + dz/2); math.Abs(got-sum) > 1e-6*v.below(v.brim) {
					t.Fatalf("%s: below(%.3f mm) = %.7f mL, integral %.7f", name, z+dz/2, got, sum)
				}
			}
		}
	}
}

// TestWorkedLevel is the worked example of the package comment.
func TestWorkedLevel(t *testing.T) {
	if got := shipping.below(1.5); math.Abs(got-0.4769) > 1e-4 {
		t.Errorf("floor %.4f mL", got)
	}
	if got := shipping.level(2.8); math.Abs(got-7.840) > 1e-3 {
		t.Errorf("level %.4f mm", got)
	}
}

func TestLevelInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SampledFrom([]vial{shipping, pointed}).Draw(t, "vial")
		volume := rapid.Float64Range(0, v.below(v.brim)).Draw(t, "mL")
		if back := v.below(v.level(volume)); math.Abs(back-volume) > 1e-9 {
			t.Fatalf("%v mL stands at a level with %v mL below it", volume, back)
		}
	})
}

// TestTenMillilitreClass: the shipping vial holds its class, and the liquid
// never reaches the stopper before that.
func TestTenMillilitreClass(t *testing.T) {
	if got := shipping.below(shipping.brim); got < 10 || got > 12 {
		t.Errorf("the shipping vial holds %.2f mL", got)
	}
	if got := pointed.below(pointed.brim); got < 5 {
		t.Errorf("the administration vial holds %.2f mL, less than a made-up dose", got)
	}
}

// TestSyringeFitsThePicture: with the plunger right out the stopper is still in
// the barrel, and the thumb rest in the picture.
func TestSyringeFitsThePicture(t *testing.T) {
	if along(most)+stopper > flangeAt {
		t.Errorf("the stopper ends at %.2f mm, the barrel at %.2f mm", along(most)+stopper, flangeAt)
	}
	const lengthMost = nozzleLength + most*1000/(math.Pi*bore*bore/4) + stopper + rodLength + restWidth // plunger out
	if r := vesselRoom; r.nozzle+lengthMost*r.scale > r.width-2 {
		t.Errorf("the syringe ends at %.1f of %.0f", r.nozzle+lengthMost*r.scale, r.width)
	}
}

// revolved is the volume of a liquid as drawn: its polygons turned round their
// axis, each pair of points a frustum.
func revolved(svg template.HTML, scale float64, colours ...colour) float64 {
	sum := 0.0
	for _, c := range colours {
		for _, e := range painted(svg, "fill", c) {
			p := e.points()
			axis := (p[0].x + p[len(p)-1].x) / 2
			for i := 1; i < len(p)/2; i++ {
				a, b := (p[i-1].x-axis)/scale, (p[i].x-axis)/scale
				sum += math.Pi / 3 * (p[i-1].y - p[i].y) / scale * (a*a + a*b + b*b) / 1000
			}
		}
	}
	return sum
}

// TestLiquidAsDrawn measures the drawing: whatever the volume, the liquid
// turned round its axis has it, in layers or mixed. Coordinates have two
// decimals: half a hundredth of a unit in z is 0.001 mm, 0.4 µL of the widest
// section, on each face of a layer, and in r 1e-4 of the volume.
func TestLiquidAsDrawn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := Vessel{
			ID: "V", Kind: rapid.SampledFrom([]Kind{ShippingVial, AdministrationVial}).Draw(t, "kind"),
			Bed:   quantity.Volume(rapid.Float64Range(0, 3).Draw(t, "bed")),
			Clear: quantity.Volume(rapid.Float64Range(0, 3).Draw(t, "clear")),
		}
		volume := rapid.Float64Range(0, v.capacity()).Draw(t, "mL")
		v.Volume = quantity.Volume(volume)
		svg, scale := Vessels(Bench{Vessels: []Vessel{v}}), vesselRoom.scale
		all := revolved(svg, scale, liquid, bed, water)
		if math.Abs(all-volume) > 0.004+3e-4*volume {
			t.Fatalf("%.4f mL are drawn as %.4f mL", volume, all)
		}
		if want := math.Min(float64(v.Bed), volume); math.Abs(revolved(svg, scale, bed)-want) > 0.003+3e-4*want {
			t.Fatalf("bed of %.4f mL is drawn as %.4f mL", want, revolved(svg, scale, bed))
		}
	})
}

// TestPlungerAsDrawn: in the syringe the length is the volume over the bore's
// section, and the mark lies where the plunger will be.
func TestPlungerAsDrawn(t *testing.T) {
	section := math.Pi * bore * bore / 4 / 1000 // mL per mm
	rapid.Check(t, func(t *rapid.T) {
		volume := rapid.Float64Range(0.001, nominal).Draw(t, "mL")
		v := Vessel{Kind: Syringe, ID: "Y", Volume: quantity.Volume(volume), Target: &Target{quantity.Volume(volume), "", ""}}
		svg, r := Vessels(Bench{Vessels: []Vessel{v}}), vesselRoom
		p := painted(svg, "fill", liquid)[0].points()
		if got := (p[1].x - p[0].x) / r.scale * section; math.Abs(got-volume) > 0.001 {
			t.Fatalf("%.4f mL are drawn as %.4f mL", volume, got)
		}
		if got := (p[2].y - p[1].y) / r.scale; math.Abs(got-bore) > 0.01 {
			t.Fatalf("the bore is drawn as %.3f mm", got)
		}
		if mark := painted(svg, "stroke", goal)[0].points(); math.Abs(mark[0].x-p[1].x) > 0.011 || mark[0].x != mark[1].x {
			t.Fatalf("the mark is at %v, the plunger at %v", mark, p[1])
		}
	})
}
