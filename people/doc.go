// Package people holds who may do what at the bench: roles, acts and the one
// table that joins them; the rules that need two people; what a password and
// a PIN must be; how failures lock; and when a session has to be confirmed.
// It reads no clock, draws no random number and stores nothing: instants and
// random bytes are arguments, and every answer is a pure function of them.
//
// # The table
//
//	R   the roles, [Roles]; a person holds one or more
//	A   the acts, [Acts]: all that can be done with the program
//	T   the table, a subset of R × A, written once, in grants.go
//
//	[Allowed](r, a)  is  (r, a) ∈ T
//	[May](p, a)      is  p is active, and some role of p is allowed a
//
// The acts stand in groups that are granted to the same roles for the same
// reason; [Act.Why] gives the reason. One person has one account, with all of
// that person's roles in it: two accounts for one person would turn every rule
// about two people into a rule about two passwords. (21 CFR 11.100(a): a
// signature is unique to one individual, and not reused or reassigned.)
//
// Some acts are signed. [Act.Meaning] is what the signature says (21 CFR
// 11.50(a)(3)); it is empty where an act needs none. The first signing of a
// session takes the password that opened it, each later one the PIN, the
// component "that is only executable by, and designed to be used only by, the
// individual" (21 CFR 11.200(a)(1)(i)).
//
// # Two people
//
// A [Deed] is an act that was done, by whom and when. The rules take the deeds
// of one dose, in the order in which they were recorded: what was recorded
// after a check cannot have been seen by it, whatever time it speaks of. With
//
//	W   the deeds of work: read, assay, draw, return, make up, transfer and
//	    correct
//	w   the last of W
//	C   the second checks recorded after w, by someone who did none of W and
//	    did not choose to see its figures before
//
// a dose may be released when W and C are not empty. So every released dose
// has been in front of two people at least, the second of whom has seen it as
// it is. Independence is the point of a second check; a second person who
// repeats own work, or the first one's, finds little (ISMP, Independent double
// checks: undervalued and misused, 2003 and later). That the second person
// enters values without seeing the first ones is for the screen.
//
// Worked example: recorded are draw by T1, read by T1, second check by R1,
// read by R1. W is draw, read, read; the check was recorded before w, so the
// release is refused as [CodeCheckStale]. A further check by R1 would be
// refused as [CodeOwnWork], since R1 has read; T2 may check, and then R1 may
// release.
//
// # Refusals
//
// Each rule is a flat list of checks in a stated order, each with its own
// code; the first that fails is the answer, an [*Error]. The order is in the
// comment of the rule and its test goes down the same list.
//
// # Passwords
//
// By NIST SP 800-63B-4 (2025), 3.1.1.2, for a password that is the only
// factor:
//
//	15 characters at least; 64 must be possible, here 128
//	every printable character, and the space; each code point counts as one
//	no composition rules ("SHALL NOT impose other composition rules"), and
//	no change by the calendar
//	not on a list of common or expected ones, and told so; the whole password
//	is compared, not words that it contains
//
// A list of 15 characters and more would hold little, for the common ones are
// shorter and are stretched: passwordpassword, password123456789. So the list
// is written as a rule, see [CheckPassword]: a password is on it when no more
// than 4 of its characters are left over once it is read as listed words, the
// person's own words, runs, rows of the keyboard and punctuation. The 4 is our
// choice. Of code points, combining marks are not counted, so that a letter
// counts once however its accent was typed.
//
// # PIN
//
// A PIN is 4 to 8 digits. It opens no session; it confirms, in a session that
// a password opened, that the same person is still there. SP 800-63B would
// call that a password too short to stand alone, so it does not. [CheckPIN]
// refuses what others try first.
//
// # Lock-out
//
// With f failures in a row, the last at t, and a [Lockout] of n free failures,
// first delay d, longest delay D and end e:
//
//	f < n         the next try may be at once
//	n ≤ f < e     it may be at t + min(d·2^(f-n), D)
//	f ≥ e         there is no next try
//
// For a password n = 3, d = 30 s, D = 15 min, e = 100: the bound of SP 800-63B-4,
// 3.2.2, and a growing wait such as it suggests ("30 seconds up to an hour").
// For a PIN n = 2, d = 5 s, D = 10 s, e = 5; then the password is asked, which
// needs no help from others. Anyone who guesses a four-digit PIN that was chosen
// at random has 5 tries in 10 000. The waits are short because a technologist
// with a syringe in hand must not stand before a locked screen.
//
// # Sessions
//
// A session is opened with a password and known by 256 random bits, of which
// only the SHA-256 is kept. With now, the start s, the last use u, the idle
// limit i and the whole limit w of [Limits]:
//
//	ended      it was ended, now - s ≥ w, or s lies more than a minute ahead
//	needs-pin  otherwise, if |now - u| ≥ i
//	fresh      otherwise
//
// i = 15 min and w = 12 h unless the site chooses (SP 800-63B-4, 2.3.3, the
// strictest level). A use counts only while the session is fresh. No limit
// takes an entry away: what was typed is kept, and offered again to the same
// person, and to nobody else, after the PIN or, where the session has ended,
// after the password.
//
// # Domain of validity
//
// The rules govern what the program lets a person do. They cannot know that
// the person at the bench is the one whose PIN was typed, nor that two people
// did look. The roles are those of common practice, no source; a site whose
// law grants more to fewer people appoints accordingly.
package people
