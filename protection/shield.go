package protection

import (
	"math"
	"strings"

	"vialwright/quantity"
)

// Material is what a wall is of.
type Material struct {
	Name string
	// Density is in g/cm3, Range that of betas of the highest energy of Y-90 in g/cm2
	// (NIST ESTAR, continuous slowing down), Yield the part of the mean energy that
	// becomes photons (the same tables, at 0.9267 MeV).
	Density, Range, Yield float64
	// attenuation are the mass attenuation coefficients in cm2/g at 0.2, 0.5, 0.662, 1 and 2
	// MeV; [AttenuationSource] says where they are from.
	attenuation [5]float64
}

// Materials are those known.
var Materials = []Material{
	{"water", 1.00, 1.1283, 3.338e-3, [5]float64{0.13705, 0.09689, 0.08574, 0.07072, 0.04942}},
	{"acrylic", 1.19, 1.1677, 2.981e-3, [5]float64{0.13286, 0.09412, 0.08329, 0.06870, 0.04796}},
	{"aluminium", 2.70, 1.407, 7.152e-3, [5]float64{0.12231, 0.08445, 0.07464, 0, 0}},
	{"tungsten", 19.3, 1.833, 0.0572, [5]float64{0.78452, 0.137813, 0.09775, 0.06618, 0.04433}},
	{"lead", 11.35, 1.847, 0.0650, [5]float64{0.99869, 0.161356, 0.11009, 0.07102, 0.04606}},
}

// MaterialOf finds a material by its name.
func MaterialOf(name string) (Material, bool) {
	for _, m := range Materials {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}

// Stops is the thickness that stops all betas of Y-90.
func (m Material) Stops() quantity.Length {
	return quantity.Length(m.Range/m.Density) * quantity.Centimetre
}

// energies of attenuation, in MeV.
var energies = [5]float64{0.2, 0.5, 0.662, 1, 2}

// AttenuationSource says where the attenuation coefficients of an energy in MeV are from, with
// a mark where that was not read for this program.
func AttenuationSource(energy float64) string {
	if energy <= 0.8 { // above it the library has none
		return "xraylib"
	}
	return "NISTIR 5632 [from memory, within 0.3 % of the tables of EGSnrc at 1 MeV]"
}

// Transmission is the part of photons of one energy that passes a thickness without any
// reaction: what a detector behind a narrow beam sees. It is a lower bound, since what is
// scattered comes too. False for an energy that is not tabulated.
func (m Material) Transmission(energy float64, thickness quantity.Length) (float64, bool) {
	for i, e := range energies {
		if e == energy && m.attenuation[i] > 0 {
			return math.Exp(-m.attenuation[i] * m.Density * float64(thickness/quantity.Centimetre)), true
		}
	}
	return 0, false
}

// Published is what somebody measured, or we worked out, per GBq at a distance.
type Published struct {
	Distance quantity.Length
	// PerGBq is the figure, Low and High what else is in print for it.
	PerGBq, Low, High quantity.DoseRate
	Source            string
}

// Thing is what is asked about.
type Thing string

// What is known of.
const (
	ShieldedVial Thing = "vial in 12 mm acrylic"
	Jar          Thing = "administration vial in a jar of 12 mm acrylic"
	LeadPot      Thing = "vial in 12 mm acrylic and 6 mm lead"
	Package      Thing = "parcel with a vial in acrylic and lead"
	Patient      Thing = "patient"
)

const (
	transport = "a transport calculation of ours, an order of magnitude (bremsstrahlung of a vial in 12 mm acrylic)"
	cournane  = "Cournane et al., Phys Med 65 (2019) 121, 30 patients, one standard deviation either way"
)

// published are the figures, the nearest distance first. The high one of a shielded vial
// is 0.1 mSv/h of 3.4 GBq at 30 cm, a poster of a national society; for a pot of lead none
// is known.
var published = map[Thing][]Published{
	ShieldedVial: inAcrylic, Jar: inAcrylic,
	LeadPot: inLead, Package: inLead,
	Patient: {
		{300, 4.1, 1.8, 6.4, cournane},
		{1000, 0.59, 0.17, 1.01, cournane},
	},
}

var (
	inAcrylic = []Published{
		{300, 7.96, 7.96, 29.4, transport + "; the highest in print is 0.1 mSv/h of a shielded vial of 3.4 GBq at 30 cm (a poster of a national society)"},
		{1000, 0.66, 0.66, 2.6, transport + "; the highest in print, by the inverse square"},
	}
	inLead = []Published{{300, 1.11, 1.11 / 4, 1.11 * 4, transport + ", with 6 mm lead (0.14 of it passes); a factor of 4 either way, as for the vial; the distance is from the vial"}}
)

// Things are what is known of, in the order in which they are offered.
var Things = []Thing{ShieldedVial, Jar, LeadPot, Package, Patient}

// ThingOf finds a thing by its name, or by a part of it that no other has, such as "jar".
func ThingOf(text string) (found Thing, ok bool) {
	for _, t := range Things {
		switch {
		case string(t) == text:
			return t, true
		case text == "" || !strings.Contains(string(t), text):
		case found != "":
			return "", false
		default:
			found, ok = t, true
		}
	}
	return found, ok
}

// Expect is what a thing with an activity reads at a distance: from the published
// figure nearest to it, by the inverse square. False for a thing that is not known, and for
// a distance within 10 cm, where neither holds.
func Expect(what Thing, holds quantity.Activity, distance quantity.Length) (Published, bool) {
	all := published[what]
	if len(all) == 0 || distance < 10*quantity.Centimetre {
		return Published{}, false
	}
	best := all[0]
	for _, p := range all {
		if math.Abs(math.Log(float64(distance/p.Distance))) < math.Abs(math.Log(float64(distance/best.Distance))) {
			best = p
		}
	}
	k := quantity.DoseRate(float64(holds/quantity.GigaBecquerel) * math.Pow(float64(best.Distance/distance), 2))
	best.PerGBq, best.Low, best.High = best.PerGBq*k, best.Low*k, best.High*k
	if best.Distance != distance {
		best.Source += "; carried from " + quantity.Show(best.Distance, 0).String() + " by the inverse square"
	}
	best.Distance = distance
	return best, true
}

// SyringeWall is the contact dose rate at the wall of an unshielded syringe for 1 MBq, at a
// depth of 0.07 mm over 1 cm2 (Barber et al., NUREG/CR-6493, 1997: 89 uSv/s for 37 MBq).
const SyringeWall = 8.66 * quantity.MilliSievertPerHour

// SyringeTime is how long a syringe may be held by its wall until a dose is reached.
func SyringeTime(holds quantity.Activity, dose quantity.DoseEquivalent) quantity.Span {
	perHour := float64(SyringeWall) * float64(holds/quantity.MegaBecquerel)
	return quantity.Span(float64(dose) / perHour * 3600)
}
