package procedure_test

import (
	"fmt"
	"strings"
	"testing"

	"vialwright/people"
	"vialwright/procedure"
)

// A preparation is taken up where it was left, and says what comes next.
func ExampleOf() {
	var tb testing.T
	b := upTo(&tb, procedure.Remainder) // then the bench was left
	p := b.prep("P1")
	for _, s := range p.Steps[:7] {
		fmt.Println(strings.TrimSpace(fmt.Sprint(s.Key, " ", s.State, " ", s.Why)))
	}
	now, _ := p.Current()
	fmt.Println("now:", now.Title)
	fmt.Println("needs:", now.Needs)
	// Output:
	// readiness done
	// receipt done
	// assay done
	// draw done
	// remainder done
	// adjust skipped the dose is within tolerance
	// make-up now
	// now: Make up the volume
	// needs: water for injection or 5 % glucose, never saline
}

// Who drew does not check, and who releases needs a check by another.
func ExamplePermit() {
	var tb testing.T
	p := upTo(&tb, procedure.Baseline).prep("P1")
	for _, who := range []people.Person{tess, rita, nora} {
		err := procedure.Permit(who, procedure.SecondCheck, p, p.Deeds)
		fmt.Printf("%s: %v\n", who.ID, err)
	}
	fmt.Println(procedure.Permit(rita, procedure.Release, p, p.Deeds))
	// Output:
	// tech-1: T. Example would check their own work (someone who neither read nor drew for this dose checks it)
	// rp-1: <nil>
	// sn-1: N. Example may not do the second check (this takes a radiopharmacist, a technologist or a medical physicist)
	// nobody has checked this dose (someone who neither read nor drew for it does the second check)
}
