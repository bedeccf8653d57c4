package plan

import (
	"math"
	"testing"

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
