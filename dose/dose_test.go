package dose_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/dose"
	"vialwright/form"
	"vialwright/nuclide"
	"vialwright/quantity"
)

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Max(math.Abs(want), 1e-300)) {
		t.Errorf("%s = %.9g, want %.9g", what, got, want)
	}
}

// The figures below without another source were worked out from the published
// formula by an independent program in another language.

// TestConstant: K from half-life and mean energy (MIRD). 49.67 and 50 are both in
// print (thesis of C. van Roekel, p. 30; Kao et al., CVIR 37 (2014) 222).
func TestConstant(t *testing.T) {
	for _, c := range []struct{ hours, mev, k float64 }{
		{64.0417, 0.9267, 49.38436},
		{64.0417, 0.9324, 49.68812},
		{64.0417, 0.9331, 49.72542},
		{64.05, 0.9320, 49.67324},
		{64.1, 0.9337, 49.80269},
		{64.2, 0.9367, 50.04065},
	} {
		h := nuclide.HalfLife{Value: quantity.Span(c.hours) * quantity.Hour, Source: "test"}
		got := dose.ConstantOf(h, nuclide.MeanEnergy{Value: nuclide.Energy(c.mev) * nuclide.MegaElectronVolt, Source: "test"})
		near(t, fmt.Sprintf("K(%g h, %g MeV)", c.hours, c.mev), got.Value, c.k, 1e-6)
	}
	if s := dose.DefaultConstant().String(); !strings.Contains(s, "64.0417 h") || !strings.Contains(s, "933.1 keV") || !strings.HasPrefix(s, "49.73 Gy kg/GBq") {
		t.Errorf("the constant is shown as %q", s)
	}
}

// TestShunt: geometric means without and with the background of the region.
func TestShunt(t *testing.T) {
	plain := dose.Counts{Lungs: dose.View{Anterior: 12000, Posterior: 10000}, Liver: dose.View{Anterior: 180000, Posterior: 150000}}
	s, err := dose.ShuntOf(plain)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "L", float64(s.Value), 0.0625, 1e-12)
	near(t, "u(L)", float64(s.U), 4.0970e-4, 1e-4)
	// The means are 10 954.4512 and 164 316.7673. From liver counts of 1 and 1, whose mean is
	// 1, the fraction is that of the means alone.
	for _, c := range []struct{ anterior, posterior, mean float64 }{{12000, 10000, 10954.4512}, {180000, 150000, 164316.7673}} {
		if s, err = dose.ShuntOf(dose.Counts{Lungs: dose.View{Anterior: c.anterior, Posterior: c.posterior}, Liver: dose.View{Anterior: 1, Posterior: 1}}); err != nil {
			t.Fatal(err)
		}
		near(t, "geometric mean", float64(s.Value/(1-s.Value)), c.mean, 1e-8)
	}
	less := dose.Counts{
		Lungs: dose.View{Anterior: 13200, Posterior: 11100, Pixels: 2400}, Liver: dose.View{Anterior: 181000, Posterior: 151000, Pixels: 1500},
		Background: &dose.View{Anterior: 600, Posterior: 550, Pixels: 1200},
	}
	if s, err = dose.ShuntOf(less); err != nil {
		t.Fatal(err)
	}
	near(t, "L less background", float64(s.Value), 0.0623984, 1e-6)
	less.Background.Posterior = 6000
	var bad *dose.Error
	if _, err = dose.ShuntOf(less); !errors.As(err, &bad) || bad.Code != "net-not-positive" || bad.Field != "lungs" {
		t.Errorf("a net count below 0: %v", err)
	}
}

const head = "prescription: 1\nzone: Europe/Lisbon\nid: P1\nat: 2027-03-04T13:30\n"

func read(t testing.TB, text string) (dose.Order, error) {
	t.Helper()
	return dose.Read([]byte(head+text), time.LoadLocation)
}

func check(t testing.TB, text string) dose.Result {
	t.Helper()
	o, err := read(t, text)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	r, err := dose.Check(o)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return r
}

func of(r []dose.Dose, t dose.Target) dose.Dose {
	i := slices.IndexFunc(r, func(d dose.Dose) bool { return d.Of == t })
	if i < 0 {
		return dose.Dose{}
	}
	return r[i]
}

