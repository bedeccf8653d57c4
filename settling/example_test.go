package settling_test

import (
	"fmt"

	"vialwright/quantity"
	"vialwright/settling"
)

// How long may a full vial stand before it is drawn from?
func ExampleRun() {
	c := settling.Default()
	c.Tip = 8 * quantity.Millimetre
	c.Tolerance = 5 * quantity.Percent
	r, err := settling.Run(c)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f %% solids, %.2f g of spheres, liquid %.1f mm high\n", 100*float64(r.Solids), float64(r.Mass), float64(r.Level))
	fmt.Printf("begin the draw within %.0f s\n", float64(r.Window.Until))
	for _, t := range []quantity.Span{0, 60, 120} {
		p := r.At(t)
		fmt.Printf("%3.0f s: clear above %4.1f mm, bed to %3.1f mm, at the tip %3.0f %%\n",
			float64(t), float64(p.Clear), float64(p.Bed), 100*float64(p.Tip))
	}
	// Output:
	// 23 % solids, 1.85 g of spheres, liquid 19.6 mm high
	// begin the draw within 28 s
	//   0 s: clear above 19.6 mm, bed to 0.0 mm, at the tip 100 %
	//  60 s: clear above 13.2 mm, bed to 4.5 mm, at the tip 100 %
	// 120 s: clear above  7.6 mm, bed to 7.6 mm, at the tip   0 %
}

// An input that is wrong is named, with the way out.
func ExampleRun_refusal() {
	c := settling.Default()
	c.Tip = 12 * quantity.Millimetre // 2 mL would take the surface below it
	_, err := settling.Run(c)
	fmt.Println(err)
	// Output:
	// Draw.Volume: the surface would sink below the needle tip and air be drawn (draw less or lower the tip)
}

// A single sphere in water.
func ExampleTerminal() {
	water, err := settling.Water(20)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("water at 20 C: %.4f g/cm3, %.4f mPa s\n", float64(water.Density), float64(water.Viscosity))
	f, err := settling.Terminal(32*quantity.Micrometre, 1.6, water)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("a 32 um sphere falls %.3f mm/s (Re %.4f)\n", float64(f.Velocity), f.Reynolds)
	// Output:
	// water at 20 C: 0.9982 g/cm3, 1.0016 mPa s
	// a 32 um sphere falls 0.333 mm/s (Re 0.0106)
}

// A site reads one vial again and again while it settles; later readings are
// then brought back to the freshly agitated vial.
func ExampleFitReadings() {
	var readings []settling.Reading
	for _, r := range []struct{ s, mbq float64 }{
		{0, 3012}, {20, 2979}, {40, 2957}, {60, 2938}, {90, 2921}, {120, 2912}, {180, 2899}, {300, 2896},
	} {
		readings = append(readings, settling.Reading{
			At: quantity.Span(r.s), Value: quantity.Activity(r.mbq) * quantity.MegaBecquerel, U: 4 * quantity.MegaBecquerel,
		})
	}
	curve, err := settling.FitReadings(readings)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("settled, the meter reads %+.1f %%, with a time constant of %.0f s\n", 100*float64(curve.Amplitude), float64(curve.Tau))
	factor, u, err := curve.Correction(45)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("a reading at 45 s is multiplied by %.4f +/- %.4f\n", float64(factor), float64(u))
	// Output:
	// settled, the meter reads -3.9 %, with a time constant of 62 s
	// a reading at 45 s is multiplied by 1.0207 +/- 0.0014
}
