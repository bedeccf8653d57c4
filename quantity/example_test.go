package quantity_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"vialwright/quantity"
)

// A quantity is text with a unit, and comes back as a value in base units with
// the digits as typed.
func ExampleParse() {
	label, err := quantity.Parse[quantity.Activity]("81mCi")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(label, "is", label.Value.MBq(), "MBq")

	drawn, _ := quantity.Parse[quantity.Volume]("2.20 ml")
	fmt.Println(drawn, "is", float64(drawn.Value), "mL")
	// Output:
	// 81 mCi is 2997 MBq
	// 2.20 mL is 2.2 mL
}

// What could be read in two ways is refused, with the readings.
func ExampleParse_refused() {
	for _, text := range []string{"3.0", "1,234 MBq", ".5 GBq", "3 mBq", "3 mL", "5 curies"} {
		_, err := quantity.Parse[quantity.Activity](text)
		fmt.Println(err)
	}
	// Output:
	// "3.0": there is a number but no unit (is it 3.0 GBq or 3.0 MBq or 3.0 mCi?)
	// "1,234 MBq": the comma may be a decimal point or a thousands mark (write 1.234 MBq or 1234 MBq)
	// ".5 GBq": a point without a digit before it is easily missed (write 0.5 GBq)
	// "3 mBq": mBq is the millibecquerel, 1e-9 of MBq (did you mean MBq?)
	// "3 mL": mL is a volume; an activity was expected (usual units: GBq, MBq, mCi)
	// "5 curies": curies is not read: units are written as symbols (write Ci)
}

// An error carries a stable code beside the sentence and the hint.
func ExampleError() {
	_, err := quantity.Parse[quantity.Fraction]("0.02")
	var e *quantity.Error
	if errors.As(err, &e) {
		fmt.Println(e.Code)
		fmt.Println(e.Msg)
		fmt.Println(e.Hint)
	}
	// Output:
	// unit-missing
	// there is a number but no unit
	// write 0.02 % or, if 0.02 is the ratio, 2 %
}

// A record holds canonical text only: what is read is written again with the
// same bytes, and an absent quantity is left out.
func ExampleStated() {
	type reading struct {
		Gross      quantity.Stated[quantity.Activity] `json:"gross"`
		Background quantity.Stated[quantity.Activity] `json:"background,omitzero"`
	}
	gross, err := quantity.ParseCanonical[quantity.Activity]("3.240 GBq")
	fmt.Println(gross, err)
	text, _ := json.Marshal(reading{Gross: gross})
	fmt.Println(string(text))
	_, err = quantity.ParseCanonical[quantity.Activity]("3.24GBq")
	fmt.Println(err)
	// Output:
	// 3.240 GBq <nil>
	// {"gross":"3.240 GBq"}
	// "3.24GBq": it is not written as a record writes it (write 3.24 GBq)
}

// A program that states what it computed keeps every digit it needs to come
// back to the same value, and no more.
func ExampleOf() {
	s, _ := quantity.Of(quantity.Activity(2.997e9), "mCi")
	fmt.Println(s)
	s, _ = quantity.Of(3*quantity.GigaBecquerel, "mCi")
	fmt.Println(s)
	// Output:
	// 81 mCi
	// 81.08108108108108 mCi
}

// The value is rounded to the place of its uncertainty, which has two
// significant digits.
func ExampleFormat() {
	fmt.Println(quantity.Format(quantity.Activity(1.3478e9), 0.0402e9, "GBq"))
	fmt.Println(quantity.Format(quantity.Activity(1.3478e9), 0, "GBq"))
	fmt.Println(quantity.FormatDigits(quantity.Activity(1.3478e9), 3, "GBq"))
	// Output:
	// 1.348 ± 0.040 GBq
	// 1.348 GBq
	// 1.35 GBq
}

// Both shows the unit of the meter beside the unit of the prescription.
func ExampleBoth() {
	fmt.Println(quantity.Both(quantity.Activity(1.348e9), 0.0402e9))
	fmt.Println(quantity.Both(quantity.Activity(0.2e6), 0))
	fmt.Println(quantity.Both(quantity.DoseRate(182), 3.6))
	fmt.Println(quantity.Both(quantity.Contamination(4), 0))
	// Output:
	// 1.348 ± 0.040 GBq (36.4 ± 1.1 mCi)
	// 200 kBq (5.405 microcurie)
	// 182.0 ± 3.6 µSv/h (18.20 ± 0.36 mrem/h)
	// 4 Bq/cm² (24000 dpm/100 cm²)
}

// A page takes the parts.
func ExampleShow() {
	f := quantity.Show(quantity.Activity(629e6), 19e6)
	fmt.Printf("value %s, uncertainty %s, unit %s\n", f.Value, f.U, f.Unit)
	// Output:
	// value 629, uncertainty 19, unit MBq
}

// A volume to draw is printed as the syringe is set.
func ExampleShowGraduated() {
	fmt.Println(quantity.ShowGraduated(2.494015, 0.1))
	fmt.Println(quantity.ShowGraduated(4.98, 0.1))
	// Output:
	// 2.5 mL
	// 5 mL
}

func ExampleShowSpan() {
	fmt.Println(quantity.ShowSpan(2*quantity.Hour + 20*quantity.Minute))
	fmt.Println(quantity.ShowSpan(34.6 * quantity.Day))
	// Output:
	// 2 h 20 min
	// 34 d 14 h
}

// A local time takes the zone of the site, unless the clocks there skipped it
// or showed it twice.
func ExampleParseTime() {
	berlin, _ := time.LoadLocation("Europe/Berlin")
	for _, text := range []string{"2027-03-04T13:30", "2027-10-31T02:30", "2027-10-31T02:30+01:00", "04/03/2027 13:30"} {
		t, err := quantity.ParseTime(text, berlin)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(quantity.FormatTime(t, berlin))
	}
	// Output:
	// 2027-03-04T13:30:00+01:00
	// "2027-10-31T02:30": the clocks in Europe/Berlin were put back and showed this time twice (write the offset: 2027-10-31T02:30:00+02:00 (CEST, 2027-10-31 00:30:00 UTC) or 2027-10-31T02:30:00+01:00 (CET, 2027-10-31 01:30:00 UTC))
	// 2027-10-31T02:30:00+01:00
	// "04/03/2027 13:30": a date in this order is read in more than one way (write the date as 2027-03-04 or 2027-04-03)
}

func ExampleShowTime() {
	azores, _ := time.LoadLocation("Atlantic/Azores")
	berlin, _ := time.LoadLocation("Europe/Berlin")
	t, _ := quantity.ParseTime("2027-03-04T13:30", azores)
	fmt.Println(quantity.ShowTime(t))
	fmt.Println(quantity.ShowTime(t.In(berlin)))
	fmt.Println(quantity.OffsetMatchesZone(t, berlin))
	// Output:
	// 2027-03-04 13:30 (UTC-01:00)
	// 2027-03-04 15:30 (CET, UTC+01:00)
	// false
}
