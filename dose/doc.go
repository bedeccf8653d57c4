// Package dose checks a prescription by the published formulas: mean absorbed
// dose, activity by body surface area, lung dose, limits inverted, and spheres.
// It is a check of what a physician prescribed, never a plan.
//
// # Symbols
//
//	A       activity at infusion time                             GBq
//	T, E    half-life; mean electron energy of one decay          s; MeV
//	K       dose constant                                         Gy kg/GBq
//	D       mean absorbed dose, all energy given off in place      Gy
//	m, V    mass, volume: T tumour, N perfused normal liver, L lungs  kg; mL
//	L       lung shunt fraction, lungs/(lungs + liver)
//	R       share of the activity expected to stay in the delivery set
//	r       tumour-to-normal ratio (A_T/m_T)/(A_N/m_N)
//	h, w    height, weight                                        m; kg
//	u       standard uncertainty (JCGM 100:2008)
//
// # Equations
//
//	K   = 1e9 T/ln 2 · E · 1.602176634e-13                         [Constant]
//	D   = K A (1-L)(1-R)/m                        mono-compartment (MIRD)
//	D_L = K A L (1-R)/m_L                         lungs
//	A_T = A (1-L)(1-R) r m_T/(r m_T + m_N),  A_N the rest; D = K A_i/m_i
//	                                              partition (Ho et al., Eur J Nucl Med 23 (1996) 947)
//	A = A_T + A_N + A_L,  A_N = A_T/r',  A_L = A_T s/(1-s),  D_T = K A_T/m_T
//	                                              closed system (Kao et al., CVIR 37 (2014) 222)
//	S = 0.20247 h^0.725 w^0.425                   surface in m2 (Du Bois and Du Bois, Arch Intern Med 17 (1916) 863)
//	A = S - 0.2 + V_T/V                           surface-area method, V tumour and normal liver
//	A = (S - 0.2 + V_Tl/V_l) V_l/V                the same for one lobe l
//
// In the closed system r' is a ratio of two activities, A_T/A_N, and s is
// A_L/(A_T + A_L). Neither is r nor L, and they have fields of their own: a
// lung shunt fraction is refused there, as the two are elsewhere.
//
// Every dose is proportional to the activity, so that a limit of the dose gives
// the largest activity that keeps it: A = (D_max - D_before)/(D/A).
//
// # Uncertainty
//
// By first-order propagation (package uncertainty) of the relative standard
// uncertainties stated with the order and of K, whose value in print spreads
// from 49.38 to 50.04: a rectangle, u(K)/K = 0.39 %. What nobody stated is listed,
// and a dose without any is given two significant figures.
//
// # Domain of validity
//
// Y-90, complete decay where the spheres lie, mean doses over the masses used for
// planning: no image, no voxel, no biological effect. About 4 % of the energy
// leaves a sphere of 1 kg and more leaves small volumes; the formulas ignore it,
// as they are published. The surface-area method and the reductions for the shunt
// are those for resin.
//
// # Worked example
//
// 1.5 GBq, L 6.25 %, r 3, m_T 0.2 kg, m_N 1.4 kg, m_L 1 kg, K 49.67: A_T
// 0.421875, A_N 0.984375, A_L 0.09375 GBq; D_T 104.77, D_N 34.92, D_L 4.66 Gy.
// Normal liver at 40 Gy would be 1.718 GBq, lungs at 30 Gy 9.66 GBq: the normal
// liver binds. With relative u of 3 % of A, 20 % of r, 15 % of m_T, 5 % of m_N,
// u(D_T)/D_T = 15.4 %: 105 ± 16 Gy.
package dose
