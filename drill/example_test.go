package drill_test

import (
	"fmt"
	"time"

	"vialwright/drill"
)

// Every drill says what it is modelled on.
func Example() {
	drills, err := drill.All(time.LoadLocation)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range drills {
		if d.Name == "gbq-for-mci" {
			fmt.Println(d.Accident, d.Fault, d.Met, d.Source)
		}
	}
	// Output: GBq written for mCi [6] [implausible-activity reading-disagrees] no published report
}
