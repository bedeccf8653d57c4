package nuclide_test

import (
	"fmt"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// What a vial holds ten hours after its reference time, and how well the
// half-life lets us know.
func Example() {
	h := nuclide.Y90.HalfLife()
	reference := time.Date(2027, 3, 4, 18, 0, 0, 0, time.UTC)
	now := reference.Add(10 * time.Hour)

	held, err := h.Carry(3.0*quantity.GigaBecquerel, reference, now)
	if err != nil {
		fmt.Println(err)
		return
	}
	u := h.RelativeU(nuclide.Elapsed(reference, now))
	fmt.Printf("%.6f GBq, relative uncertainty from the half-life %.1e\n", held/quantity.GigaBecquerel, u)
	fmt.Println("half-life:", h.Source)
	// Output:
	// 2.692253 GBq, relative uncertainty from the half-life 5.2e-05
	// half-life: 230550 ± 110 s, DDEP evaluation, BIPM Monographie-5, 2015
}

// The half-lives of Y-90 in print; each says how it is known.
func ExampleNuclide_HalfLives() {
	for _, h := range nuclide.Y90.HalfLives() {
		fmt.Printf("%.3f h  u %.3f h  %s\n", h.Value.Hours(), h.U.Hours(), h.Source)
	}
	// Output:
	// 64.042 h  u 0.031 h  230550 ± 110 s, DDEP evaluation, BIPM Monographie-5, 2015
	// 64.042 h  u 0.031 h  2.6684(13) d, DDEP evaluation, BIPM Monographie-5, literature to 2015-02-01
	// 64.050 h  u 0.050 h  64.05 ± 0.05 h, ENSDF, Nuclear Data Sheets 165, 2020
	// 64.100 h  u 0.000 h  64.10 h, ICRP Publication 107, 2008, no uncertainty stated
	// 64.200 h  u 0.000 h  64.2 h, EANM guideline, Eur J Nucl Med Mol Imaging 49:1682, 2022, no uncertainty stated
}

// A site sets its own half-life; a slipped digit does not get through.
func ExampleNuclide_Vet() {
	fmt.Println(nuclide.Y90.Vet(nuclide.HalfLife{Value: 64.1 * quantity.Hour, Source: "site protocol"}))
	fmt.Println(nuclide.Y90.Vet(nuclide.HalfLife{Value: 6.41 * quantity.Hour, Source: "site protocol"}))
	// Output:
	// <nil>
	// The half-life set for Y-90 lies more than 0.5 % from 230550 ± 110 s, DDEP evaluation, BIPM Monographie-5, 2015. Check the number and its unit.
}

// When a syringe of 1.40 GBq lies within 10 % of 1.30 GBq.
func ExampleHalfLife_Window() {
	at := time.Date(2027, 3, 4, 11, 20, 0, 0, time.UTC)
	from, until, err := nuclide.Y90.HalfLife().Window(1.40e9, at, 1.17e9, 1.43e9)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(from.Format(time.DateTime), "to", until.Format(time.DateTime))
	// Output:
	// 2027-03-04 09:22:27 to 2027-03-05 03:54:53
}

// How long a wasted vial takes to fall to 100 kBq.
func ExampleHalfLife_Until() {
	span, err := nuclide.Y90.HalfLife().Until(3*quantity.GigaBecquerel, 100*quantity.KiloBecquerel)
	fmt.Printf("%.1f days %v\n", span/quantity.Day, err)
	// Output:
	// 39.7 days <nil>
}

// A reference time left empty is refused instead of becoming 0 Bq.
func ExampleHalfLife_Carry() {
	var forgotten time.Time
	_, err := nuclide.Y90.HalfLife().Carry(3e9, forgotten, time.Date(2027, 3, 4, 18, 0, 0, 0, time.UTC))
	fmt.Println(err)
	// Output:
	// An activity cannot be carried from 0001-01-01 to 2027-03-04. Check the year of both dates.
}

// Sr-90 in the product keeps a little Y-90 alive for ever: 20 kBq in 1 GBq.
func ExamplePair_Grow() {
	p := nuclide.Pair{
		Parent: nuclide.Sr90.HalfLife().Value, Daughter: nuclide.Y90.HalfLife().Value, Branch: 1,
	}
	for _, days := range []quantity.Span{0, 10, 30, 60, 90} {
		y := p.Grow(20*quantity.KiloBecquerel, quantity.GigaBecquerel, days*quantity.Day)
		fmt.Printf("%2.0f d %12.1f kBq\n", days, y/quantity.KiloBecquerel)
	}
	// Output:
	//  0 d    1000000.0 kBq
	// 10 d      74469.7 kBq
	// 30 d        432.6 kBq
	// 60 d         20.1 kBq
	// 90 d         19.9 kBq
}
