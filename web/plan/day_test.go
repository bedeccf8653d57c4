package plan

import (
	"fmt"
	"math"
	"testing"
	"time"

	"vialwright/dayplan"
	"vialwright/dispensing"
	"vialwright/procedure"
	"vialwright/web/kit"
)

// TestAssayU: the least certain meter counts, as uncertain as it is; without a meter
// nothing is known of a reading.
func TestAssayU(t *testing.T) {
	for name, c := range map[string]struct {
		meters map[string]dispensing.MeterU
		u      float64
		read   bool
	}{
		"none":     {nil, 0, false},
		"two":      {map[string]dispensing.MeterU{"S1": {Repeat: 0.03, Common: 0.04}, "S2": {Repeat: 0.01, Common: 0.02}}, 0.05, true},
		"very bad": {map[string]dispensing.MeterU{"S1": {Repeat: 0.3, Common: 0.4}}, 0.5, true},
	} {
		st := &kit.State{Reckoned: &procedure.Reckoned{Case: dispensing.Case{Meters: c.meters}}}
		if u, read := assayU(st); math.Abs(float64(u)-c.u) > 1e-12 || read != c.read {
			t.Errorf("%s: %v, %v", name, u, read)
		}
	}
}

// TestSuites: orders at one time have a suite each, by number; of a thousand million
// suites no more are looked at than there are orders.
func TestSuites(t *testing.T) {
	at := time.Date(2027, 3, 4, 10, 0, 0, 0, time.UTC)
	orders := make([]dayplan.Order, 12)
	for i := range orders {
		orders[i].At = at
	}
	suites(orders, 1e9, 3600)
	for i, o := range orders {
		if want := fmt.Sprint("Suite ", i+1); o.Suite != want {
			t.Errorf("%q, not %q", o.Suite, want)
		}
	}
}
