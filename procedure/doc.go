// Package procedure is the order of the work: the steps of a preparation, from
// the checks of the morning to the closing of the record, where each stands,
// and who may do the next one. It reads facts that others wrote, decides
// nothing about activities, and keeps nothing: the same records always stand at
// the same step, so that an interruption, a reload or another screen finds the
// preparation exactly where it was left.
//
// # The table
//
// The steps are written once, in step.go: what each is called, needs and
// records, the act of package people it takes, and how it is known to be done.
//
//	readiness     every check of the day passed, by the last of each kind; those of
//	              the activity meter for each one the dose was read with. Of a meter
//	              that the meter book has, the book judges background and constancy
//	              ([Instruments]), and no tick counts. The day is
//	              the calendar day, in the site's zone, of the last draw or, before
//	              a draw, of the moment asked
//	receipt       a vial came in
//	assay         the vial was read before the draw
//	draw          a syringe or an administration vial holds a dose
//	remainder     a reading since the last draw or return determines the dose
//	adjust        only for a dose outside tolerance that is still in its syringe
//	make-up       the syringe holds at least what the site asks for
//	transfer      an administration vial holds the dose
//	baseline      the dose rate was read after the transfer
//	second-check  see below
//	label         a label in force is on the container
//	release       see below
//	hand-over     recorded after the release, with a label of the container
//	time-out      recorded after the release; patient to the byte, territory but
//	              for letter case and spaces (identity.Match), the activity read
//	              out to [ReadOutTolerance]
//	infusion      the dose was given, or a residual implies it
//	residual      the dose rate was read after; where no baseline can be compared with
//	              it, the container was read in the activity meter
//	survey        a place was surveyed after the dose was given
//	close         the record of the order was closed
//
// The first step in this order that is neither done nor skipped is the one to
// do: it is [Now], or [Blocked] where something has to be put right first.
// What was given back is drawn again: the steps from draw on open again. Once
// the dose was given, the steps before it that are missing are skipped, and
// the record is closed only with a deviation that explains them. A preparation
// that was cancelled stands still until that entry is struck out.
//
// # Order
//
// An order is signed by an entry of the physician's own, which names its
// version and stands after it and after every correction of what it says. Where the
// order names an absorbed dose alone, the entry names the activity that follows. No dose is released whose
// order is not signed as it is, unless the policy of the case says
// order-signature: not-required. A release that was made stays: a correction
// of the order is work on the dose, and takes it back by itself.
//
// # Custody
//
// Who hands a dose over signs that; who takes it signs on the same form, or in
// a session of their own later. A dose that was handed over and not taken is
// [Preparation.Untaken]; it stops the time-out and the infusion, unless the
// policy says take-over: not-required.
//
// # Second check
//
// The record has an order, the places of its entries; a fact speaks of a time.
// What one person could have seen goes by places. For an order o let
//
//	W    the work on the dose: readings of its containers, and of its vial
//	     until another dose is drawn from it; draws, returns, make-ups,
//	     transfers and, before the infusion, discards; the gift of a dose to
//	     another order; corrections of these, of the order, and of the vial's
//	     papers
//	w    the place of the last of W
//	V    the second checks of o in force and never corrected, at places after w
//
// The checker reads the remainder of the vial, and is given the reading before
// the draw; or, where the site has said check-reads: either, or more was drawn
// from the vial since, the container with the dose. With the figure f worked
// out by hand, the dose c that the own readings give, and the dose r of the
// record, all at the planned infusion (package ledger, A second figure),
//
//	agree(v)  ⇔  |f − c| ≤ 1 % · c,  |c − r| ≤ limit · r,  |c − r| ≤ 3 · u(c − r)
//
// with the limit of the site (check-limit, 5 % assumed), and u(c − r) without
// what the two share. A check by someone who had chosen to see the figures
// before (the fact see-figures) is none. The check holds if V is not empty,
// every v in V agrees, and one is by a person without a hand in W; whose work
// was corrected or struck out had a hand in it all the same.
//
// A dose is checked and labelled in its syringe, while it can still be put
// right, or after the transfer. No new work is the transfer of the whole syringe
// that was checked; nor a reading of the emptied syringe, as long as it does not
// move the dose from its label by more than the bound of the site (label-drift,
// 2 % assumed).
//
// A check that differs is not outvoted: it takes a third act, and then a check
// again. Either both read again: a further reading or a correction of the work,
// and after it a new check. Or the checker strikes an own slip out, once
// between two acts of work. Or one who may release the dose and had no hand in
// it strikes the check out ([MayStrikeCheck]). Nobody strikes out the check of
// their own work.
//
// Once somebody has checked a dose, only a check that holds lets it be transferred, or
// given to another order; what nobody has checked may be transferred first.
//
// # Release
//
// A release is in force if, at its place, a second check held, its label was
// in force on the container itself, and no work on the dose was recorded
// since. Work on the vial that is recorded after a release is for the next
// dose. It changes the reckoned figure of this one all the same, and where it
// moves that away from the check or out of tolerance the dose is held.
//
// A label is in force if it is of the container that holds the dose, was
// printed after w, so for the dose and the version of the order as they are,
// and neither a later copy of its size nor a later label with other figures was
// printed. A label that names a syringe and an administration vial is of both.
// What was printed is written in its entry, and the time-out compares what is
// read out with that ([ReadOut]). Where later readings move the dose from it by
// more than the bound, [dispensing.LabelDrift] holds the hand-over; after that
// it is said, and holds nothing; nor does the reckoned window then, inside the
// printed one.
//
// # Holds
//
// A stop keeps back the transfer, which is done once, and what is added or taken back,
// but for a dose outside its tolerance or window, which that puts right.
//
// A hold is a finding that someone has to lift with an override: before the
// draw every stop that concerns the order; with a dose every stop but those of
// a draw to come, a confidence that is too low ([dispensing.ConfidenceLow]),
// [dispensing.LabelDrift] until the hand-over, and [OutsideWindow] once a
// conforming dose has decayed out of tolerance. One that [ByCorrection] names is
// lifted by no override. An
// override holds for what stood when it was made: that of a finding of the
// order until further work on the dose, that of a finding of another entry
// until that entry is corrected.
//
// # Worked example
//
// Drawn 2.2 mL for 1.30 GBq at 13:30 with an allowance of 2 %, the readings of
// the vial 3.24 GBq at 11:00 and 1.87 GBq at 11:14, the background 0.2 MBq. At
// 13:30 the dose is
//
//	r = 3.2398·2^(−2.5/64.0417) − 1.8698·2^(−2.2667/64.0417) = 3.1533 − 1.8245 = 1.3288 GBq
//
// The checker reads 1.86 GBq in the vial at 11:40, and is given the reading of
// 11:00:
//
//	c = 3.1533 − 1.8598·2^(−1.8333/64.0417) = 3.1533 − 1.8233 = 1.3300 GBq
//
// and works 1.33 GBq out, which is that to 0.02 %. The reading of 11:00 is in both
// and cancels; with a repeatability of 0.8 %
//
//	u(c − r) = 0.008·√2·1.8245 = 0.0206 GBq
//
// so that 1.2 MBq is well within both limits. 2.5 % more or less in the vial,
// 46 MBq, is 3.4 % of the dose and within the 5 %, and 2.2 of these u; a dose
// from a reading of 1.93 GBq is 5.1 % below, and does not agree.
//
// # Reopening
//
// A correction of an entry that belongs to a closed record reopens the record:
// the step close is to be done again. Every other step stays as it stood when
// the record was first closed, since what was done before it was done.
//
// # Domain of validity
//
// The records are those of one case, whole and verified, and the case and the
// result are reckoned from them. A person is an id: that two ids are two
// people, and that the second one did not see the first figure, is for package
// people and for the screen. Facts may be entered late, from paper; then they
// are entered in the order in which they were done, since the rules for two
// people go by the record. Who wrote the sheet had a hand in what it says, as
// who enters it; what was signed on it is entered by who signed ([FromPaper]). So had who
// supervised a person whose training had lapsed: they do no second check of that dose, and a
// check beside which they stood is not independent ([MaySupervise]).
package procedure
