// Package fold reckons what is the case from what was said: it applies the
// corrections, puts facts in the order of their times, refuses what cannot have
// happened, and gives a [dispensing.Case]. The same facts give the same case on
// every machine and in every year: it sees records and nothing else.
//
// # Fold
//
// [Records] applies the corrections (the last correction of an entry holds), puts
// the entries in the order of their times and takes them into the books. An
// order, and a receipt without a time, have no time and come first; a residual
// has the time of its last reading; entries of one time keep the order of the
// list. A time
// written to the minute is taken as no earlier than those with seconds of the
// same minute that stand above it: minutes are compared with minutes. The epoch
// of the books is the earliest reference time of a vial. Then:
//
//	receive    opens a shipping vial; u(label) = label · label-tolerance/√3
//	draw       into a new id opens a syringe; into a syringe of the same order it is a top-up
//	transfer   into a new id opens an administration vial; carries the order along
//	return     goes into a container that is there, never into one of another order
//	discard    into a new id opens a waste item
//	read       y = gross − background; u(background) = background-u or repeatability·background;
//	           floor δ/√12, δ the step of the last digit of gross (JCGM 100:2008, F.2.2.1)
//	infuse     moves what the order's container holds to the patient under the order's id
//
// Of several policies, and of several meters of one id, before the first entry
// the last is in force; each but the first gives a reason.
//
// The kinds from check to close move nothing. Of them Fold asks that what they
// name is there at their time, that a label's serial comes once and its copies
// count on, that a dose is scanned after its label was printed, first released
// before it left, taken over after it was handed over, and not read out or
// cancelled after it was given, and that nothing but a deviation follows on the closing of an order's record. Whether
// a step was in place is for package procedure.
//
// A settling-test moves nothing either, and is in no book: its readings, at
// least four at three times in their order, are carried to the time of the
// resuspension without their background, and kept in the case.
//
// A meter has one common factor for each basis (prior 1, u = calibration-u)
// and one for each geometry used (prior factor, u = factor·u). A dose is given
// from its order's only administration vial with liquid in it, or from its
// only such syringe. A residual with both readings and no infusion implies
// that the dose was given, at the moment nearest to the planned one that lies
// between the two readings and not before the dose came into its container.
// Its share is then measured; a residual that has one half so far is kept and
// used for nothing.
//
// Ids of orders, vials and containers share one space; meters have their own.
// Settings that were not given are assumed, and listed in the case with where
// they come from. A background of more than twice its reading and 1 MBq is
// refused as a slip of unit; a net reading a little below zero is not. What is
// unlikely is left to the findings; refused is what would take the books out
// of all numbers: activities above 1 PBq, prescribed or labelled ones below
// 1 kBq, volumes above 10 L, dose rates above 1 kSv/h, factors beyond 1000
// either way, and times more than 400 days (150 half-lives) from the epoch.
//
// Worked example: in the file worked.yaml of package casefile the reading of entry 3 is
// 3.24 GBq with a background of 0.2 MBq. It enters as 3.2398 GBq, u(background)
// = 0.8 % · 0.2 MBq = 1.6 kBq and floor = 10 MBq/√12 = 2.887 MBq. The label,
// 3.0 GBq to 10 %, has u = 0.3/√3 = 0.1732 GBq. The residual implies an
// infusion at the planned 13:30, which lies between its readings at 11:30 and
// 15:12: with a half-life of 64.0417 h
//
//	f = (6.4 − 0.2)/(182 − 0.2) · 2^(3.7/64.0417) = 0.035497
//
// and 1 − f = 0.964503 of the dose is measured to have been given.
//
// # Codes
//
// Codes of refusals are stable. Those of quantities and times are
// [quantity.Error]'s, those of half-lives nuclide's, those of residuals
// dispensing's, and unknown-container, empty-container, same-container,
// overdrawn and before-receipt the ledger's. The others are in the tables of
// casefile/testdata, one case at least for each.
//
// The package does no input or output and knows no clock. Zones are loaded by
// the caller's function.
package fold
