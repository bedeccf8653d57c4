package dose

import (
	"fmt"
	"strconv"

	"vialwright/quantity"
)

// formulas are those of the absorbed dose by method and target; package
// documentation has their sources.
var formulas = map[Method]map[Target]string{
	SurfaceArea:     {Perfused: "D = K·A·(1 - L)/m"},
	MonoCompartment: {Perfused: "D = K·A·(1 - L)/m"},
	Partition: {
		Tumour: "D_T = K·A·(1 - L)·r/(r·m_T + m_N)", Normal: "D_N = K·A·(1 - L)/(r·m_T + m_N)",
		WholeNormal: "D = K·A·(1 - L)·m_N/((r·m_T + m_N)·m_W)",
	},
	ClosedSystem: {
		Tumour: "D_T = K·A_T/m_T, A = A_T·(1 + 1/R + s/(1 - s))", Normal: "D_N = K·A_N/m_N, A = A_N·R·(1 + 1/R + s/(1 - s))",
	},
}

// Working is how the activity follows from the prescribed absorbed dose: the formula,
// what goes in, and what comes out before it is rounded. It is empty where no dose is
// prescribed.
func (r Result) Working() []string {
	o := r.Order
	if r.ForDose == 0 {
		return nil
	}
	formula, known := formulas[o.Method][o.To]
	if !known {
		formula = "D in proportion to A"
	}
	in := "D = " + o.Dose.Text + " to the " + string(o.To) + "; K = " + o.Constant.String()
	add := func(name, text string, given bool) {
		if given {
			in += "; " + name + " = " + text
		}
	}
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
	add("L", quantity.Show(o.Shunt.Value, o.Shunt.U).String()+" ("+o.Shunt.Method+")", o.Shunt.Given())
	add("m", o.PerfusedMass.Text, o.To == Perfused)
	add("m_T", o.TumourMass.Text, o.Method == Partition || o.To == Tumour)
	add("m_N", o.NormalMass.Text, o.Method == Partition || o.To == Normal)
	add("m_W", o.WholeNormalMass.Text, o.To == WholeNormal)
	add("r", number(o.TumourToNormal.Value), o.TumourToNormal.Value > 0)
	add("R", number(o.ClosedRatio.Value), o.ClosedRatio.Value > 0)
	add("s", o.TumourLungShare.Text, !o.TumourLungShare.IsZero())
	each := quantity.AbsorbedDose(float64(o.Dose.Value) / float64(r.ForDose/quantity.GigaBecquerel))
	out := fmt.Sprintf("each GBq gives %s, so A = %s/(%s each GBq) = %s", quantity.FormatDigits(each, 5, "Gy"), o.Dose.Text,
		quantity.FormatDigits(each, 5, "Gy"), quantity.FormatDigits(r.ForDose, 5, "GBq"))
	return []string{formula, in, out}
}
