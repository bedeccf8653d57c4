// Package rules holds rule profiles: what law and guidance of a country ask, as
// data, each value with its citation, so that a person can check it and a site
// can put its own on top. No profile is a default, and none is law here: a named
// person of the site approves the one that is applied.
//
// # A value
//
//	key        what it decides, one of [Keys]
//	figure     with its unit
//	compare    ">" or ">=" where something is compared with it: 20.0 % exactly
//	           is allowed by one paragraph and reportable by another
//	citation   paragraph or paper; a value without one is refused
//	address    where its text can be read, and the date it was read there
//	mark       verified     the text of the rule was read
//	           second-hand  others quote it
//	           memory       nobody read it for this profile: said so wherever it acts
//	           pending      not in force, such as an open rulemaking: never acts
//	           site         decided by the site, in a profile of its own
//	from, to   the first day it is in force, and the first day it no longer is;
//	           none where the date is not known
//
// A profile names its edition. One that stands over another (over, edition)
// takes its values and replaces those it states itself; it names who approved it
// and when, unless it is shipped with the program. Where the profile beneath has
// another edition than the one that was approved, it is refused: compare the two
// and approve again.
//
// # In force
//
// [Profile.On] gives the values of a day. A value whose from lies after it, or
// whose to does not, is not there, and neither is one that is pending; where no
// value of a key is left, anyone who asks for it has no answer, and says so.
//
// # Comparison
//
// x reaches a value v when x > v, or x >= v where compare says so. A difference
// below 1e-9 of v counts as none, since 1.040/1.300 is not exactly 0.8 in
// binary: delivered 1.040 of 1.300 GBq is 20 % under to the last digit.
//
// # Worked example
//
// us, 10 CFR 35.63(d): dispense-limit 20 %, ">". Dispensed 1.560 of 1.300 GBq is
// +20.0 %: not reached, it may be used; 1.5601 GBq is reached. 35.3045(a):
// event-under 20 %, ">=". Delivered 1.040 GBq is reached; 1.0401 GBq is not.
//
// The profiles shipped are us, us-nc (one State, whose law asks ten half-lives of
// waste), eu, uk and blank. They are incomplete, and written for Y-90
// microspheres alone.
package rules
