package paper

import (
	"time"

	"vialwright/dispensing"
	"vialwright/identity"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// An invented scenario: no real patient, site, meter or vial. One vial is drawn
// for one patient; a reading was typed wrong and corrected.

var azores = time.FixedZone("", -3600)

func clock(text string) time.Time {
	t, err := time.ParseInLocation("2006-01-02T15:04", "2027-03-04T"+text, azores)
	must(err)
	return t
}

func must(err error) {
	if err != nil {
		panic(err)
	}
}

const software = "vialwright test"

// preparedCase is the case as the journal would fold it.
func preparedCase() dispensing.Case {
	b := ledger.New(clock("18:00"), nuclide.HalfLife{Value: 64.0417 * quantity.Hour})
	c := dispensing.Case{
		Zone: azores, HalfLife: nuclide.HalfLife{Value: 64.0417 * quantity.Hour, Source: "set by the example"}, Book: b,
		Policy: dispensing.Policy{
			Rules:          dispensing.Rules{Tolerance: 0.10, Limit: 0.20, Confidence: 0.95, Basis: quantity.LabelBasis},
			LabelTolerance: 0.10, MakeUpMin: 3, MakeUpMax: 5, Graduation: 0.1,
			Yield: ledger.Share{Value: 0.97, U: 0.04}, ResidualU: 0.2,
		},
		Serves: map[string]string{"Y1": "P1", "A1": "P1"}, Last: clock("15:12"),
		Orders: []dispensing.Order{{
			Entry: 1, ID: "P1", Prescribed: 1.30 * quantity.GigaBecquerel, At: clock("13:30"), Residual: 0.02, Territory: "right lobe", Version: "2",
		}},
		Vials: []dispensing.Vial{{Entry: 2, ID: "S1", Lot: "L-0311", Labelled: 3 * quantity.GigaBecquerel, Reference: clock("18:00"), Volume: 5}},
		Draws: []dispensing.Draw{{Entry: 5, From: "S1", Into: "Y1", For: "P1", At: clock("11:10"), Volume: 2.2}},
		MakeUps: []dispensing.MakeUp{{
			Entry: 7, Of: "Y1", At: clock("11:18"), Volume: 1.3, Diluent: "water for injection", Lot: "W-77", After: 3.5,
		}},
	}
	must(b.Open(ledger.Container{ID: "S1", Kind: ledger.ShippingVial}, time.Time{}))
	must(b.Open(ledger.Container{ID: "Y1", Kind: ledger.Syringe}, clock("11:10")))
	must(b.Open(ledger.Container{ID: "A1", Kind: ledger.AdministrationVial}, clock("11:20")))
	must(b.Open(ledger.Container{ID: "P1", Kind: ledger.Territory}, clock("13:30")))
	must(b.Move(ledger.Movement{
		Entry: 2, To: "S1", Volume: 5, At: clock("07:00"), Label: 3e9, LabelU: 1.7e8, Reference: clock("18:00"),
	}))
	gain := b.AddFactor(ledger.Factor{Name: "M1 calibration", Value: 1, U: 0.02})
	geometry := b.AddFactor(ledger.Factor{Name: "M1 shipping vial", Value: 1})
	read := func(entry int, at string, gross quantity.Activity) {
		c.Readings = append(c.Readings, dispensing.Reading{
			Entry: entry, Of: "S1", Meter: "M1", At: clock(at), Gross: gross, Background: 2e5, Basis: quantity.LabelBasis,
		})
		must(b.Read(ledger.Reading{
			Entry: entry, Of: "S1", At: clock(at), Net: gross - 2e5, Relative: 0.008, Background: 1600, Gain: gain, Geometry: geometry,
			Basis: quantity.LabelBasis,
		}))
	}
	read(3, "11:00", 3.24*quantity.GigaBecquerel)
	must(b.Move(ledger.Movement{Entry: 5, From: "S1", To: "Y1", Volume: 2.2, At: clock("11:10")}))
	read(6, "11:14", 1.85*quantity.GigaBecquerel)
	must(b.Add("Y1", 1.3, clock("11:18")))
	must(b.Move(ledger.Movement{Entry: 8, From: "Y1", To: "A1", Whole: true, At: clock("11:20")}))
	infuse(&c)
	return c
}

// infuse gives the dose and reads what stayed behind.
func infuse(c *dispensing.Case) {
	before := dispensing.DoseReading{Entry: 10, At: clock("11:30"), Rates: []quantity.MeterRate{182, 180, 184, 182}, Background: 0.2, Resolution: 1, BackgroundStep: 0.1, Family: "uSv/h"}
	after := dispensing.DoseReading{Entry: 10, At: clock("15:12"), Rates: []quantity.MeterRate{6.4, 6.2, 6.6, 6.4}, Background: 0.2, Resolution: 0.1, BackgroundStep: 0.1, Family: "uSv/h"}
	f, u, err := dispensing.ResidualFraction(before, after, c.HalfLife.Value, c.Policy.ResidualU)
	must(err)
	c.Infusions = []dispensing.Infusion{{Entry: 9, For: "P1", From: "A1", Start: clock("13:30"), Stop: clock("14:05"), Reason: "complete"}}
	c.Residuals = []dispensing.Residual{{Entry: 10, For: "P1", From: "A1", Before: before, After: after}}
	must(c.Book.Move(ledger.Movement{
		Entry: 9, From: "A1", To: "P1", Volume: 3.5, At: clock("13:30"), Measured: ledger.Share{Value: 1 - f, U: u},
	}))
}

// preparedRecord is the journal's own view of the same case.
func preparedRecord() Record {
	entry := func(n int, at, who, text string) Entry {
		return Entry{Number: n, At: clock(at), Recorded: clock(at), Who: who, Text: text}
	}
	r := Record{
		Patient: "DEMO-0042", Software: software, Made: clock("16:00"),
		Head: "9f2c1a7b5e80d3649f2c1a7b5e80d3649f2c1a7b5e80d3649f2c1a7b5e80d364",
		Entries: []Entry{
			entry(1, "07:30", "R. Example", "order P1, version 2: 1.30 GBq, right lobe"),
			entry(2, "08:02", "T. Example", "vial S1 received, lot L-0311, labelled 3.0 GBq"),
			entry(3, "11:00", "T. Example", "S1 read: 3.42 GBq gross"),
			entry(4, "11:01", "T. Example", "S1 read: 3.24 GBq gross"),
			entry(5, "11:10", "T. Example", "2.2 mL drawn from S1 into Y1 for P1"),
			entry(6, "11:14", "T. Example", "S1 read: 1.85 GBq gross"),
			entry(7, "11:18", "T. Example", "1.3 mL water for injection, lot W-77, added to Y1"),
			entry(8, "11:20", "T. Example", "Y1 transferred into A1"),
			entry(9, "14:05", "N. Example", "infused 13:30 to 14:05, complete"),
			entry(10, "15:12", "T. Example", "dose rates read before and after"),
			entry(11, "15:30", "T. Example", "hands, floor and suite surveyed: below 0.4 Bq/cm2"),
		},
		Signatures: []Signature{
			{Who: "T. Example", At: clock("15:40"), Meaning: "prepared", Hash: "9f2c1a7b5e80d364"},
			{Who: "P. Example", At: clock("15:45"), Meaning: "checked independently", Hash: "9f2c1a7b5e80d364"},
		},
	}
	r.Entries[3].Corrects, r.Entries[3].Reason = 3, "digits exchanged"
	r.Entries[8].Recorded = clock("14:20")
	r.Entries[8].Step, r.Entries[10].Step = InfusionStep, SurveyStep
	return r
}

// facts are those of the label of that dose.
func facts() Facts {
	return Facts{
		Container: Syringe, Serial: identity.New([16]byte{1, 2, 3}), Material: "Y-90 resin microspheres",
		Activity: 1348340000, At: clock("13:30"), Volume: 3.5,
		ValidFrom: clock("06:12").Add(3 * time.Second), ValidUntil: clock("23:44").Add(time.Hour + 28*time.Second), Zone: azores,
		Order: "P1", Version: "2", Territory: "right lobe", SubDose: 1, SubDoses: 2,
		Patient: []string{"DEMO-0042", "1961-07-23"}, Lot: "L-0311", HalfLife: 64.0417 * quantity.Hour, Way: "Syringe Y1",
	}
}
