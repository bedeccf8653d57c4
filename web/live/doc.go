// Package live keeps what the activity meters of a bench say now, so that a
// person can take a reading into the record without typing it.
//
// A [Board] hears the meters that are connected; an [Invented] meter stands in
// for one where the laboratory is invented too. Both give out lines under
// tokens that nobody can guess, and find a line again by its token: a browser
// that says "this came from the meter" is asked which line, and what it says
// is compared with the line that was kept.
//
// A line can be taken while it is at most 10 s old, unless the meter says that
// its display is not stable, or something was wrong after it: a connection
// that was lost, a line that could not be read. A meter that does not say
// whether its display is stable leaves that to the person.
//
// # What an invented meter shows
//
// Of a container with activity A in the well since t0, read at t:
//
//	y(t) = (B + g·A(t)·(1 - e^(-(t-t0)/tau)))·(1 + r·z)
//
// as [vialwright/instrument.Simulation], with background B = 0.2 MBq,
// repeatability r = 0.8 % and a settling time of 4 s. g is the meter's own
// factor for that kind of container. A follows from the facts of the case
// without its readings: the vial held what its label says, and each draw took
// 97 % of its share of the volume. These figures are invented.
package live
