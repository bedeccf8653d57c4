package identity_test

import (
	"fmt"

	"vialwright/identity"
)

// Sixteen bytes from a cryptographic source make a serial; these are zeros, so that
// the example prints the same every time.
func ExampleNew() {
	fmt.Println(identity.New([16]byte{}))
	fmt.Println(identity.NewPractice([16]byte{}))
	// Output:
	// 2222-2222-222R
	// X222-2222-222V
}

func ExampleParse() {
	for _, text := range []string{"k7mp 3ywd 9ck2", "K7MP-3YWD-9CK3", "K7MP-3YWD-9CO2", "K7MP-3YWD"} {
		serial, err := identity.Parse(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(serial)
	}
	// Output:
	// K7MP-3YWD-9CK2
	// "K7MP-3YWD-9CK3": the check character does not agree, so at least one character is wrong (scan it, or type it again from the label)
	// "K7MP-3YWD-9CO2": no serial holds 'O', the character at 13 (look again: a serial has only 23456789CDFHJKMNPRTVWXY)
	// "K7MP-3YWD": a serial has 12 characters, and this has 8 (count the groups: three of four)
}

// A maker's label as a scanner sends it; \x1d stands between element strings
// of variable length.
func ExampleRead() {
	s := identity.Read("]d201095060001343521727060010L-0311\x1d21S1-77", 2026)
	fmt.Println("lot", s.Lot, "number", s.Number, "expiry", s.Expiry)

	s = identity.Read("]d2010950600013435310L-0311", 2026)
	fmt.Println("lot", s.Lot)
	fmt.Println(s.Problem)
	// Output:
	// lot L-0311 number S1-77 expiry 2027-06-30
	// lot L-0311
	// "09506000134353": the check digit of GTIN does not agree (scan again)
}

func ExampleMatch() {
	label, _ := identity.Parse("K7MP-3YWD-9CK2")
	expected := identity.Item{
		Patient: "DEMO-0042", Order: "P1", Version: "2", Territory: "right lobe", Vial: "S1", Label: label,
	}
	found := expected
	found.Version = "1"
	found.Patient = ""
	for _, c := range identity.Match(expected, found) {
		fmt.Println(c.Text())
	}
	// Output:
	// no patient was scanned; expected DEMO-0042
	// the record names no second identifier to compare with
	// order agrees: P1
	// another version: expected 2, found 1
	// territory agrees: right lobe
	// vial agrees: S1
	// label agrees: K7MP-3YWD-9CK2
}
