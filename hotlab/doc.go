// Package hotlab reads the entries of a site's own books, its parcels, bins, places and
// persons, and says of an instant what stands and what is wrong.
//
// # Findings
//
// [Read] gives one list of findings. Each has a code that never changes, a severity (stop:
// nothing goes on before it is settled; warn: look at it; note), the page that shows it, what it
// speaks of, the entry, one sentence, and what to do. docs/hot-lab.md lists them. What a rule
// decides is asked of the profile and named with its citation; without a value in force
// nothing is held against anything, and one note says which values are missing.
//
// # Parcels
//
// The time to the survey runs by [protection.Calendar.Due]. What was measured is held
// against what is printed, and both against the limits; a wipe by what its counts can see.
// What was ordered is held against what came.
//
// # Bins
//
// A bin is ready at the latest of the times by the rules in force: so many half-lives from its
// closing; a sum of fractions of 1. It may leave when its surface shows no more than the
// background: the net count of its survey is no more than the critical level (Currie 1968),
// with the meter on its most sensitive range and no shield between. A bin whose readings decay
// more slowly than Y-90 is held ([protection.Slow]), with u = 5 % of each reading beside the last
// digit (common practice, no source).
//
// # Persons
//
// The dose of a year is the sum of the reports that end in it, by where the dosemeter is
// worn. For a period without a fingertip dosemeter a ring counts as a fingertip by the ratio of
// the person (published ratios lie between 1.4 and 7: without one nothing is taken, and it is
// said). Skin dose of contaminations is added.
//
// # Containers
//
// What is not given and not empty when the orders of its vial are closed is in a bin, has
// left, or is kept in stock by an entry: else it is nowhere.
package hotlab
