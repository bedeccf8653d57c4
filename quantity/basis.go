package quantity

// Basis is the scale a calibration factor is on: matched to the supplier's
// label, or traceable to a national standard. Published assays put the two
// 19 to 26 % apart for resin spheres (Selwyn et al., Med Phys 35 (2008);
// Paxton et al., Med Phys 39 (2012)), so they are never mixed.
type Basis string

// The two bases.
const (
	LabelBasis     Basis = "label"
	TraceableBasis Basis = "traceable"
)