const (
	k4967 = "dose-constant: 49.67 Gy kg/GBq\n"
	shunt = "lung-shunt-method: planar geometric mean\n"
	setA5 = k4967 + shunt + "method: partition\nprescribed: 2 GBq\ntumour-mass: 0.3 kg\nnormal-mass: 1.4 kg\ntumour-to-normal: 5 to 1\nlung-shunt: 6 %\n"
	lungs = "dose-constant: 50 Gy kg/GBq\n" + shunt + "method: mono-compartment\nperfused-mass: 10 kg\nlung-shunt: 3 %\nlung-max: 1.65 Gy\n"
	setA6 = k4967 + shunt + "method: partition\nprescribed: 1.5 GBq\ntumour-mass: 0.2 kg\nnormal-mass: 1.4 kg\ntumour-to-normal: 3 to 1\nlung-shunt: 6.25 %\n"
)

// TestMonoCompartment: both directions of the MIRD formula.
func TestMonoCompartment(t *testing.T) {
	r := check(t, k4967+shunt+"method: mono-compartment\nprescribed: 1.5 GBq\nlung-shunt: 5 %\nperfused-mass: 1.6 kg\n")
	near(t, "D", float64(of(r.Doses, dose.Perfused).Dose), 44.23734, 1e-6)
	r = check(t, k4967+shunt+"method: mono-compartment\nabsorbed-dose: 120 Gy\nto: perfused-volume\nlung-shunt: 8 %\nresidual: 2 %\nperfused-mass: 0.8 kg\n")
	near(t, "A", float64(r.Activity/quantity.GigaBecquerel), 2.143696, 1e-6)
	near(t, "D of that A", float64(of(r.Doses, dose.Perfused).Dose), 120, 1e-12)
}

// TestPartition: two sets of the partition model (Ho et al., 1996).
func TestPartition(t *testing.T) {
	for name, c := range map[string]struct {
		text                         string
		tumour, normal, lungs        float64
		normal40, tumour120, lungs30 float64
		mT, aT, aN                   float64 // the share of each, A (1 - L) r m_T/(r m_T + m_N) and the rest, in GBq
	}{
		"first":  {setA5, 160.99931, 32.19986, 5.96040, 2.4844827, 1.4906896, 10.0664384, 0.3, 0.9724138, 0.9075862},
		"second": {setA6, 104.772656, 34.924219, 4.656563, 1.7180055, 1.7180055, 9.663781, 0.2, 1.40625 * 0.6 / 2, 1.40625 * 1.4 / 2},
	} {
		r := check(t, c.text+"normal-max: 40 Gy\n")
		near(t, name+" tumour", float64(of(r.Doses, dose.Tumour).Dose), c.tumour, 1e-6)
		near(t, name+" normal", float64(of(r.Doses, dose.Normal).Dose), c.normal, 1e-6)
		near(t, name+" lungs", float64(of(r.Doses, dose.Lungs).Dose), c.lungs, 1e-6)
		near(t, name+" activity of the tumour", float64(of(r.Doses, dose.Tumour).Dose)*c.mT/49.67, c.aT, 1e-6)
		near(t, name+" activity of the normal liver", float64(of(r.Doses, dose.Normal).Dose)*1.4/49.67, c.aN, 1e-6)
		near(t, name+" A for 40 Gy", float64(r.Limits[0].Activity/quantity.GigaBecquerel), c.normal40, 1e-6)
		near(t, name+" A for lungs 30 Gy", float64(r.Limits[1].Activity/quantity.GigaBecquerel), c.lungs30, 1e-6)
		if !r.Limits[0].Binding || r.Limits[1].Binding {
			t.Errorf("%s: the normal liver binds, not %v", name, r.Limits)
		}
		want := check(t, strings.Replace(c.text, "prescribed: ", "absorbed-dose: 120 Gy\nto: tumour\n#", 1))
		near(t, name+" A for 120 Gy", float64(want.Activity/quantity.GigaBecquerel), c.tumour120, 1e-6)
	}
	// With the constant of 64.0417 h and 0.9267 MeV, 49.38436: 104.772656·49.38436/49.67.
	other := check(t, strings.Replace(setA6, "49.67", "49.38436", 1))
	near(t, "tumour by another constant", float64(of(other.Doses, dose.Tumour).Dose), 104.17014, 1e-6)
	r := check(t, setA6+"lung-dose-before: 35 Gy\n")
	near(t, "A for a lung total of 50 Gy", float64(r.Limits[1].Activity/quantity.GigaBecquerel), 4.831890, 1e-6)
	if !r.Limits[1].Binding {
		t.Error("the total of the lungs binds")
	}
}

