package experience_test

import (
	"fmt"
	"time"

	"vialwright/experience"
	"vialwright/experience/invented"
)

// A site with 200 finished cases opens the next one: what its draws have yielded
// goes into it as a fact, and the plan rests on that.
func Example() {
	until := time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	cases, err := invented.Cases(200, 1, until, time.LoadLocation)
	if err != nil {
		fmt.Println(err)
		return
	}
	t := experience.New(time.LoadLocation)
	t.TakeAll(cases, 1)
	fact := t.Fact(until, 3200)
	for _, y := range fact.Yields[:4] {
		fmt.Printf("%s, by %q: %s, u %s, from %d draws, %d of them such\n", y.Vial, y.By, y.Q, y.U, y.Cases, y.Own)
	}
	for _, u := range t.Unusual() {
		fmt.Printf("%s: %s, z = %.1f\n", u.Order, u.What, u.Z)
	}
	// Output:
	// 3 GBq in 5 mL, by "": 92.4 %, u 3.1 %, from 198 draws, 148 of them such
	// 3 GBq in 5 mL, by "NT1": 92.0 %, u 2.9 %, from 198 draws, 55 of them such
	// 3 GBq in 5 mL, by "RP1": 92.8 %, u 2.9 %, from 198 draws, 40 of them such
	// 3 GBq in 5 mL, by "RP2": 92.2 %, u 2.9 %, from 198 draws, 53 of them such
	// P0041: draw yield, z = -5.8
	// P0191: draw yield, z = -5.4
	// P0116: draw yield, z = -5.7
	// P0036: residual activity, z = 5.3
	// P0153: residual activity, z = 4.1
}
