// Package accounts keeps what opens the accounts of a site, in a vault beside the
// journal, and is the gate at which people show it. Who has which rights is not
// here: that is in the journal, and [Config].People asks for it. A row of the vault
// without an account in the journal opens nothing.
//
// # What is kept
//
//	a row for each account: the hashes of its password and its PIN, bound to the
//	  account (package secret); whether the password is a first one; how often
//	  all its sessions were ended
//	its failures, those of the password and those of the PIN, by place
//	its sessions, and the browsers it was signed in from
//	what its person typed in forms and did not send, up to [MostDrafts] forms
//
// # A first password
//
// It is given by an administrator, and opens one session, in which its owner
// chooses another. A second sign-in with it is refused with [CodeUsed].
//
// # Places
//
// Failures are counted for an account and a place, and the wait after them (package
// people, Lock-out) is of that place alone, so that nobody who types wrong passwords
// at one machine keeps their owner out at another. The place of a try is, the first
// that is so,
//
//	beside    the person on whose form somebody else's PIN is typed
//	session   that of who types their own PIN
//	browser   one from which the account was signed in within [BrowserFor]
//	address   the address of the connection, of IPv6 the first 64 bits
//
// so that a browser that was signed in before has waits of its own also where
// everybody is behind one address. (The scheme is that of device cookies: OWASP,
// Slow Down Online Guessing Attacks with Device Cookies.) Failures of a place are
// forgotten [FailuresFor] after the last, and when the secret was right there; a
// right password forgets those of the PIN everywhere.
//
// Against one who tries many accounts from one address, sign-ins that failed there
// are counted in memory too: [MostAtOnce] at once, then one every six seconds.
// Sign-ins that were right, and browsers that were signed in before, are not held up
// by that.
//
// While it is not known whether a try is right it counts as a failure, so that many at
// the same time are not one; of several programs on one store each knows its own. A
// failure is kept before it is answered. What is right after nothing has failed, as
// most signatures are, writes nothing.
//
// # The seal
//
// Each item is kept with HMAC-SHA-256 under the site's key of where it lies and what it
// says. One without says nothing: a session is none, and an account is refused with
// [CodeForeign] until it gets a first password. So it goes with rows of before there
// were seals, too.
//
// # What it does not protect
//
// Who can write the vault can remove an item, so that a session ends, or wrong tries are
// forgotten; and put an older item of the same place back, such as the password before.
// They cannot make a password, a PIN or a session, nor move one to another account, and
// no signature under an entry is made without one.
package accounts
