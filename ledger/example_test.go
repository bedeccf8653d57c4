package ledger_test

import (
	"fmt"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// A vial is read, drawn from, and read again on one meter. The draw is the
// difference, and the meter's calibration does not add to it twice.
func Example() {
	epoch := time.Date(2027, 3, 4, 19, 0, 0, 0, time.UTC)
	book := ledger.New(epoch, nuclide.HalfLife{Value: 230550 * quantity.Second})
	gain := book.AddFactor(ledger.Factor{Name: "M1 calibration", Value: 1, U: 0.02})
	vial := book.AddFactor(ledger.Factor{Name: "M1 shipping vial", Value: 1})
	read := func(id string, at time.Time, net quantity.Activity) ledger.Reading {
		return ledger.Reading{Of: id, At: at, Net: net, Relative: 0.003, Gain: gain, Geometry: vial, Basis: quantity.LabelBasis}
	}

	_ = book.Open(ledger.Container{ID: "S1", Kind: ledger.ShippingVial}, time.Time{})
	_ = book.Open(ledger.Container{ID: "Y1", Kind: ledger.Syringe}, time.Time{})
	_ = book.Move(ledger.Movement{Entry: 1, To: "S1", Volume: 5, Label: 3e9, LabelU: 1.7e8, Reference: epoch, At: epoch})
	_ = book.Read(read("S1", epoch, 3.12e9))
	_ = book.Move(ledger.Movement{Entry: 2, From: "S1", To: "Y1", Volume: 2.5, At: epoch})
	_ = book.Read(read("S1", epoch, 1.52e9))

	balances, err := ledger.Reconcile(book)
	if err != nil {
		fmt.Println(err)
		return
	}
	drawn, u := balances.Activity(balances.Now("Y1"), epoch)
	fmt.Println(quantity.Both(drawn, u))
	fmt.Println("known by readings alone:", balances.Assayed(balances.Now("Y1")))
	// Output:
	// 1.600 ± 0.034 GBq (43.24 ± 0.92 mCi)
	// known by readings alone: true
}

// A fact that cannot be is refused, with the field and the way out.
func ExampleBook_Move() {
	at := time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	book := ledger.New(at, nuclide.HalfLife{Value: 230550 * quantity.Second})
	_ = book.Open(ledger.Container{ID: "S1", Kind: ledger.ShippingVial}, at)
	_ = book.Open(ledger.Container{ID: "Y1", Kind: ledger.Syringe}, at)
	_ = book.Move(ledger.Movement{To: "S1", Volume: 5, At: at})

	err := book.Move(ledger.Movement{From: "S1", To: "Y1", Volume: 5.1, At: at})
	r := err.(*ledger.Refusal)
	fmt.Println(r.Code, r.Field)
	fmt.Println(r.Msg)
	fmt.Println(r.Hint)
	// Output:
	// overdrawn volume
	// 5.1 mL cannot leave S1, which holds 5 mL
	// check the volume, or enter the missing make-up or return
}
