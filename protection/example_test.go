package protection_test

import (
	"fmt"
	"time"

	"vialwright/protection"
	"vialwright/quantity"
)

// A package that reads 8.3 uSv/h at 1 m and 0.21 mSv/h at its surface.
func Example() {
	index := protection.TransportIndex(8.3 * quantity.MicroSievertPerHour)
	fmt.Printf("TI %.1f, %v\n", index, protection.CategoryOf(index, 0.21*quantity.MilliSievertPerHour))
	c := protection.Calendar{Days: []time.Weekday{time.Monday}, Opens: 8 * time.Hour, Closes: 17 * time.Hour, Zone: time.UTC}
	due, _ := c.Due(time.Date(2027, 3, 7, 7, 0, 0, 0, time.UTC), 3*quantity.Hour)
	fmt.Println("to be surveyed by", due.Format("Mon 15:04"))
	// Output:
	// TI 0.9, Yellow-II
	// to be surveyed by Mon 11:00
}
