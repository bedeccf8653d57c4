// Package nuclide holds evaluated nuclide data and the arithmetic of decay.
//
// # Symbols
//
//	T      half-life                         s
//	lambda decay constant, ln 2 / T          1/s
//	t      elapsed time, to - from           s, negative when going back
//	A      activity                          Bq
//	u(.)   standard uncertainty (JCGM 100:2008, 2.3.1)
//
// # Equations
//
//	A(t) = A(0) 2^(-t/T)                     decay from one instant to another
//	u(f)/f = ln 2 |t| u(T) / T^2             f the decay factor (JCGM 100:2008, 5.1.2)
//	t = T log2(A(0)/A)                       time until A is left
//	A2(t) = A2(0) f2 + b A1(0) lambda2 D,    daughter of a parent (Bateman, Proc
//	D = (f1 - f2)/(lambda2 - lambda1)        Cambridge Phil Soc 15 (1910) 423)
//
// # Sources
//
// Every number comes from table.txt, which names for each the evaluation,
// its edition and date, and whether it was seen. The default half-life of
// Y-90 is 230 550 s with standard uncertainty 110 s, that is 2.6684(13) d
// (DDEP evaluation, BIPM Monographie-5). Half-lives from 64.04 h to 64.2 h are in
// print; a site may set another through HalfLife, which carries its source so
// that every output can name it.
//
// # Domain of validity
//
// One nuclide, exponential decay, times on a civil scale without leap seconds
// (one leap second is 3 parts in a million of a Y-90 activity). Carrying an
// activity so far that the result leaves the range of a float64 is an error,
// never a silent zero or infinity.
//
// # Worked example
//
// A vial labelled 3.0 GBq of Y-90 at its reference time holds ten hours later
//
//	3.0 GBq x 2^(-36 000/230 550) = 2.692253 GBq
//
// with a relative standard uncertainty from the half-life of
//
//	ln 2 x 36 000 x 110 / 230 550^2 = 5.2e-5.
package nuclide