// TestWindows: EANM guideline 2022, table 3, of the second set: normal liver
// inside 40 and outside 30 Gy, tumour over 100.
func TestWindows(t *testing.T) {
	r := check(t, setA6)
	inside := map[string]bool{}
	for _, w := range r.Windows {
		inside[w.String()] = w.Inside
	}
	for text, want := range map[string]bool{"under 40 Gy: inside": true, "under 30 Gy: outside": true, "tumour over 100 Gy: inside": true, "over 70 Gy: outside": true} {
		found := false
		for got := range inside {
			found = found || strings.Contains(got, text)
		}
		if found != want {
			t.Errorf("no window says %q: %v", text, inside)
		}
	}
}

// TestUncertainty: u(D_T)/D_T by first-order propagation (JCGM 100:2008) with an
// exact constant.
func TestUncertainty(t *testing.T) {
	o, err := read(t, setA6+"prescribed-u: 3 %\ntumour-to-normal-u: 20 %\ntumour-mass-u: 15 %\nnormal-mass-u: 5 %\n")
	if err != nil {
		t.Fatal(err)
	}
	o.Constant.U = 0
	r, err := dose.Check(o)
	if err != nil {
		t.Fatal(err)
	}
	d := of(r.Doses, dose.Tumour)
	near(t, "u(D_T)/D_T", float64(d.U/d.Dose), 0.154110, 1e-5)
	near(t, "u(D_T)", float64(d.U), 16.1466, 1e-5)
	if d.String() != "105 ± 16 Gy" {
		t.Errorf("shown as %q", d)
	}
	if s := of(check(t, setA6).Doses, dose.Normal).String(); s != "about 35 Gy" {
		t.Errorf("without an uncertainty: %q, want two significant figures", s)
	}
}

const closed = "method: closed-system\nabsorbed-dose: 120 Gy\nto: tumour\ntumour-mass: 0.3 kg\nclosed-system-ratio: 1.2 to 1\ntumour-lung-share: 10 %\n"

// TestClosedSystem: the published example (Kao et al., CVIR 37 (2014) 222), whose
// constant is 50.
func TestClosedSystem(t *testing.T) {
	r := check(t, "dose-constant: 50 Gy kg/GBq\n"+closed)
	near(t, "A", float64(r.Activity/quantity.GigaBecquerel), 1.40, 1e-12)
	near(t, "D_T", float64(of(r.Doses, dose.Tumour).Dose), 120, 1e-12)
	near(t, "D_L of 0.08 GBq in 1 kg", float64(of(r.Doses, dose.Lungs).Dose), 4, 1e-12)
}

// TestSurface: the form of the published activity formula against the original
// one of Du Bois and Du Bois (1916), S = 0.007184 h[cm]^0.725 w^0.425, and that in
// feet and pounds of a textbook (J. Stewart, Essential Calculus: 0.1091
// w[lb]^0.425 h[in]^0.725 square feet, three digits). The two decimals are those
// of printed tables, from memory.
func TestSurface(t *testing.T) {
	for _, c := range []struct{ cm, kg, exact, table float64 }{
		{170, 70, 1.8096843, 1.81}, {165, 62, 1.6819110, 1.68}, {182, 95, 2.1649355, 2.16},
	} {
		got := dose.SurfaceOf(quantity.Length(c.cm)*quantity.Centimetre, quantity.Mass(c.kg)*quantity.Kilogram)
		near(t, "S", got, c.exact, 1e-7)
		near(t, "S against 1916", got, 0.007184*math.Pow(c.cm, 0.725)*math.Pow(c.kg, 0.425), 2e-5)
		near(t, "S in square feet", got, 0.09290304*0.1091*math.Pow(c.kg/0.45359237, 0.425)*math.Pow(c.cm/2.54, 0.725), 5e-3)
		if math.Round(100*got)/100 != c.table {
			t.Errorf("S(%g cm, %g kg) = %g, table %g", c.cm, c.kg, got, c.table)
		}
	}
}

