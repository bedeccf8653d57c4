package paper_test

import (
	"fmt"
	"strings"
	"time"

	"vialwright/identity"
	"vialwright/paper"
	"vialwright/quantity"
)

// A label is made of finished values. Anyone who draws a serial for practice gets
// a practice label, and nothing else.
func ExamplePatientLabel() {
	zone := time.FixedZone("", -3600)
	at := time.Date(2027, time.March, 4, 13, 30, 0, 0, zone)
	facts := paper.Facts{
		Container: paper.Syringe, Serial: identity.New([16]byte{}), Material: "Y-90 resin microspheres",
		Activity: 1.348 * quantity.GigaBecquerel, At: at, Volume: 3.5, ValidFrom: at.Add(-6 * time.Hour), ValidUntil: at.Add(9 * time.Hour),
		Zone: zone, Order: "P1", Version: "2", Territory: "right lobe", SubDose: 1, SubDoses: 2,
		Patient: []string{"DEMO-0042", "1961-07-23"}, Lot: "L-0311", HalfLife: 64.0417 * quantity.Hour, Way: "Syringe Y1",
	}
	label, err := paper.PatientLabel(facts)
	if err != nil {
		fmt.Println(err)
		return
	}
	pdf, err := paper.Labels("vialwright 1.0", at, label)
	fmt.Println(string(pdf[:5]), err)

	facts.Serial = identity.NewPractice([16]byte{})
	_, err = paper.PatientLabel(facts)
	fmt.Println(err)

	facts.Lot = ""
	_, err = paper.PracticeLabel(facts)
	fmt.Println(err)
	// Output:
	// %PDF- <nil>
	// serial: X222-2222-222V is a practice serial (nothing made in practice may be labelled for a patient)
	// lot: there is none (a label without it is not printed)
}

// What does not fit is refused by name; nothing is cut.
func ExampleLabels() {
	zone := time.FixedZone("", -3600)
	at := time.Date(2027, time.March, 4, 13, 30, 0, 0, zone)
	label, err := paper.PracticeLabel(paper.Facts{
		Container: paper.AdministrationVial, Serial: identity.NewPractice([16]byte{}), Material: "Y-90 resin microspheres",
		Activity: 1.348 * quantity.GigaBecquerel, At: at, Volume: 3.5, ValidFrom: at.Add(-6 * time.Hour), ValidUntil: at.Add(9 * time.Hour),
		Zone: zone, Order: "P1", Version: "2", SubDose: 1, SubDoses: 1,
		Territory: "right hepatic artery, all of segments 5, 6, 7 and 8, and part of 4",
		Patient:   []string{"DEMO-0042"}, Lot: "L-0311", HalfLife: 64.0417 * quantity.Hour, Way: "Syringe Y1",
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = paper.Labels("vialwright 1.0", at, label)
	fmt.Println(err)
	// Output:
	// territory: "right hepatic artery, all of segments 5, 6, 7 and 8, and part of 4" does not fit on this label (shorten it in the order, or print a larger label)
}

func ExampleFigure() {
	r := paper.Figure("Dispensed", 1.34834*quantity.GigaBecquerel, 39.65*quantity.MegaBecquerel)
	fmt.Println(r.Label, r.Value, "±", r.U, r.Unit, "=", r.Also)
	// Output:
	// Dispensed 1.348 ± 0.040 GBq = 36.4 ± 1.1 mCi
}

// A sheet for a day without power has the steps of the work as boxes.
func ExampleBlankSheet() {
	sheet, err := paper.BlankSheet(paper.Day{Zone: time.FixedZone("UTC-01:00", -3600), HalfLife: 64.0417 * quantity.Hour, Source: "DDEP evaluation"})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range sheet.Sections[5:8] {
		fmt.Println(s.Heading)
		for _, r := range s.Rows {
			var boxes []string
			for _, b := range r.Blanks {
				boxes = append(boxes, strings.TrimSpace(b.Before+" [] "+b.After))
			}
			fmt.Println("  "+r.Label+":", strings.Join(boxes, " "))
		}
	}
	// Output:
	// 5  Plan of the draw
	//   Draw planned at t_d: [] : [] until t_a [] h [] min
	//   To draw A_d at t_d: [] GBq or [] mCi
	//   Vial at t_d: activity: [] GBq or [] mCi
	//   Vial at t_d: volume: [] mL draw yield q [] %
	//   Volume to draw: [] mL
	// 6  Draw
	//   Resuspended; drawn: resuspended [] : [] drawn [] : []
	//   Syringe, volume drawn: syringe [] [] mL
	//   Drawn by: []
	// 7  Assay after the draw, and decision
	//   Remainder, reading 1: [] GBq or [] mCi at [] : []
	//   Remainder, reading 2: [] GBq or [] mCi at [] : []
	//   Background: [] MBq or [] microcurie at [] : []
	//   Dispensed, at t_a: [] GBq or [] mCi
	//   Dispensed, % of prescribed: [] % of target [] %
	//   Decision: [] within tolerance [] outside: stop
	//   Valid from: [] - [] - [] at [] : []
	//   Valid until: [] - [] - [] at [] : []
}
