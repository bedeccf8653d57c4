// Package kit is what every room of the bench stands on, and knows no subject: who
// makes a request and what that person may, forms with the facts they record, what
// was typed and not recorded, the stream that tells open pages what was recorded,
// and what every page has around its content.
//
// # A room
//
// A room is a package with the pages of one subject. It gives its addresses as
// [Route], each with the act it takes; each is answered with a [Request]. What a
// room keeps is its own, and it imports no other room: what two need is here, where
// it knows no subject, in package books, where it speaks of an order, or in a
// domain package, where it is reckoned.
//
// # An entry
//
// A [Form] is a list of texts under the names of the fields of a fact. Sending it
// ([Request.Enter]) goes down this list; the first refusal is the answer, with
// everything that was typed still in its field:
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
//	rules      what the room asks of the case as it is (Form.Permit)
//	fold       the case with the new facts must fold (procedure.Reckon)
//	questions  what is odd beside the books is asked about (journal.Ask), and
//	           recorded with the answer that it is so
//	append     sealed and stored behind the head; then a redirect
//
// Head, rules and fold are asked under the lock of the journal, and a further
// bench on the same store is noticed by the store's own refusal, so that no
// decision rests on a case that has moved. What was typed is kept in the vault
// as a draft until it has been recorded, for the same person and nobody else.
// What the program has not answered that it keeps, such as after a sign-out in
// another tab or while it is stopped, waits in the tab for that person until
// somebody else works there.
// The nonce is kept in memory only: after a restart the head refuses what was
// recorded before it.
//
// # From paper
//
// What was done without this program is entered afterwards from its sheet, by
// the same forms. A person says once which sheet of which day it is and who
// wrote it; from then on their forms ask for the time on the sheet in place of
// now, procedure is asked as of that time, and each entry is followed by one that
// says where it came from. The order of entering is that of the work; a second
// check is entered by who made it.
//
// # Who may
//
// A person is known by a session cookie (SameSite=Strict, HttpOnly) whose state
// package people says; a session without recent use asks for the PIN. A bench is
// shared: who signed in there once comes back by name and PIN, for one entry; then
// the page is locked as that of the person it belongs to.
//
// # Safety of the pages
//
// Requests across origins are refused (net/http.CrossOriginProtection), bodies
// have 64 KiB at most and are forms, pages carry a content policy without
// inline scripts, sign-in is limited for each account and each address. No
// patient's identifier is ever logged: a line of the log has method, pattern
// of the address, status and duration.
package kit
