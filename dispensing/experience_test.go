package dispensing_test

import (
	"fmt"

	"vialwright/dispensing"
	"vialwright/ledger"
)

// What is expected of a draw is looked for from the nearest row outwards: of
// the person with the kind of vial, of the kind, of anything else.
func ExampleExperience_Yield() {
	e := &dispensing.Experience{Yields: []dispensing.ExpectedYield{
		{Vial: "3 GBq in 5 mL", By: "NT1", Share: ledger.Share{Value: 0.92, U: 0.029}, Cases: 198, Own: 55},
		{Vial: "3 GBq in 5 mL", Share: ledger.Share{Value: 0.924, U: 0.031}, Cases: 198, Own: 148},
		{Share: ledger.Share{Value: 0.928, U: 0.037}, Cases: 198},
	}}
	for _, of := range [][2]string{{"3 GBq in 5 mL", "NT1"}, {"3 GBq in 5 mL", "RP9"}, {"9 GBq in 8 mL", "NT1"}} {
		y, _ := e.Yield(of[0], of[1])
		fmt.Println(y.Sentence())
	}
	// Output:
	// 92.0 ± 2.9 %, from 198 draws of this site, 55 of them by NT1 with 3 GBq in 5 mL
	// 92.4 ± 3.1 %, from 198 draws of this site, 148 of them with 3 GBq in 5 mL
	// 92.8 ± 3.7 %, from 198 draws of this site, none of them with such a vial
}
