package fact

import (
	"vialwright/quantity"
)

// Settling is what a site has measured or decided for the clock that tells how
// a vial settles; any field may be absent.
type Settling struct {
	// Bore is the inner diameter of the shipping vial, Cone the height of a
	// pointed floor, absent for a flat one, Tip the height of the needle tip
	// above the lowest point.
	Bore     quantity.Stated[quantity.Length] `may:"bore" label:"Inner diameter of the shipping vial"`
	Cone     quantity.Stated[quantity.Length] `may:"cone" label:"Height of the pointed floor"`
	Tip      quantity.Stated[quantity.Length] `may:"tip" label:"Needle tip above the lowest point"`
	DrawTime quantity.Stated[quantity.Span]   `may:"draw-time" label:"How long a draw takes"`
	// Within is how far the mean of a draw may depart from the mixed
	// concentration.
	Within      quantity.Stated[quantity.Fraction]    `may:"within" label:"How far a draw may depart from the mixed vial"`
	Temperature quantity.Stated[quantity.Temperature] `may:"temperature" label:"Temperature of the suspension"`
	// Spheres is the number of spheres in a vial as it comes; instead of it,
	// SphereActivity is the activity of one at the reference time of the label.
	Spheres        Number                             `may:"spheres" label:"Number of spheres in a vial as received"`
	SphereActivity quantity.Stated[quantity.Activity] `may:"sphere-activity" label:"Activity of one sphere at the reference time"`
	// Diameter and DiameterSD are the mean by number and the standard
	// deviation.
	Diameter   quantity.Stated[quantity.Length] `may:"diameter" label:"Mean diameter of the spheres"`
	DiameterSD quantity.Stated[quantity.Length] `may:"diameter-sd" label:"Standard deviation of the diameters"`
	Density    Number                           `may:"density" as:"density" label:"Density of the spheres"`
}
