// Package web is the bench in a browser: pages rendered on the server, forms
// that add facts to the journal, and a stream that tells open pages what was
// recorded. It decides nothing about a dose: it asks packages people and
// procedure who may do what and when, journal what can stand, and dispensing
// what follows from it.
//
// # An entry
//
// A form is a list of texts under the names of the fields of a fact. Posting
// it goes down this list; the first refusal is the answer, with everything
// that was typed still in its field:
//
//	nonce      the form was sent before: answered with the first result, or
//	           refused where it says something else now; none is refused
//	form       its texts are read as entries of a case file (journal.Decode)
//	           in the zone of the case; an empty time is now
//	sheet      what is entered from paper is signed by who signed it there
//	signature  a signed act takes the PIN, or the password without one; some
//	           forms take that of a second person beside it
//	head       something was recorded in the case since the page was made:
//	           it is listed, and the person looks and sends again
//	rules      procedure.Permit: the person, the roles, the order of steps
//	fold       the case with the new facts must fold (journal.Fold)
//	questions  what is odd beside the books is asked about (journal.Ask), and
//	           recorded with the answer that it is so
//	append     sealed and stored behind the head; then a redirect
//
// Head, rules and fold are asked under the lock of the journal, and a further
// bench on the same store is noticed by the store's own refusal, so that no
// decision rests on a case that has moved. What was typed is kept in the vault
// as a draft until it has been recorded, for the same person and nobody else.
// The nonce is kept in memory only: after a restart the head refuses what was
// recorded before it.
//
// # From paper
//
// What was done without this program is entered afterwards from its sheet, by
// the same forms. A person says once which sheet of which day it is and who
// wrote it; from then on their forms of that case ask for the time on the
// sheet in place of now, procedure is asked as of that time, and each entry is
// followed by one that says where it came from. The order of entering is that
// of the work; a second check is entered by who made it.
//
// # Settling test
//
// The newest reading curve of a meter and a kind of vial, over all cases, says
// at the assay and at the remainder for how long a reading is off by no more
// than 1 % (an assumption), and how far off it is now (package settling). It
// corrects no figure. Who may still do a second check is not told of it.
//
// # Who may
//
// The table in routes.go is the one list of addresses, each with the act it
// takes. A person is known by a session cookie (SameSite=Strict, HttpOnly) whose
// state package people says; a session without recent use asks for the PIN.
//
// # Safety of the pages
//
// Requests across origins are refused (net/http.CrossOriginProtection), bodies
// have 64 KiB at most and are forms, pages carry a content policy without
// inline scripts, sign-in is limited for each account and each address. No
// patient's identifier is ever logged: a line of the log has method, pattern
// of the address, status and duration.
//
// Practice is a setting of the whole program with a journal of its own: every
// page carries the mark, and every label serial is one of practice.
package web
