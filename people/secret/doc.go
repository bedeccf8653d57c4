// Package secret keeps passwords and PINs as hashes that take memory and time
// to try, and compares with them. What a password has to be is a matter for
// package people.
//
// # The hash
//
//	s   the password or PIN, brought into NFKC (Unicode Standard Annex 15), so
//	    that a letter matches however its accent was typed (NIST SP 800-63B-4,
//	    3.1.1.2)
//	w   whose it is: the id of the account, a line end, which of its secrets it
//	    is, a line end ([Keeper.Of])
//	k   the key of the site, 256 bits, where there is one
//	x   HMAC-SHA-256(k, w s) with a key, w s without
//	h   Argon2id(x, salt; t passes over m KiB in p lanes), RFC 9106
//
// with a salt of 128 random bits for each hash and h of 256 bits. It is kept
// as
//
//	$of-account$argon2id$v=19$m=65536,t=3,p=4$<salt>$<h>
//	$of-account$hmac-sha256$0a1b2c3d$argon2id$v=19$m=65536,t=3,p=4$<salt>$<h>
//
// in base64 without padding; the eight hexadecimal digits tell which key was
// used and are the first 32 bits of HMAC-SHA-256(k, "vialwright secret key").
// Because w is hashed too, a hash that somebody copied to the place of another
// account, or of another secret of the same one, opens nothing there: anyone who can
// write the store cannot come in with a password of their own.
//
// # Parameters
//
// [RFC9106] is t = 3, p = 4, m = 2^16 (64 MiB): the second recommended option
// of RFC 9106, 4, for when much less than 2 GiB is at hand. It is the default,
// and meant for passwords, which are typed once a session. [OWASP] is t = 2,
// p = 1, m = 19 MiB, the least that the OWASP Password Storage Cheat Sheet
// takes for Argon2id; it is meant for PINs, which are typed many times a day.
//
// No hash protects a PIN of anyone who has stolen the store: 10 000 tries are few.
// The key does, as long as it is kept elsewhere (SP 800-63B-4, 3.1.1.2, asks
// for one, stored separately). It must not be lost: no hash made with it can
// be compared without it, which [Bound.Check] reports as [CodeKey] and not as
// a wrong password.
//
// # Memory
//
// A [Gate] of n lets at most n hashes run at a time, over all keepers that
// share it; the others wait, or give up with their context. The memory in use
// is n·m, and may be twice that until it is collected. With 2 and 64 MiB that
// is 128 to 256 MiB, however many people sign in.
//
// # What is read back
//
// A stored hash is compared with the parameters it names, so old ones go on
// working, and one whose parameters or key differ from those in use is
// reported for renewal when the secret was right. It is data all the same, and
// may be damaged: only what this package can have written is accepted, byte
// for byte, with t ≤ 16, p ≤ 16 and m ≤ 256 MiB, so that a changed digit cannot
// take the machine's memory. The comparison takes the same time wherever the
// first difference is.
//
// # Worked example
//
// With password "password", salt "somesalt" and t = 2, p = 1, m = 2^16 the hash
// is 09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7 (test.c
// of the reference implementation).
package secret
