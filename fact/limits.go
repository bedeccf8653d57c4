package fact

import (
	"vialwright/quantity"
)

// Limits are what the site allows of dose rates, contamination and staff doses.
// Any may be absent; none is assumed. Dose rates are compared less their
// background. A place whose name begins with "hands" or "package" has limits of
// its own; every other place is an area.
type Limits struct {
	AreaRate, HandsRate, PackageRate quantity.Stated[quantity.DoseRate]
	AreaWipe, HandsWipe, PackageWipe quantity.Stated[quantity.Contamination]
	// Finger and Body are for one entry of a staff dose.
	Finger, Body quantity.Stated[quantity.DoseEquivalent]
}

func (l *Limits) fields(f []Slot) []Slot {
	return append(f,
		Slot{"area-rate", may, amount(&l.AreaRate), "Dose rate of a place, less background"},
		Slot{"area-wipe", may, amount(&l.AreaWipe), "Removable contamination of a place"},
		Slot{"hands-rate", may, amount(&l.HandsRate), "Dose rate at the hands, less background"},
		Slot{"hands-wipe", may, amount(&l.HandsWipe), "Contamination of the hands"},
		Slot{"package-rate", may, amount(&l.PackageRate), "Dose rate at a package, less background"},
		Slot{"package-wipe", may, amount(&l.PackageWipe), "Removable contamination of a package"},
		Slot{"finger", may, amount(&l.Finger), "Finger dose of one entry"},
		Slot{"body", may, amount(&l.Body), "Body dose of one entry"},
	)
}