func surface(cm, kg, tumour, liver string, shunted string, more ...string) string {
	return shunt + "method: surface-area\nheight: " + cm + " cm\nweight: " + kg + " kg\ntumour-volume: " + tumour + " mL\nliver-volume: " + liver +
		" mL\nlung-shunt: " + shunted + " %\n" + strings.Join(more, "\n") + "\n"
}

// TestSurfaceArea: activities of the surface-area method, the lobe (common
// practice, two readings of "lobar" are in use), and the published reductions at
// and around their steps (thesis of C. van Roekel, p. 41: "exceeds").
func TestSurfaceArea(t *testing.T) {
	for _, c := range []struct {
		text string
		gbq  float64
	}{
		{surface("170", "70", "300", "1500", "2", "prescribed: 1.8 GBq"), 1.8096843},
		{surface("165", "62", "180", "1450", "2", "prescribed: 1.6 GBq"), 1.6060489},
		{surface("182", "95", "600", "2200", "2", "prescribed: 2.2 GBq"), 2.2376628},
		{surface("170", "70", "250", "1500", "2", "prescribed: 1.1 GBq", "lobe-volume: 900 mL", "lobe-tumour-volume: 250 mL"), 1.1324772},
		{surface("170", "70", "300", "1500", "8", "prescribed: 1.8 GBq"), 1.809684},
		{surface("170", "70", "300", "1500", "10.0", "prescribed: 1.8 GBq"), 1.809684},
		{surface("170", "70", "300", "1500", "10.01", "prescribed: 1.45 GBq"), 1.447747},
		{surface("170", "70", "300", "1500", "17", "prescribed: 1.1 GBq"), 1.085810},
		{surface("170", "70", "300", "1500", "22", "prescribed: 1.1 GBq"), 0},
	} {
		r := check(t, c.text)
		if got := float64(r.Formula.Activity / quantity.GigaBecquerel); math.Abs(got-c.gbq) > 1e-6 {
			t.Errorf("%s gives %.7f GBq, want %.7f", c.text, got, c.gbq)
		}
	}
}

// TestAfter: the doses of what was delivered, in the geometry of the second set.
func TestAfter(t *testing.T) {
	r := check(t, setA6+"delivered: 1.300479 GBq\n")
	near(t, "D_T", float64(of(r.After, dose.Tumour).Dose), 90.83643, 1e-6)
	near(t, "D_N", float64(of(r.After, dose.Normal).Dose), 30.27881, 1e-6)
	near(t, "D_L", float64(of(r.After, dose.Lungs).Dose), 4.03717, 1e-5)
}

// TestAfterResidual: what was delivered has left the delivery set, so the share
// expected to stay there is not taken off it: 49.67·1.5·0.95/1.6 Gy, by hand.
func TestAfterResidual(t *testing.T) {
	r := check(t, k4967+shunt+"method: mono-compartment\nprescribed: 1.5 GBq\ndelivered: 1.5 GBq\nlung-shunt: 5 %\nresidual: 10 %\nperfused-mass: 1.6 kg\n")
	near(t, "D of what was prescribed", float64(of(r.Doses, dose.Perfused).Dose), 39.813609, 1e-6)
	near(t, "D of what was delivered", float64(of(r.After, dose.Perfused).Dose), 44.237344, 1e-6)
}

// TestUnstated: every figure that is given without an uncertainty is named, the
// masses among them.
func TestUnstated(t *testing.T) {
	r := check(t, setA6+"whole-normal-mass: 1.5 kg\nlung-mass: 0.9 kg\ndelivered: 1.5 GBq\n")
	if got := strings.Join(r.Unstated, " "); got != "prescribed lung-shunt tumour-to-normal tumour-mass normal-mass whole-normal-mass lung-mass delivered" {
		t.Errorf("without an uncertainty are %s", got)
	}
}

