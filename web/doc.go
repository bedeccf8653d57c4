// Package web is the bench in a browser: pages rendered on the server, forms
// that add facts to the journal, and a stream that tells open pages what was
// recorded. It decides nothing about a dose: it asks packages people and
// procedure who may do what and when, journal what can stand, and dispensing
// what follows from it.
//
// This package puts the rooms together. Each room is a package with the pages of
// one subject, and none knows another:
//
//	board        what each order needs next, what is left, what is due, scans
//	preparation  the bench of one order, from its steps to its label
//	stock        waste items and the doses of the staff
//	instruments  meters, and the settling test
//	experience   site experience, and control charts
//	accounts     sign-in, a person's own page, the list of people
//	record       history, correction, late entry from paper, files given out
//	site         first start, settings, system status
//	practice     the clock and the drills of a practice laboratory
//
// They stand on package kit, which knows no subject, on books, which speaks of an
// order to the person who looks, on lessons, which keeps what the books have
// taught, and on words and view, in which facts and pages are said. Beside the
// bench stand clock, the clock after resuspension, and readings, which come from a
// meter.
//
// Practice is a setting of the whole program with a journal of its own: every
// page carries the mark, and every label serial is one of practice.
package web
