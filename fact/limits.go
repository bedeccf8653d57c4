package fact

import (
	"vialwright/quantity"
)

// Limits are what the site allows of dose rates, contamination and staff doses.
// Any may be absent; none is assumed. Dose rates are compared less their
// background. A place whose name begins with "hands" or "package" has limits of
// its own; every other place is an area.
type Limits struct {
	AreaRate    quantity.Stated[quantity.DoseRate]       `may:"area-rate" label:"Dose rate of a place, less background"`
	AreaWipe    quantity.Stated[quantity.Contamination]  `may:"area-wipe" label:"Removable contamination of a place"`
	HandsRate   quantity.Stated[quantity.DoseRate]       `may:"hands-rate" label:"Dose rate at the hands, less background"`
	HandsWipe   quantity.Stated[quantity.Contamination]  `may:"hands-wipe" label:"Contamination of the hands"`
	PackageRate quantity.Stated[quantity.DoseRate]       `may:"package-rate" label:"Dose rate at a package, less background"`
	PackageWipe quantity.Stated[quantity.Contamination]  `may:"package-wipe" label:"Removable contamination of a package"`
	Finger      quantity.Stated[quantity.DoseEquivalent] `may:"finger" label:"Finger dose of one entry"`
	Body        quantity.Stated[quantity.DoseEquivalent] `may:"body" label:"Body dose of one entry"`
}