// stated is a quantity as a person would have written it.
func stated[Q quantity.Kind](q Q, unit string) quantity.Stated[Q] {
	s, err := quantity.Of(q, unit)
	if err != nil {
		panic(err)
	}
	return s
}

// TestInvariants of the partition model, for any masses, ratio and shunt: the
// ratio of the two doses is the ratio put in, and what goes into the three
// compartments is what was prescribed.
func TestInvariants(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(rt, name) }
		mt, mn, ml, r, l, a := n("tumour", 0.01, 2), n("normal", 0.1, 3), n("lungs", 0.5, 1.5), n("ratio", 0.2, 20), float64(rapid.IntRange(0, 500).Draw(rt, "shunt"))/1000, n("activity", 0.05, 10)
		kg := func(x float64) dose.Known[quantity.Mass] {
			return dose.Known[quantity.Mass]{Stated: stated(quantity.Mass(x)*quantity.Kilogram, "kg")}
		}
		o := dose.Order{
			Method: dose.Partition, Constant: dose.DefaultConstant(), HalfLife: nuclide.Y90.HalfLife(),
			Activity:   dose.Known[quantity.Activity]{Stated: stated(gbq(a), "GBq")},
			TumourMass: kg(mt), NormalMass: kg(mn), LungMass: kg(ml), TumourToNormal: dose.Ratio{Value: r},
			Shunt: dose.Shunt{Value: quantity.Fraction(l), Method: "drawn"},
		}
		res, err := dose.Check(o)
		if err != nil {
			rt.Fatal(err)
		}
		dt, dn, dl := float64(of(res.Doses, dose.Tumour).Dose), float64(of(res.Doses, dose.Normal).Dose), float64(of(res.Doses, dose.Lungs).Dose)
		if math.Abs(dt/dn/r-1) > 1e-9 {
			rt.Errorf("D_T/D_N = %g, want %g", dt/dn, r)
		}
		if got := (dt*mt + dn*mn + dl*ml) / o.Constant.Value; math.Abs(got/a-1) > 1e-9 {
			rt.Errorf("the compartments hold %g GBq of %g", got, a)
		}
		for _, lim := range res.Limits {
			again := o
			again.Activity.Stated = stated(lim.Activity, "GBq")
			if lim.Activity <= 0 {
				continue
			}
			back, err := dose.Check(again)
			if err != nil {
				rt.Fatal(err)
			}
			if d := of(back.Doses, lim.Of).Dose; math.Abs(float64(d/lim.Max)-1) > 1e-6 {
				rt.Errorf("at the activity that keeps %v the dose is %g Gy", lim, float64(d))
			}
		}
	})
}

