// Package picture draws what a person at the bench looks at: the vessels of a
// case with what is in them ([Vessels]), and the time strip along the foot of
// the screen ([TimeStrip]). Both are pure functions from finished values to a
// self-contained SVG fragment, the same bytes for the same values.
//
// The caller hands over texts already formatted and, beside each, the quantity
// that sets the geometry. Nothing is rounded, judged or worked out here but
// three things, each by one formula:
//
//	Level   height z of a liquid volume V in a vessel of inner radius r(z):
//	        V = ∫ π r² dz from 0 to z, all lengths to one scale. The inside is
//	        a stack of frustums of height h and radii a, b, each of volume
//	        πh/3·(a² + ab + b²) (solid geometry)
//	Plunger a syringe of bore d is full from 0 to V/(π d²/4)
//	Decay   A(t) = A(t₀)·2^(−(t − t₀)/T½) (package nuclide)
//
// The vessels have proportions of our own, of the size class named: a shipping
// vial of the 10 mL class, an administration vial with a pointed floor, a 5 mL
// syringe of 12.5 mm bore. They are not drawings of anybody's product.
//
// Worked example: 2.8 mL in the shipping vial. Its floor is a frustum 1.5 mm
// high from radius 9.3 to 10.8 mm, 477 mm³; the other 2323 mm³ stand in a
// cylinder of 10.8 mm radius, 366.4 mm² in section, 6.34 mm high. The level is
// drawn 7.84 mm above the floor, at 3.05 units to the millimetre 23.9 units.
//
// Reading at a distance. A letter is legible to a normal eye when it is about
// 10 minutes of arc high (a letter of the 20/40 line of an eye chart; common
// practice), at 1.5 m 4.4 mm. The one number needed now is the page's business;
// here the volume in a vessel is set in up to 28 units and the mark to draw to in
// up to 32, in a picture 360 units wide, meant for about 360 CSS pixels. Capitals
// and numerals are 0.72 of the size: on a screen of 0.25 mm to the pixel (1280
// pixels on 15 inches) the two are up to 5.0 and 5.8 mm high.
//
// Colour. Amber is what there is (the suspension, its activity), teal is what
// is wanted (the mark to draw to, the tolerance band, the valid window, the
// next movement), all else is ink on paper. No colour stands alone: each thing
// has a word or a shape of its own. Every pair of colours in use meets WCAG
// 2.2 AA, 1.4.3 (text 4.5:1) and 1.4.11 (graphics 3:1), in light and in dark;
// the tests compute the ratios of the pairs that the drawing reports.
//
// Domain of validity: any value can be handed over without harm. A volume that
// is not a number or below zero is drawn as not known, one beyond the vessel as
// a full vessel with words that say so, a time outside the axis at its edge
// with an arrow and words. Texts are escaped and cut after 96 characters; control
// and direction characters in them become U+FFFD.
package picture