// TestFindings: what each finding is met by. ENS 46665 (a lobe's mass mistaken,
// 159.4 Gy for 74.4) and ENS 46567 (an order form left unchanged for the other
// lobe, 10 GBq for 3) are among them, with figures of resin.
func TestFindings(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want string // code severity, and words of it
		says string
	}{
		"ENS 46665":           {k4967 + shunt + "method: mono-compartment\nprescribed: 1.48 GBq\nabsorbed-dose: 70 Gy\nto: perfused-volume\nperfused-mass: 0.45 kg\nlung-shunt: 0 %\n", "two-figures stop", "2.3 times"},
		"ENS 46567":           {k4967 + shunt + "method: mono-compartment\nprescribed: 1.90 GBq\nabsorbed-dose: 50 Gy\nto: perfused-volume\nperfused-mass: 0.7 kg\nlung-shunt: 0 %\n", "two-figures stop", "2.7 times"},
		"agreeing figures":    {k4967 + shunt + "method: mono-compartment\nprescribed: 0.63 GBq\nabsorbed-dose: 70 Gy\nto: perfused-volume\nperfused-mass: 0.45 kg\nlung-shunt: 0 %\n", "", ""},
		"far from formula":    {surface("170", "70", "300", "1500", "2", "prescribed: 0.85 GBq"), "prescription-differs stop", "1.81 GBq"},
		"less than formula":   {surface("170", "70", "300", "1500", "2", "prescribed: 1.3 GBq"), "prescription-differs warn", "ask the physician"},
		"as the formula":      {surface("170", "70", "300", "1500", "2", "prescribed: 1.8 GBq"), "", ""},
		"shunt of 17 %":       {surface("170", "70", "300", "1500", "17", "prescribed: 1.1 GBq"), "shunt-reduction warn", "the physician decides"},
		"shunt of 22 %":       {surface("170", "70", "300", "1500", "22", "prescribed: 1.1 GBq", "lung-max: 60 Gy"), "prescription-differs stop,shunt-reduction stop", "100 %"},
		"shunt at the step":   {surface("170", "70", "300", "1500", "10.0", "prescribed: 1.8 GBq"), "boundary warn", "not above"},
		"shunt near the step": {surface("170", "70", "300", "1500", "14.6", "prescribed: 1.45 GBq", "lung-shunt-u: 3 %"), "shunt-reduction warn,boundary warn", "15 %"},
		"lungs in print":      {k4967 + shunt + "method: mono-compartment\nprescribed: 4 GBq\nperfused-mass: 1.6 kg\nlung-shunt: 18 %\n", "lung-limit warn", "in print"},
		"lungs of the order":  {setA6 + "lung-max: 4 Gy\n", "lung-limit stop", "stated in the order"},
		"lungs in all":        {setA6 + "lung-dose-before: 47 Gy\n", "lung-limit warn", "before"},
		"lungs in all, alone": {setA6 + "lung-total-max: 4 Gy\n", "lung-limit stop", "stated in the order"},
		"lungs at the limit":  {lungs + "prescribed: 1.1 GBq\n", "lung-limit warn", "close to 1.65 Gy"},
		"lungs just beyond":   {lungs + "prescribed: 1.1001 GBq\n", "lung-limit stop", "about 1.7 Gy is more than 1.65 Gy (stated in the order), by 0.01 %; it allows at most 1.1 GBq (29.72 mCi)"},
		"normal liver":        {setA6 + "normal-max: 30 Gy\n", "normal-limit stop", "1.288 GBq"},
		"normal liver near":   {setA6 + "normal-max: 36 Gy\nnormal-mass-u: 10 %\n", "normal-limit warn", "probability"},
		"no normal liver":     {k4967 + shunt + "method: mono-compartment\nprescribed: 1.5 GBq\nperfused-mass: 1.6 kg\nlung-shunt: 5 %\nnormal-max: 30 Gy\n", "normal-limit warn", "30 Gy (stated in the order) is not checked"},
		"spheres":             {setA6 + "spheres-least: 15 million\nspheres-most: 25 million\nvials: [{id: S1, reference: 2027-03-04T13:30}]\n", "sphere-window warn", "30 million (20 to 40)"},
		"spheres by spread":   {setA6 + "spheres-least: 15 million\nspheres-most: 35 million\nvials: [{id: S1, reference: 2027-03-04T13:30}]\n", "sphere-window note", "reaches beyond"},
	} {
		var got []string
		says := ""
		for _, f := range check(t, c.text).Findings {
			got = append(got, string(f.Code)+" "+string(f.Severity))
			says += f.Text + "\n"
		}
		if strings.Join(got, ",") != c.want || !strings.Contains(says, c.says) {
			t.Errorf("%s: %v, want %s with %q\n%s", name, got, c.want, c.says, says)
		}
	}
}

// TestRefused: what cannot belong together is refused at its line, with the way
// out.
func TestRefused(t *testing.T) {
	for name, c := range map[string]struct{ text, code, path, says string }{
		"nothing prescribed":    {strings.Replace(setA6, "prescribed: 1.5 GBq\n", "", 1), "nothing-prescribed", "prescribed", "absorbed-dose and to"},
		"masses":                {setA6 + "perfused-mass: 1.2 kg\n", "masses-disagree", "perfused-mass", "check all three"},
		"whole liver":           {setA6 + "whole-normal-mass: 1.2 kg\n", "masses-disagree", "whole-normal-mass", "check both"},
		"tumour and liver":      {surface("170", "70", "1500", "1500", "2", "prescribed: 1.8 GBq"), "masses-disagree", "tumour-volume", "check both"},
		"shunt where share":     {closed + shunt + "lung-shunt: 5 %\n", "shunt-in-closed-system", "lung-shunt", "tumour-lung-share"},
		"shunt instead":         {strings.Replace(closed, "tumour-lung-share: 10 %\n", "", 1) + shunt + "lung-shunt: 5 %\n", "shunt-in-closed-system", "lung-shunt", "write tumour-lung-share"},
		"ratio where ratio":     {closed + "tumour-to-normal: 3 to 1\n", "ratio-in-closed-system", "tumour-to-normal", "closed-system-ratio"},
		"share where shunt":     {setA6 + "tumour-lung-share: 10 %\n", "closed-system-only", "method", "lung-shunt"},
		"dose without volume":   {setA6 + "absorbed-dose: 100 Gy\n", "dose-without-volume", "to", "together"},
		"volume without mass":   {surface("170", "70", "300", "1500", "2", "absorbed-dose: 50 Gy", "to: tumour"), "volume-unknown", "to", "state its mass"},
		"no ratio":              {strings.Replace(setA6, "tumour-to-normal: 3 to 1\n", "", 1), "field-missing", "tumour-to-normal", "another method"},
		"shunt without method":  {strings.Replace(setA6, shunt, "", 1), "field-missing", "lung-shunt-method", "planar geometric mean"},
		"a residual of all":     {setA6 + "residual: 100 %\n", "out-of-range", "residual", "leaves nothing"},
		"negative net counts":   {strings.Replace(setA6, "lung-shunt: 6.25 %", "lung-shunt-counts: {lungs: {anterior: 500 counts, posterior: 600 counts, area: 2400 px}, liver: {anterior: 180000 counts, posterior: 150000 counts, area: 1500 px}, background: {anterior: 600 counts, posterior: 550 counts, area: 1200 px}}", 1), "net-not-positive", "lung-shunt-counts.lungs", "are -700 anterior and -500 posterior, and both have to be above 0; check the counts"},
		"a bare ratio":          {strings.Replace(setA6, "3 to 1", "3", 1), "no-count", "tumour-to-normal", "a ratio such as 3 to 1"},
		"a constant of another": {strings.Replace(setA6, "49.67", "20", 1), "constant-far", "dose-constant", "49.38"},
		"two shunts":            {setA6 + "lung-shunt-counts: {lungs: {anterior: 12000 counts, posterior: 10000 counts}, liver: {anterior: 180000 counts, posterior: 150000 counts}}\n", "two-shunts", "lung-shunt", "one of the two"},
		"a tumour of kilograms": {strings.Replace(setA6, "0.2 kg", "200 kg", 1), "out-of-range", "tumour-mass", "0.0001 to 20 kg"},
		"lungs of nothing":      {setA6 + "lung-mass: 0 kg\n", "out-of-range", "lung-mass", "0.05 to 5 kg"},
		"a liver of nothing":    {setA6 + "whole-normal-mass: 0 g\n", "out-of-range", "whole-normal-mass", "its unit"},
		"a body of centimetres": {surface("17", "70", "300", "1500", "2", "prescribed: 1.8 GBq"), "out-of-range", "height", "its unit"},
		"a maximum of nothing":  {setA6 + "normal-max: 0 Gy\n", "out-of-range", "normal-max", "allows nothing"},
		"no number of spheres":  {setA6 + "spheres-least: 40 million\nspheres-most: 10 million\n", "out-of-range", "spheres-most", "check both"},
		"no sphere at all":      {setA6 + "spheres-most: 0 million\n", "out-of-range", "spheres-most", "leave it out"},
		"a half-life of others": {setA6 + "half-life: 6.4 h\n", "half-life-far", "half-life", "evaluated"},
	} {
		_, err := read(t, c.text)
		var e *form.Error
		if !errors.As(err, &e) || e.Code != c.code || e.Path != c.path || e.Line == 0 || !strings.Contains(e.Error(), c.says) {
			t.Errorf("%s: %v, want %s at %s with %q", name, err, c.code, c.path, c.says)
		}
		if e != nil && e.Line == 1 {
			t.Errorf("%s: at the head of the file: %v", name, e)
		}
	}
}
